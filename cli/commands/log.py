"""`standmark log`: what was filmed, held against what the plan promised."""

from __future__ import annotations

from pathlib import Path

import click

from standmark.cli.commands.options import force_option, sports_dir_option

NEW = "new"


@click.command("log", short_help="Compare what you filmed with what the plan promised.")
@click.argument("plan_file", metavar="[new] PLAN.json", type=click.Path(path_type=Path))
@click.argument("log_file", metavar="[LOG.csv]", type=click.Path(path_type=Path), required=False)
@click.option("-o", "--out", type=click.Path(path_type=Path), help="With new: where to write the empty table.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of words.")
@sports_dir_option
@force_option
def command(plan_file: Path, log_file: Path | None, out: Path | None, as_json: bool, force: bool) -> None:
    """Compare what you filmed with what the plan promised, moment by moment.

    First write the empty table with "new", and count in it after the match (or on the phone page): how often each
    moment happened, how often you got it and, if you like, why not.

    Example: standmark log new plan/plan.json -o log.csv

    Example: standmark log plan/plan.json log.csv
    """
    if str(plan_file) == NEW:
        _write_empty(log_file, out, force=force)
        return
    if log_file is None:
        raise click.UsageError("a log is missing; write an empty one with: standmark log new PLAN.json -o log.csv")
    if out is not None:
        raise click.UsageError("-o goes with new")

    from standmark.cli.exports.log_json import log_document
    from standmark.cli.input.log_file import counts_of, read_log
    from standmark.cli.input.logged_plan import read_planned
    from standmark.cli.words.log_words import log_text
    from standmark.cli.words.plain_data import document_text
    from standmark.geometry.errors import InputError
    from standmark.optimizer.scoring.logs.held_to_promise import held_to_promise
    from standmark.optimizer.scoring.logs.promise import promises

    planned, log = read_planned(plan_file), read_log(log_file)
    counts = counts_of(log, planned)
    if not counts:
        raise InputError(f"{log_file}: nothing is counted in it; fill in happened and got")
    outcomes = held_to_promise(counts, promises(planned))
    sport = planned.match.sport
    click.echo(document_text(log_document(outcomes, planned)) if as_json else log_text(outcomes, sport), nl=False)


def _write_empty(plan_file: Path | None, out: Path | None, *, force: bool) -> None:
    from standmark.cli.exports.log_table import empty_log
    from standmark.cli.input.logged_plan import read_planned
    from standmark.cli.terminal.write_files import check_free, write_one

    if plan_file is None or out is None:
        raise click.UsageError("write: standmark log new PLAN.json -o log.csv")
    check_free(out.parent, [out.name], force=force, inputs=[plan_file])
    written = write_one(out, empty_log(read_planned(plan_file)), force=force)
    click.echo(f"wrote {written}", err=True)
