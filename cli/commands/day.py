"""`standmark day`: call times, kit, cautions and checks for the day of a match."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import force_option, load_match, match_source, more_option, units_option
from standmark.geometry.errors import InputError


@click.command("day", short_help="List call times, kit, cautions and checks for the day.")
@match_source
@click.option("--time-limit", "time_limit_s", type=click.FloatRange(min=0.1), help="Seconds for each search.")
@units_option
@more_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--ics", type=click.Path(path_type=Path), help="Write the key times as a calendar file.")
@force_option
def command(
    match_file: Path | None,
    sport: str | None,
    preset: str | None,
    cameras: int | None,
    time_limit_s: float | None,
    units: str,
    more: bool,
    as_json: bool,
    ics: Path | None,
    force: bool,
) -> None:
    """List call times, kit, cautions and checks for the day of the match.

    Example: standmark day examples/heron-lane.toml --ics match-day.ics
    """
    match = load_match(match_file, sport=sport, preset=preset, cameras=cameras)

    from standmark.cli.exports.calendar_file import calendar_bytes
    from standmark.cli.terminal.write_files import check_free, write_one
    from standmark.cli.words.day_sections import day_document, day_sections
    from standmark.cli.words.lines import terminal_width
    from standmark.cli.words.plan_sections import day_of, planned_cards_in
    from standmark.cli.words.section import sections_text
    from standmark.cli.words.short_answers import day_answer
    from standmark.cli.words.units import Units
    from standmark.optimizer.planning import plan

    if ics is not None:
        if match.start is None:
            raise InputError("--ics: the match has no start; add start and timezone under [match]")
        check_free(ics.parent, [ics.name], force=force)
    found = plan(match, time_limit_s=time_limit_s)
    day = day_of(found, planned_cards_in(found, units=Units(units)), units=Units(units))
    if ics is not None:
        before = ics.read_bytes() if ics.is_file() else None
        write_one(ics, calendar_bytes(match, day.times, before=before), force=force)
        click.echo(f"wrote {ics}", err=True)
    if as_json:
        text = day_document(match, day)
    elif more:
        text = sections_text(day_sections(day), width=terminal_width())
    else:
        text = day_answer(match, day, width=terminal_width())
    click.echo(text, nl=False)
