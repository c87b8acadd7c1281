"""`standmark open`: plan a match on a page in the browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from standmark.cli.commands.options import Number, sports_dir_option


@click.command("open", short_help="Plan a match on a page in your browser.")
@sports_dir_option
@click.argument("source", metavar="[MATCH.toml|FOLDER]", required=False, type=click.Path(path_type=Path))
@click.option(
    "-o",
    "--out",
    "out",
    type=click.Path(path_type=Path),
    default=Path("plan"),
    show_default=True,
    help="Folder for the files of the plan.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option(
    "--idle",
    "idle_min",
    type=Number(min=0.02, max=1440),
    default=10,
    show_default=True,
    help="Stop when no page has been open for this many minutes.",
)
@click.option(
    "--time-limit",
    "limit_s",
    type=Number(min=0.01),
    default=20,
    show_default=True,
    help="Show the best so far after a search of this many seconds; the page can keep looking.",
)
def command(source: Path | None, out: Path, no_browser: bool, idle_min: float, limit_s: float) -> None:
    """Plan a match on a page in your browser. The page is served by this computer, and only to this computer.

    Without a file it starts a new one, match.toml. For a folder of grounds it lists what each one lacks.

    Example: standmark open examples/heron-lane.toml --out plan/
    """
    from functools import partial

    from standmark.cli.commands.results import write_plan
    from standmark.cli.open.serve import serve
    from standmark.cli.terminal.interrupt import INTERRUPTED, TERMINATED, TerminatedError, leave, let_it_be_caught
    from standmark.geometry.errors import InputError
    from standmark.optimizer.match.match import Match
    from standmark.optimizer.planning import plan

    def planned(match: Match, stopped: Callable[[], bool]) -> Callable[[Path], list[str]]:
        """Plan a match; gives what writes its files as `standmark plan` does."""
        return partial(write_plan, plan(match, advice="quick", stopped=stopped), force=True)

    if out.exists() and not out.is_dir():
        raise InputError(f"{out}: is not a folder; give a folder with --out")
    folder = source if source is not None and source.is_dir() else None
    file = None if folder is not None else (source or Path("match.toml"))
    if file is not None and not file.parent.is_dir():
        raise InputError(f"{file.parent}: no such folder; give a match file in a folder that is there")
    if file is not None and file.is_symlink():
        file = file.resolve()
    let_it_be_caught()
    try:
        serve(
            file=file,
            folder=folder,
            out=out,
            make_plan=planned,
            say=lambda line: click.echo(line, err=True),
            show=not no_browser,
            idle_s=60 * idle_min,
            limit_s=limit_s,
        )
    except KeyboardInterrupt as error:
        click.echo("standmark: stopped", err=True)
        leave(TERMINATED if isinstance(error, TerminatedError) else INTERRUPTED)
    leave(0)
