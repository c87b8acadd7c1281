"""`standmark tournament`: who films which match of a tournament."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import Number, force_option, more_option, sports_dir_option, units_option
from standmark.geometry.errors import InputError

FILES = ("tournament.json", "chart.svg", "everybody.pdf")


@click.command("tournament", short_help="Say who films which match of a tournament.")
@sports_dir_option
@click.argument("tournament_file", metavar="DAY.toml", type=click.Path(path_type=Path))
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder for the results.")
@click.option("--from", "from_words", help="Plan the rest of the day again from this time (13:40).")
@click.option(
    "--plan",
    "plan_file",
    type=click.Path(path_type=Path),
    help="With --from: the earlier tournament.json, if it isn't in --out.",
)
@click.option(
    "--time-limit",
    "time_limit_s",
    type=Number(min=1.0),
    default=30.0,
    show_default=True,
    help="Stop searching after this many seconds.",
)
@units_option
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper size of the sheets."
)
@more_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@force_option
def command(
    tournament_file: Path,
    out: Path,
    from_words: str | None,
    plan_file: Path | None,
    time_limit_s: float,
    units: str,
    paper: str,
    more: bool,
    as_json: bool,
    force: bool,
) -> None:
    """Say who films which match, where everybody has to be and when, and what nobody films and why.

    Example: standmark tournament examples/tournament/reed-cup.toml --out day/
    """
    from standmark.optimizer.day.tournament.read import read_tournament

    day = read_tournament(tournament_file)

    from standmark.cli.drawing.svg import svg_document
    from standmark.cli.drawing.tournament_chart import tournament_chart
    from standmark.cli.exports.tournament_calendar import person_calendar
    from standmark.cli.exports.tournament_json import tournament_bytes, with_past
    from standmark.cli.sheet.tournament_sheet import person_file, tournament_sheets
    from standmark.cli.terminal.write_files import check_free, write_all
    from standmark.cli.words.lines import terminal_width
    from standmark.cli.words.plan_sections import outing_of
    from standmark.cli.words.section import sections_text
    from standmark.cli.words.tournament_words import missed_section, person_section, plan_key, tournament_answer
    from standmark.cli.words.units import Units
    from standmark.optimizer.day.tournament.roster import make_roster
    from standmark.optimizer.day.tournament.worth import match_plans, worth_table

    said = Units(units)
    keys = [person_file(member.name) for member in day.members]
    for index, key in enumerate(keys):
        if key in keys[:index]:
            name = day.members[index].name
            raise InputError(
                f'{tournament_file}: crew[{index + 1}].name: "{name}" would share a file with another person'
            )
    names = [*FILES, *(f"{part}-{key}.{end}" for key in keys for part, end in (("sheet", "pdf"), ("times", "ics")))]
    check_free(out, names, force=force)
    if from_words is not None:
        day = with_past(day, plan_file or out / "tournament.json", from_min=_minutes(from_words))
    elif plan_file is not None:
        raise InputError("--plan goes with --from")
    plans = match_plans(day)
    roster = make_roster(day, worth_table(plans), time_limit_s=time_limit_s)
    used = sorted({plan_key(roster, filmed) for filmed in roster.filmed})
    outings = {key: outing_of(plans[key], units=said) for key in used}
    sections = [person_section(roster, person, plans, units=said) for person in roster.people]
    files = {"tournament.json": tournament_bytes(roster), "chart.svg": svg_document(tournament_chart(roster))}
    files |= tournament_sheets(roster, plans, outings, units=said, paper=paper)
    for person, section, key in zip(roster.people, sections, keys, strict=True):
        path = out / f"times-{key}.ics"
        before = path.read_bytes() if path.is_file() else None
        files[path.name] = person_calendar(roster, person, section, before=before)
    write_all(out, files, force=force)
    if as_json:
        click.echo(files["tournament.json"].decode("utf-8"), nl=False)
        return
    click.echo(tournament_answer(roster, width=terminal_width()), nl=False)
    if more:
        missed = [missed_section(roster)] if roster.not_filmed else []
        click.echo("\n" + sections_text([*sections, *missed], width=terminal_width()), nl=False)
    click.echo(f"wrote {len(files)} files into {out}", err=True)


def _minutes(words: str) -> float:
    """Minutes from midnight of a time that was typed.

    Raises
    ------
    InputError : it is no time of day
    """
    from standmark.optimizer.day.tournament.schema import CLOCK, minutes_of

    if CLOCK.fullmatch(words.strip()) is None:
        raise InputError(f'--from: "{words[:20]}" is not a time of day; write 13:40')
    return minutes_of(words.strip())
