"""`standmark compare`: what differs between two plans, and where each is better."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import force_option, sports_dir_option

if TYPE_CHECKING:
    from standmark.cli.input.plan_file import PlanFile
    from standmark.sports.sport import Sport

FILES = ("compare.json", "compare.png", "compare.svg")


@click.command("compare", short_help="Say how two plans differ, and where each is better.")
@click.argument("first", metavar="FIRST.json", type=click.Path(path_type=Path))
@click.argument("second", metavar="SECOND.json", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of words.")
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), help="Folder for compare.json and a picture.")
@sports_dir_option
@force_option
def command(first: Path, second: Path, as_json: bool, out: Path | None, force: bool) -> None:
    """Say how two plans differ, and where each is better.

    Example: standmark compare one-camera/plan.json two-cameras/plan.json
    """
    from standmark.cli.input.plan_file import plan_outline, read_plan
    from standmark.cli.terminal.write_files import check_free, write_all
    from standmark.cli.words.plain_data import document_bytes
    from standmark.cli.words.plan_difference import difference_document, difference_text
    from standmark.geometry.errors import InputError
    from standmark.optimizer.comparison import compare

    if out is not None:
        check_free(out, list(FILES), force=force)
    plans = read_plan(first), read_plan(second)
    if plans[0].sport != plans[1].sport:
        raise InputError(
            f"{second}: a plan for {plans[1].sport}, the first is for {plans[0].sport}; give two of a sport"
        )
    difference = compare(plan_outline(plans[0]), plan_outline(plans[1]))
    sport = _sport(plans[0])
    document = document_bytes(difference_document(difference))
    if out is not None:
        from standmark.cli.commands.results import picture_files
        from standmark.cli.drawing.compare import compare_picture

        pictures = picture_files({"compare": compare_picture(difference, sport)})
        written = write_all(out, {"compare.json": document, **pictures}, force=force)
    names = {} if sport is None else {moment.key: moment.name for moment in sport.moments}
    click.echo(document.decode() if as_json else difference_text(difference, names), nl=False)
    if out is not None:
        click.echo(f"wrote {', '.join(str(path) for path in written)}", err=True)


def _sport(plan: PlanFile) -> Sport | None:
    """Load the sport at the size of the plan's ground; None when it is a definition of the user's own."""
    from standmark.geometry.errors import InputError
    from standmark.sports.library import load_sport, sport_keys

    if plan.sport not in sport_keys():
        return None
    area = plan.playing_area
    try:
        return load_sport(plan.sport, preset=plan.preset, length_m=area.length_m, width_m=area.width_m)
    except InputError:
        return None
