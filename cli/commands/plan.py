"""`standmark plan`: from a match file, or a sport, to the plan, its picture and its summary."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import click

from standmark.cli.commands.options import Number, force_option, load_match, match_source, units_option, wishes_options
from standmark.cli.terminal.loading import uncollected

FILES = (
    "plan.json", "plan.png", "plan.svg", "maps.svg", "follow.svg", "height.svg", "sheet.html", "sheet.pdf", "cards.pdf",
    "spots.csv", "duties.csv",
    "positions.geojson", "positions.gpx", "positions.kml", "times.ics",
)  # fmt: skip


@click.command("plan", short_help="Find where to stand and with which lens.")
@match_source
@wishes_options
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder for the results.")
@click.option(
    "--advice",
    type=click.Choice(["none", "quick", "full"]),
    default="quick",
    show_default=True,
    help="quick: where else to stand, how far you can shift; full: also what more lenses and cameras add.",
)
@click.option(
    "--time-limit",
    "time_limit_s",
    type=Number(min=0.1),
    help="Stop after so many seconds, loading and advice included; files come on top.",
)
@click.option(
    "--keep",
    "keep",
    type=click.Path(path_type=Path),
    help="An earlier plan.json: its cameras keep their places unless moving gains over half a per cent.",
)
@units_option
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Of the sheet.")
@click.option(
    "--more", is_flag=True, help="Also print how sure it is, how far you can shift, and every kind of moment."
)
@click.option("-q", "--quiet", is_flag=True, help="Print nothing but errors.")
@force_option
def command(
    match_file: Path | None,
    sport: str | None,
    preset: str | None,
    cameras: int | None,
    out: Path,
    advice: str,
    time_limit_s: float | None,
    keep: Path | None,
    units: str,
    paper: str,
    more: bool,
    quiet: bool,
    force: bool,
    stated: dict[str, Any],
) -> None:
    """Find where to stand and with which lens.

    Example: standmark plan examples/heron-lane.toml --out plan/
    """
    begin_s = time.monotonic()
    from standmark.cli.terminal.write_files import check_free

    check_free(out, list(FILES), force=force)
    match = load_match(match_file, sport=sport, preset=preset, cameras=cameras, said=stated)

    from standmark.cli.input.plan_file import places_to_keep

    kept = () if keep is None else places_to_keep(keep, match)

    with uncollected():
        from standmark.cli.commands.results import write_plan
        from standmark.cli.drawing.letters import letters_warning, match_texts
        from standmark.cli.terminal.live_line import live_line
        from standmark.cli.words.lines import terminal_width
        from standmark.cli.words.summary import plan_summary
        from standmark.cli.words.units import Units
        from standmark.cli.words.usual import usual_place
        from standmark.optimizer.planning import plan

    with live_line(sys.stderr, quiet=quiet) as tell:
        left_s = None if time_limit_s is None else _left_s(time_limit_s, begin_s)
        planned = plan(match, advice=advice, keep=kept, time_limit_s=left_s, progress=tell)
        write_plan(planned, out, units=Units(units), paper=paper, force=force)
    if not quiet:
        said = plan_summary(
            planned,
            units=Units(units),
            width=terminal_width(),
            usual=usual_place(planned),
            out=str(out),
            more=more or advice == "full",
        )
        click.echo(said, nl=False)
        if (warning := letters_warning(match_texts(match))) is not None:
            click.echo(warning, err=True)


def _left_s(limit_s: float, begin_s: float) -> float:
    """Seconds of a time limit that loading has left; half of them at least are for the plan."""
    return max(limit_s - (time.monotonic() - begin_s), limit_s / 2)
