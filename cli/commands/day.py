"""`standmark day`: call times, kit, cautions and checks for the day of a match, or of several matches."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import (
    Number,
    file_named,
    force_option,
    load_match,
    more_option,
    sports_dir_option,
    units_option,
)
from standmark.geometry.errors import InputError
from standmark.optimizer.match.match import MOST_CAMERAS

if TYPE_CHECKING:
    from standmark.optimizer.match.match import Match
    from standmark.optimizer.planning import Plan


@click.command("day", short_help="List call times, kit, cautions and checks for the day.")
@sports_dir_option
@click.argument("match_files", metavar="[MATCH.toml ...]", nargs=-1, type=click.Path(path_type=Path))
@click.option("--sport", help="Plan from the sport alone, with a usual ground and kit.")
@click.option("--preset", help="With --sport: a variant, such as a youth size.")
@click.option("--cameras", type=click.IntRange(1, MOST_CAMERAS), help="Plan for this many cameras.")
@click.option("--time-limit", "time_limit_s", type=Number(min=0.1), help="Stop each search after this many seconds.")
@units_option
@more_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--ics", type=click.Path(path_type=Path), help="Write the key times as a calendar file.")
@force_option
def command(
    match_files: tuple[Path, ...],
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

    Several match files, or a folder of them, make one time line for a crew that films them all.

    Example: standmark day examples/heron-lane.toml --ics match-day.ics
    """
    from standmark.cli.exports.calendar_file import calendar_bytes, times_calendar
    from standmark.cli.terminal.write_files import check_free
    from standmark.cli.words.crew_day_words import crew_day_answer, crew_day_document, crew_day_sections
    from standmark.cli.words.day_sections import day_document, day_sections
    from standmark.cli.words.lines import terminal_width
    from standmark.cli.words.plan_sections import crew_day_of, day_of, planned_cards_in
    from standmark.cli.words.section import sections_text
    from standmark.cli.words.short_answers import day_answer
    from standmark.cli.words.units import Units

    said = Units(units)
    files = _match_files(match_files)
    loaded = _load(files, sport=sport, preset=preset, cameras=cameras)
    matches = tuple(match for _, match in loaded)
    if ics is not None:
        if matches[0].start is None:
            raise InputError("--ics: the match has no start; add start and timezone under [match]")
        check_free(ics.parent, [ics.name], force=force, inputs=files)
    before = ics.read_bytes() if ics is not None and ics.is_file() else None
    advice = "quick" if more or as_json else "none"
    plans = tuple(_plan(path, match, time_limit_s, advice) for path, match in loaded)
    if len(plans) == 1:
        (match,), (planned,) = matches, plans
        day = day_of(planned, planned_cards_in(planned, units=said), units=said)
        if ics is not None:
            _write(ics, calendar_bytes(match, (*day.deadlines, *day.times), before=before), force=force)
        if as_json:
            text = day_document(match, day)
        elif more:
            text = sections_text(day_sections(day), width=terminal_width())
        else:
            text = day_answer(match, day, width=terminal_width())
    else:
        whole = crew_day_of(plans, units=said)
        if ics is not None:
            entries = [(matches[e.stop], e.time) for e in (*whole.deadlines, *whole.times)]
            _write(ics, times_calendar(entries, before=before), force=force)
        if as_json:
            text = crew_day_document(whole)
        elif more:
            text = sections_text(crew_day_sections(whole), width=terminal_width())
        else:
            text = crew_day_answer(whole, width=terminal_width())
    click.echo(text, nl=False)


def _match_files(given: tuple[Path, ...]) -> tuple[Path, ...]:
    """Match files that were typed, and those of folders, in the order of their names.

    Raises
    ------
    InputError : a folder holds no match file, or a file is given twice
    """
    from standmark.sports.toml.file import read_toml

    files: list[Path] = []
    for path in given:
        if not path.is_dir():
            files.append(path)
            continue
        inside = [p for p in sorted(path.glob("*.toml")) if isinstance(read_toml(p).data.get("match"), dict)]
        if not inside:
            raise InputError(f"{path}: no match file in this folder; a match file is a .toml with [match]")
        files += inside
    seen: set[Path] = set()
    for path in files:
        if path.resolve() in seen:
            raise InputError(f"{path}: given twice; name every match file once")
        seen.add(path.resolve())
    return tuple(files)


def _load(
    files: tuple[Path, ...], *, sport: str | None, preset: str | None, cameras: int | None
) -> tuple[tuple[Path | None, Match], ...]:
    """Read the matches, each with its file; several of them in order of their starts, which must lie within a day.

    Raises
    ------
    InputError : a match is wrong, has no start, or is on another day
    """
    if len(files) < 2:
        path = files[0] if files else None
        return ((path, load_match(path, sport=sport, preset=preset, cameras=cameras)),)
    if sport is not None:
        raise InputError("give either match files or --sport NAME (standmark sports lists them)")
    from standmark.optimizer.day.planned import FARTHEST_APART

    loaded = [(path, load_match(path, sport=None, preset=preset, cameras=cameras)) for path in files]
    for path, match in loaded:
        if match.start is None:
            raise InputError(f"{path}: match.start: missing; a day of several matches needs the start of each")
    starts = {path: match.start for path, match in loaded if match.start is not None}
    first = min(starts, key=lambda path: starts[path])
    for path, start in starts.items():
        if start - starts[first] > FARTHEST_APART:
            raise InputError(
                f"{path}: match.start: {start:%Y-%m-%d} is another day than {starts[first]:%Y-%m-%d} of {first.name}; "
                "give the files of one day"
            )
    return tuple(sorted(loaded, key=lambda pair: starts[pair[0]]))


def _plan(path: Path | None, match: Match, time_limit_s: float | None, advice: str) -> Plan:
    """Plan a match; what is wrong with it begins with the name of its file."""
    from standmark.optimizer.planning import plan

    with file_named(path):
        return plan(match, advice=advice, time_limit_s=time_limit_s)


def _write(path: Path, content: bytes, *, force: bool) -> None:
    from standmark.cli.terminal.write_files import write_one

    write_one(path, content, force=force)
    click.echo(f"wrote {path}", err=True)
