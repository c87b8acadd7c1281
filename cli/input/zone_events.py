"""Events counted for an estimate of zones: one pass over the file, memory of fixed size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from standmark.cli.input.events_file import header_of, read_events
from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.scoring.estimate import N_FOLDS, ZoneEstimate, estimate_zones
from standmark.optimizer.scoring.events import UNKNOWN, Events, cell_density
from standmark.optimizer.scoring.lattice import Lattice, lattice_counts
from standmark.optimizer.scoring.zones import ZoneBox
from standmark.sports.sport import KeyMoment, Sport
from standmark.sports.toml.file import did_you_mean

LEAST_EVENTS = 50  # fewer say too little about where a moment happens: its zones stay
LEAST_INSIDE = 0.5  # of a moment's zones on the playing area: benches and run-offs are not on the lattice
RUN_ROWS = 50  # rows of a file without match_id that go to one fold together


@dataclass(frozen=True)
class NewMoment:
    """What replaces the zones, and if wanted the rate, of one moment."""

    key: str
    boxes: tuple[ZoneBox, ...]
    mirror: str
    rate_per_match: float | None = None


@dataclass(frozen=True, eq=False)
class MomentCounts:
    """Events of one moment."""

    moment: KeyMoment
    folds: Floats  # shape (n_folds, nx, ny), event weight by cell
    n_events: int = 0
    matches: frozenset[int] = frozenset()


@dataclass(frozen=True, eq=False)
class EventCounts:
    """Events of all moments; its size depends on the sport and the number of matches only."""

    sport: Sport
    lattice: Lattice
    by_moment: dict[str, MomentCounts]
    n_rows: int = 0
    n_unnamed: int = 0
    matches: frozenset[int] = frozenset()


def added(counts: EventCounts, events: Events) -> EventCounts:
    """Count a part of the events in."""
    fold = _folds(events, counts.n_rows)
    by_moment = dict(counts.by_moment)
    for index in np.unique(events.moment[events.moment != UNKNOWN]):
        own = (events.moment == index) & (events.weight > 0)
        key = counts.sport.moments[index].key
        by_moment[key] = _moment_added(by_moment[key], counts.lattice, events, own, fold)
    return replace(
        counts,
        by_moment=by_moment,
        n_rows=counts.n_rows + len(events.weight),
        n_unnamed=counts.n_unnamed + int((events.moment == UNKNOWN).sum()),
        matches=counts.matches | _matches(events.match),
    )


def _moment_added(counts: MomentCounts, lattice: Lattice, events: Events, own: Flags, fold: Indices) -> MomentCounts:
    xy_m, weight = events.xy_m[own], events.weight[own]
    folds = counts.folds.copy()
    for number in np.unique(fold[own]):
        mine = fold[own] == number
        folds[number] += lattice_counts(lattice, xy_m[mine], weight[mine])
    return replace(
        counts,
        folds=folds,
        n_events=counts.n_events + int(own.sum()),
        matches=counts.matches | _matches(events.match[own]),
    )


def _matches(index: Indices) -> frozenset[int]:
    return frozenset(np.unique(index[index != UNKNOWN]).tolist())


def _folds(events: Events, first_row: int) -> Indices:
    """Fold of each event: whole matches go together, or runs of rows where the file does not name the matches."""
    rows = np.arange(first_row, first_row + len(events.weight)) // RUN_ROWS
    return np.where(events.match == UNKNOWN, rows, events.match) % N_FOLDS


def zone_estimates(counts: EventCounts, *, most: int) -> dict[str, ZoneEstimate]:
    """Zones of every moment with enough events that happens on the playing area.

    Raises
    ------
    InputError : no moment has enough
    """
    found = {
        key: _estimate(own, counts.lattice, most)
        for key, own in counts.by_moment.items()
        if _is_enough(own, counts.sport)
    }
    if not found:
        largest = max((own.n_events for own in counts.by_moment.values()), default=0)
        raise InputError(
            f"no key moment has the {LEAST_EVENTS} events that an estimate needs, from two matches or more "
            f"(most: {largest}); add events, or keep the zones that come with the sport"
        )
    return found


def _is_enough(own: MomentCounts, sport: Sport) -> bool:
    """Are there enough events, in enough folds, of a moment that lies on the playing area."""
    inside = sum(z.weight * z.shape.intersection(sport.area.outline).area / z.shape.area for z in own.moment.zones)
    return inside >= LEAST_INSIDE and own.n_events >= LEAST_EVENTS and int((own.folds.sum(axis=(1, 2)) > 0).sum()) >= 2


def _estimate(own: MomentCounts, lattice: Lattice, most: int) -> ZoneEstimate:
    return estimate_zones(
        lattice,
        own.folds,
        n_events=own.n_events,
        n_matches=len(own.matches),
        shipped=cell_density(own.moment, lattice),
        mirrors=("y", "none") if own.moment.sided else ("xy",),
        most=most,
    )


def new_moments(counts: EventCounts, estimates: dict[str, ZoneEstimate], *, with_rates: bool) -> list[NewMoment]:
    """List what replaces the definition's zones and, if wanted, rates: where the new zones foretell events better.

    Raises
    ------
    InputError : rates are wanted of events that do not name their match
    """
    n = len(counts.matches)
    if with_rates and not n:
        raise InputError("--rates needs a column match_id in the events")
    return [
        NewMoment(key, e.boxes, e.mirror, counts.by_moment[key].n_events / n if with_rates else None)
        for key, e in estimates.items()
        if e.is_better
    ]


def count_events(path: Path, sport: Sport, lattice: Lattice, *, moment: str | None) -> EventCounts:
    """Read a file of events and count them.

    Parameters
    ----------
    moment : key of the moment that every row is, when the file does not say

    Raises
    ------
    InputError : the file is not right, or neither it nor `moment` names the moments
    """
    keys = [m.key for m in sport.moments]
    has_column = "moment" in header_of(path).columns
    if has_column == (moment is not None):
        what = "has a column moment already; leave --moment out" if has_column else "has no column moment"
        more = "" if has_column else "; add it, or say what all rows are with --moment KEY"
        raise InputError(f"{path}: {what}{more}")
    if moment is not None and moment not in keys:
        raise InputError(
            f'--moment "{shown(moment)}" not known; allowed: {", ".join(keys)}{did_you_mean(moment, keys)}'
        )
    empty = {m.key: MomentCounts(m, np.zeros((N_FOLDS, *lattice.shape))) for m in sport.moments}
    counts = EventCounts(sport, lattice, empty)
    for part in _named(read_events(path, sport), None if moment is None else keys.index(moment)):
        counts = added(counts, part)
    return counts


def _named(parts: Iterable[Events], moment: int | None) -> Iterable[Events]:
    for part in parts:
        yield part if moment is None else replace(part, moment=np.full(len(part.weight), moment, dtype=np.intp))
