"""Logs of a league's matches beside the book: at each position, what was promised and what was got."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from standmark.cli.book.record_types import (
    GroundRecord,
)
from standmark.cli.input.log_file import counts_of, read_log
from standmark.cli.input.logged_plan import digest_of, read_planned
from standmark.geometry.errors import InputError
from standmark.optimizer.scoring.logs.filmed import Count
from standmark.optimizer.scoring.logs.held_to_promise import promise_of
from standmark.optimizer.scoring.logs.interval import share_interval
from standmark.optimizer.scoring.logs.promise import PlannedMatch, promises

NEAR_M = 3.0  # a camera that stood this near a position filmed from it
MOST_FILES = 20_000


@dataclass(frozen=True)
class FilmedFrom:
    """What one camera's log says of the place it stood at in one period."""

    venue: str
    x_m: float
    y_m: float
    log: str  # digest of its plan: one match
    asked: int
    got: int
    promised: float  # how many of `asked` the plan promised


@dataclass(frozen=True)
class PositionLogs:
    """All logs of a position together."""

    code: str
    n_matches: int
    happened: int
    got: int
    promised: float  # share
    interval: tuple[float, float]

    @property
    def disappoints(self) -> bool:
        """Whether less was got than chance explains."""
        return self.interval[1] < self.promised


def read_logs(folder: Path) -> tuple[tuple[FilmedFrom, ...], tuple[str, ...]]:
    """Read every log (*.csv) below a folder with its plan.json, which lies anywhere below it too.

    Returns
    -------
    what was filmed from where, and one line for each log that could not be used

    Raises
    ------
    InputError : there is no such folder
    """
    if not folder.is_dir():
        raise InputError(f"--logs {folder}: is not a folder; give one with logs (*.csv) and their plan.json")
    plans = {d: p for p in _files(folder, "*.json") if (d := digest_of(p)) is not None}
    filmed: list[FilmedFrom] = []
    faults: list[str] = []
    for path in _files(folder, "*.csv"):
        try:
            log = read_log(path)
            if log.digest not in plans:
                raise InputError(f"{path}: its plan.json is not below {folder}")
            planned = read_planned(plans[log.digest])
            filmed += _filmed_from(planned, counts_of(log, planned))
        except InputError as error:
            faults.append(error.unquoted)
    return tuple(filmed), tuple(faults)


def logs_digest(folder: Path | None) -> str:
    """Fingerprint of all logs and plans below a folder; empty for none."""
    if folder is None:
        return ""
    digest = hashlib.sha256()
    for path in (*_files(folder, "*.csv"), *_files(folder, "*.json")):
        digest.update(path.relative_to(folder).as_posix().encode() + b"\0" + str(path.stat().st_size).encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def position_logs(record: GroundRecord, filmed: Iterable[FilmedFrom]) -> dict[str, PositionLogs]:
    """Put together the logs of each position of a ground, by the position's code."""
    here = [f for f in filmed if f.venue == record["name"]]
    logs = {}
    for position in record["positions"]:
        if not position["filled"]:
            continue
        place_m = (position["x_m"], position["y_m"])
        own = [f for f in here if math.dist(place_m, (f.x_m, f.y_m)) <= NEAR_M and f.asked]
        if own:
            happened, got = sum(f.asked for f in own), sum(f.got for f in own)
            logs[position["code"]] = PositionLogs(
                code=position["code"],
                n_matches=len({f.log for f in own}),
                happened=happened,
                got=got,
                promised=sum(f.promised for f in own) / happened,
                interval=share_interval(got, happened),
            )
    return logs


def disappointing(logs: Iterable[PositionLogs]) -> list[PositionLogs]:
    """Positions where less was got than chance explains, the worst first."""
    return sorted((p for p in logs if p.disappoints), key=lambda p: p.got / p.happened - p.promised)


def _files(folder: Path, pattern: str) -> Sequence[Path]:
    """Plain files below a folder, links left out, in a fixed order."""
    paths = (p for p in folder.rglob(pattern) if p.is_file() and not p.is_symlink())
    return sorted(islice(paths, MOST_FILES))


def _filmed_from(planned: PlannedMatch, counts: Sequence[Count]) -> Iterator[FilmedFrom]:
    by_row = {(p.camera, p.period, p.moment, p.attack): p for p in promises(planned)}
    for period in planned.periods:
        for camera in period.cameras:
            own = [c for c in counts if (c.camera, c.period) == (camera.name, period.period.key)]
            pairs = [(c, p) for c in own if (p := promise_of(c, by_row)) is not None]
            yield FilmedFrom(
                venue=planned.match.venue.name,
                x_m=camera.position_m[0],
                y_m=camera.position_m[1],
                log=planned.digest,
                asked=sum(c.asked for c, _ in pairs),
                got=sum(c.got for c, _ in pairs),
                promised=sum(c.asked * float(p.stated[0]) for c, p in pairs),
            )
