"""`standmark book`: standard positions for every ground of a league."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import force_option, sports_dir_option, units_option

if TYPE_CHECKING:
    from standmark.cli.book.make import Made

MOST_FAILURES_SHOWN = 20


@click.command("book", short_help="Make a position book for all grounds of a league.")
@click.argument("folder", metavar="FOLDER", type=click.Path(path_type=Path))
@click.option("-o", "--out", "out", type=click.Path(path_type=Path), required=True, help="Folder for the book.")
@click.option(
    "--standard",
    type=click.Path(path_type=Path),
    help="The league's standard positions (TOML); if left out, a general one.",
)
@click.option("--jobs", type=click.IntRange(1, 1024), help="How many processes; if left out, one for each core.")
@click.option(
    "--since", type=click.Path(path_type=Path), help="An earlier edition: codes stay, and the book says what changed."
)
@click.option(
    "--logs", type=click.Path(path_type=Path), help="Folder with logs and their plans, to show what crews got."
)
@click.option("--scheduler", metavar="ADDRESS", help='Work on a Dask cluster instead ("tcp://host:8786").')
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Of the PDF.")
@units_option
@sports_dir_option
@click.option("-q", "--quiet", is_flag=True, help="Print nothing but errors.")
@force_option
def command(
    folder: Path,
    out: Path,
    standard: Path | None,
    jobs: int | None,
    since: Path | None,
    logs: Path | None,
    scheduler: str | None,
    paper: str,
    units: str,
    quiet: bool,
    force: bool,
) -> int:
    """Make a position book for all grounds of a league.

    Every match or ground file below FOLDER gets its coded standard positions: an HTML site, a PDF, a table and map
    features. If a run was stopped, give the same command again: it goes on from there.

    Example: standmark book examples/league --out book/
    """
    from standmark.cli.book.engine import all_cores
    from standmark.cli.book.make import Order, make_book
    from standmark.cli.main import Exit
    from standmark.cli.words.units import Units

    order = Order(
        folder, out, standard=standard, jobs=jobs or all_cores(), since=since, scheduler=scheduler, force=force,
        units=Units(units), paper=paper, quiet=quiet, logs=logs,
    )  # fmt: skip
    made = make_book(order)
    if not quiet:
        _say(made, out, since)
    for failure in made.failures[:MOST_FAILURES_SHOWN]:
        click.echo(failure.reason, err=True)
    if len(made.failures) > MOST_FAILURES_SHOWN:
        click.echo(f"and {len(made.failures) - MOST_FAILURES_SHOWN} more, listed in {out / 'index.html'}", err=True)
    return Exit.SOME_FAILED if made.failures else Exit.DONE


def _say(made: Made, out: Path, since: Path | None) -> None:
    from standmark.cli.drawing.letters import letters_warning, standard_text
    from standmark.cli.words.lines import counted

    book = made.contents
    if book is None:
        click.echo(f"{out}: up to date")
        return
    click.echo(f"{counted(len(book.lines), 'ground')}, {counted(book.n_positions, 'position')}")
    if made.n_kept:
        click.echo(f"{counted(made.n_kept, 'ground')} had been done already")
    for role in book.roles:
        click.echo(f"  {role.code:4} {role.name}: {role.n_met} of {role.n_grounds} meet the standard, "
                   f"{role.n_grounds - role.n_filled} have no place")  # fmt: skip
    if book.n_short_grounds:
        click.echo(f"a needed position falls short at {counted(book.n_short_grounds, 'ground')}")
    if since is not None:
        click.echo(f"{counted(made.n_changes, 'change')} since {since}: see {out / 'changes.html'}")
    if made.failures:
        click.echo(f"{counted(len(made.failures), 'file')} could not be used")
    warning = letters_warning(
        [("the standard", standard_text(book.standard)), *((line.code, line.missing) for line in book.lines)]
    )
    if warning is not None:
        click.echo(warning, err=True)
    click.echo(f"wrote {out / 'index.html'}; next: open it in a browser", err=True)
