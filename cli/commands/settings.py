"""`standmark settings`: frame rate, shutter, aperture, ISO and filters for every camera of a plan, with reasons."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import Number, load_match, match_source, more_option, units_option


@click.command("settings", short_help="Say how to set each camera.")
@match_source
@click.option("--time-limit", "time_limit_s", type=Number(min=0.1), help="Stop each search after this many seconds.")
@units_option
@more_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def command(
    match_file: Path | None,
    sport: str | None,
    preset: str | None,
    cameras: int | None,
    time_limit_s: float | None,
    units: str,
    more: bool,
    as_json: bool,
) -> None:
    """Say how to set each camera of the plan.

    The plan is worked out first, so that distances and focal lengths are known.

    Example: standmark settings examples/heron-lane.toml
    """
    match = load_match(match_file, sport=sport, preset=preset, cameras=cameras)

    from standmark.cli.words.lines import terminal_width
    from standmark.cli.words.plan_sections import planned_cards_in
    from standmark.cli.words.section import sections_text
    from standmark.cli.words.settings_sections import settings_document, settings_sections
    from standmark.cli.words.short_answers import settings_answer
    from standmark.cli.words.units import Units
    from standmark.optimizer.planning import plan

    planned = plan(match, time_limit_s=time_limit_s)
    cards = planned_cards_in(planned, units=Units(units))
    if as_json:
        text = settings_document(planned, cards)
    elif more:
        text = sections_text(settings_sections(planned, cards, units=Units(units)), width=terminal_width())
    else:
        text = settings_answer(planned, cards, width=terminal_width())
    click.echo(text, nl=False)
