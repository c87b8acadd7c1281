"""`standmark score`: chosen positions against the rules, the proven optimum, plain habits and real events."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import Number, force_option, sports_dir_option, units_option

if TYPE_CHECKING:
    from standmark.optimizer.match.match import Match
    from standmark.optimizer.scoring.given import Given

FILES = ("score.json", "score.png", "score.svg")


@click.command("score", short_help="Compare your own positions, or a plan, with the best and with habit.")
@click.argument("match_file", metavar="[MATCH.toml]", required=False, type=click.Path(path_type=Path))
@click.option("--sport", help="Use the sport alone, with a usual ground and kit.")
@click.option("--preset", help="With --sport: a variant, such as a youth size.")
@click.option("--at", "at", multiple=True, metavar="NAME=X,Y[,Z][:LENS]",
              help="Where a camera stands, in metres; NAME@PERIOD=... for one period. Once a camera.")  # fmt: skip
@click.option("--plan", "plan_file", type=click.Path(path_type=Path), help="Score the positions of a plan.json.")
@click.option("--events", "events_file", type=click.Path(path_type=Path),
              help="CSV of real events (x_m,y_m and moment,period,weight,match_id): how many you'd film.")  # fmt: skip
@click.option("--walk", is_flag=True, help="Score cameras that walk (roam). With --plan: that plan's card. "
              "With --events: sequences (sequence,x_m,y_m,moment and side,kind,from_m,walk_s).")  # fmt: skip
@click.option("--no-optimum", is_flag=True, help="Don't search for the best plan to compare with.")
@click.option("--time-limit", "time_limit_s", type=Number(min=0.1), help="Stop each search after this many seconds.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of words.")
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), help="Folder for score.json and a picture.")
@units_option
@sports_dir_option
@force_option
def command(
    match_file: Path | None,
    sport: str | None,
    preset: str | None,
    at: tuple[str, ...],
    plan_file: Path | None,
    events_file: Path | None,
    walk: bool,
    no_optimum: bool,
    time_limit_s: float | None,
    as_json: bool,
    out: Path | None,
    units: str,
    force: bool,
) -> None:
    """Compare your own positions, or a plan, with the best plan, with habits and with real events.

    Example: standmark score --sport football --at "A=0,-38,1.6:70-200"
    """
    from standmark.cli.terminal.write_files import check_free, write_all

    if walk:
        from standmark.cli.commands.score_walk import walk_sections, walk_verdict
        from standmark.cli.words.plain_data import document_bytes
        from standmark.cli.words.section import sections_text

        verdicts = walk_verdict(match_file, plan_file, events_file)
        told = document_bytes({"walks": verdicts}).decode() if as_json else sections_text(walk_sections(verdicts))
        click.echo(told, nl=False)
        return
    if out is not None:
        check_free(out, list(FILES), force=force)
    match, givens = _given(match_file, sport, preset, at, plan_file)

    from standmark.cli.exports.score_json import verdict_document
    from standmark.cli.terminal.live_line import live_line
    from standmark.cli.words.plain_data import document_bytes
    from standmark.cli.words.score_words import verdict_text
    from standmark.cli.words.units import Units
    from standmark.optimizer.scoring.choice import period_tasks
    from standmark.optimizer.scoring.given import given_stations
    from standmark.optimizer.scoring.verdict import judge, judge_by_events

    if events_file is not None:
        from standmark.cli.input.events_file import header_of, read_events

        header_of(events_file)
    with live_line(sys.stderr) as tell:
        tasks = period_tasks(match)
        choice = given_stations(match, givens, tasks)
        verdict = judge(
            match, choice, tasks=tasks, with_optimum=not no_optimum, time_limit_s=time_limit_s, progress=tell
        )
        events = None
        if events_file is not None:
            events = judge_by_events(verdict, read_events(events_file, match.sport), tasks=tasks, progress=tell)
    document = verdict_document(verdict, events)
    if out is not None:
        from standmark.cli.commands.results import picture_files
        from standmark.cli.drawing.score import score_picture

        pictures = picture_files({"score": score_picture(verdict, events, units=Units(units))})
        written = write_all(out, {"score.json": document_bytes(document), **pictures}, force=force)
    words = document_bytes(document).decode() if as_json else verdict_text(verdict, events, units=Units(units))
    click.echo(words, nl=False)
    if out is not None:
        click.echo(f"wrote {', '.join(str(path) for path in written)}", err=True)


def _given(
    match_file: Path | None, sport: str | None, preset: str | None, at: tuple[str, ...], plan_file: Path | None
) -> tuple[Match, list[Given]]:
    """Read what is to be scored, and the match it is scored in."""
    from standmark.cli.commands.options import load_match
    from standmark.cli.input.given_positions import parse_at, plan_givens
    from standmark.cli.input.plan_file import read_plan
    from standmark.geometry.errors import InputError
    from standmark.optimizer.scoring.given import added_lenses, chosen_match

    if bool(at) == (plan_file is not None):
        raise InputError('give positions with --at "A=x,y,z:lens" (once for each camera), or a plan with --plan')
    givens = [parse_at(words) for words in at]
    plan = None if plan_file is None else read_plan(plan_file)
    if plan is not None and match_file is None and preset is None:
        sport, preset = sport or plan.sport, plan.preset
    match = load_match(match_file, sport=sport, preset=preset, cameras=None)
    if plan is not None and plan_file is not None:
        givens = plan_givens(plan, match, plan_file)
    chosen = chosen_match(match, givens, free_names=match_file is None or plan is not None)
    for note in added_lenses(match, chosen):
        click.echo(f"note: {note}", err=True)
    return chosen, givens
