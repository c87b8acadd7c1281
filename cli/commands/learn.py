"""`standmark learn`: what logs say of an operator."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from standmark.cli.commands.options import force_option, sports_dir_option

if TYPE_CHECKING:
    from standmark.cli.input.log_file import LogFile
    from standmark.optimizer.scoring.logs.promise import PlannedMatch

MOST_FILES = 2000


@click.command("learn", short_help="Learn from your logs how you film.")
@click.argument("logs", metavar="LOGS.csv...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--plans",
    type=click.Path(path_type=Path),
    help="Folder with the plans; if left out, standmark looks beside each log.",
)
@click.option("-o", "--out", type=click.Path(path_type=Path), required=True, help="Operator file to write.")
@sports_dir_option
@force_option
def command(logs: tuple[Path, ...], plans: Path | None, out: Path, force: bool) -> None:
    """Learn from your logs how late you follow play, how large you frame, and how often things happen.

    The digest in the first line of a log says which plan.json it belongs to. That is looked up beside the log and in
    the folders next to it, or below the folder given with --plans. Use the result in a match file: operator_file
    under [[camera]]. Nothing leaves this computer, and it asks for no name.

    Example: standmark learn season/*.csv -o me.toml
    """
    from standmark.cli.exports.profile_file import profile_toml
    from standmark.cli.input.log_file import counts_of, read_log
    from standmark.cli.terminal.write_files import check_free, write_one
    from standmark.cli.words.log_words import profile_text
    from standmark.geometry.errors import InputError
    from standmark.optimizer.scoring.logs.profile import FilmedMatch, learn
    from standmark.optimizer.scoring.logs.promise import promises

    check_free(out.parent, [out.name], force=force, inputs=logs)
    matches: list[FilmedMatch] = []
    known: dict[str, PlannedMatch] = {}
    for path in logs:
        log = read_log(path)
        planned = known.get(log.digest) or _plan_of(log, path, plans)
        known[log.digest] = planned
        counts = counts_of(log, planned)
        if counts:
            matches.append(FilmedMatch(planned, tuple(promises(planned)), counts))
    if not matches:
        raise InputError("nothing is counted in any of the logs; fill in happened and got")
    profile = learn(matches)
    written = write_one(out, profile_toml(profile), force=force)
    sports = {match.planned.match.sport.key: match.planned.match.sport for match in matches}
    click.echo(profile_text(profile, sports), nl=False)
    click.echo(f"wrote {written}", err=True)


def _plan_of(log: LogFile, path: Path, plans: Path | None) -> PlannedMatch:
    """Find the plan that a log was made from.

    Raises
    ------
    InputError : there is none
    """
    from itertools import islice

    from standmark.cli.input.logged_plan import digest_of, read_planned
    from standmark.geometry.errors import InputError

    folder = path.parent if plans is None else plans
    pattern = "**/*.json" if plans is not None else "*.json"
    nearby = [*folder.glob(pattern), *(folder.glob("*/plan.json") if plans is None else ())]
    for candidate in islice(sorted(set(nearby)), MOST_FILES):
        if digest_of(candidate) == log.digest:
            return read_planned(candidate)
    raise InputError(f"{path}: its plan.json is not in {folder}; give the folder that holds it with --plans")
