"""Events counted for an estimate of zones: one pass over the file, memory of fixed size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.input.events_file import header_of, read_events
from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.scoring.estimate import N_FOLDS, ZoneEstimate, estimate_zones
from standmark.optimizer.scoring.events import UNKNOWN, Events, cell_density
from standmark.optimizer.scoring.lattice import CELLS, Lattice, ground_lattice, lattice_counts
from standmark.optimizer.scoring.zones import ZoneBox
from standmark.sports.sport import KeyMoment, Sport
from standmark.sports.toml.file import did_you_mean

LEAST_EVENTS = 50  # fewer say too little about where a moment happens: its zones stay
MOST_OFF = 0.02  # of a moment's events off the playing area, for it to be one that happens on the playing area only
RUN_ROWS = 50  # rows of a file without match_id that go to one fold together


@dataclass(frozen=True)
class NewMoment:
    """What replaces the zones, and if wanted the rate, of one moment."""

    key: str
    boxes: tuple[ZoneBox, ...]
    mirror: str
    grow_m: float = 0.0  # how far beyond the playing area the boxes may lie
    rate_per_match: float | None = None


@dataclass(frozen=True, eq=False)
class EventGround:
    """Where events are counted: the playing area, or the playing area with its surroundings."""

    outline: BaseGeometry
    grow_m: float  # beyond the playing area
    lattice: Lattice


@dataclass(frozen=True, eq=False)
class GroundCounts:
    """Events of one moment on one ground."""

    folds: Floats  # shape (n_folds, nx, ny), event weight by cell
    n_off: int = 0  # events farther off than a cell, not counted in


@dataclass(frozen=True, eq=False)
class MomentCounts:
    """Events of one moment."""

    moment: KeyMoment
    on: tuple[GroundCounts, GroundCounts]  # on the playing area, and with its surroundings
    n_events: int = 0
    matches: frozenset[int] = frozenset()

    @property
    def is_off_area(self) -> bool:
        """Does it often happen off the playing area, such as a serve or a stroke behind the baseline."""
        return self.on[0].n_off > MOST_OFF * self.n_events

    @property
    def own(self) -> GroundCounts:
        """Counts on the ground on which the moment happens."""
        return self.on[int(self.is_off_area)]


@dataclass(frozen=True, eq=False)
class EventCounts:
    """Events of all moments; its size depends on the sport and the number of matches only."""

    sport: Sport
    grounds: tuple[EventGround, EventGround]  # the playing area, and with its surroundings
    by_moment: dict[str, MomentCounts]
    n_rows: int = 0
    n_unnamed: int = 0
    matches: frozenset[int] = frozenset()


def no_counts(sport: Sport) -> EventCounts:
    """Counts before the first event."""
    grow_m = surroundings_m(sport)
    outline = sport.area.outline
    around = outline.buffer(grow_m, join_style="mitre")
    cells = round(CELLS * _longer_m(around) / _longer_m(outline))  # as large as those of the playing area
    grounds = (
        EventGround(outline, 0.0, ground_lattice(outline)),
        EventGround(around, grow_m, ground_lattice(around, cells=cells)),
    )
    first, second = (GroundCounts(np.zeros((N_FOLDS, *ground.lattice.shape))) for ground in grounds)
    return EventCounts(sport, grounds, {m.key: MomentCounts(m, (first, second)) for m in sport.moments})


def surroundings_m(sport: Sport) -> float:
    """How far beyond the playing area the definition reaches [m]: run-off and zones, in whole metres."""
    shapes = [sport.area.run_off, *(zone.shape for moment in sport.moments for zone in moment.zones)]
    points = shapely.points(np.concatenate([shapely.get_coordinates(shape) for shape in shapes]))
    return float(np.ceil(shapely.distance(sport.area.outline, points).max()))


def _longer_m(shape: BaseGeometry) -> float:
    low_x, low_y, high_x, high_y = shape.bounds
    return max(high_x - low_x, high_y - low_y)


def ground_of(counts: EventCounts, key: str) -> EventGround:
    """Ground on which a moment happens."""
    return counts.grounds[int(counts.by_moment[key].is_off_area)]


def added(counts: EventCounts, events: Events) -> EventCounts:
    """Count a part of the events in."""
    fold = _folds(events, counts.n_rows)
    by_moment = dict(counts.by_moment)
    for index in np.unique(events.moment[events.moment != UNKNOWN]):
        own = (events.moment == index) & (events.weight > 0)
        key = counts.sport.moments[index].key
        by_moment[key] = _moment_added(by_moment[key], counts.grounds, events, own, fold)
    return replace(
        counts,
        by_moment=by_moment,
        n_rows=counts.n_rows + len(events.weight),
        n_unnamed=counts.n_unnamed + int((events.moment == UNKNOWN).sum()),
        matches=counts.matches | _matches(events.match),
    )


def _moment_added(
    counts: MomentCounts, grounds: tuple[EventGround, EventGround], events: Events, own: Flags, fold: Indices
) -> MomentCounts:
    parts = events.xy_m[own], events.weight[own], fold[own]
    first, second = (_ground_added(on, ground, *parts) for on, ground in zip(counts.on, grounds, strict=True))
    return replace(
        counts,
        on=(first, second),
        n_events=counts.n_events + int(own.sum()),
        matches=counts.matches | _matches(events.match[own]),
    )


def _ground_added(
    counts: GroundCounts, ground: EventGround, xy_m: Floats, weight: Floats, fold: Indices
) -> GroundCounts:
    """Count events in; those within a cell of the ground are on its edge, for positions are rounded."""
    step_m = float(ground.lattice.x_m[1] - ground.lattice.x_m[0])
    is_near = shapely.distance(ground.outline, shapely.points(xy_m)) <= step_m
    folds = counts.folds.copy()
    for number in np.unique(fold[is_near]):
        mine = is_near & (fold == number)
        folds[number] += lattice_counts(ground.lattice, xy_m[mine], weight[mine])
    return GroundCounts(folds, counts.n_off + int((~is_near).sum()))


def _matches(index: Indices) -> frozenset[int]:
    return frozenset(np.unique(index[index != UNKNOWN]).tolist())


def _folds(events: Events, first_row: int) -> Indices:
    """Fold of each event: whole matches go together, or runs of rows where the file does not name the matches."""
    rows = np.arange(first_row, first_row + len(events.weight)) // RUN_ROWS
    return np.where(events.match == UNKNOWN, rows, events.match) % N_FOLDS


def zone_estimates(counts: EventCounts, *, most: int) -> dict[str, ZoneEstimate]:
    """Zones of every moment with enough events.

    Raises
    ------
    InputError : no moment has enough
    """
    estimates = {
        key: _estimate(own, ground_of(counts, key).lattice, most)
        for key, own in counts.by_moment.items()
        if _is_enough(own)
    }
    if not estimates:
        largest = max((own.n_events for own in counts.by_moment.values()), default=0)
        raise InputError(
            f"no key moment has the {LEAST_EVENTS} events that an estimate needs, from two matches or more "
            f"(most: {largest}); add events, or keep the zones that come with the sport"
        )
    return estimates


def _is_enough(own: MomentCounts) -> bool:
    """Are there enough events, in enough folds."""
    is_known = own.n_events - own.own.n_off >= LEAST_EVENTS
    return is_known and int((own.own.folds.sum(axis=(1, 2)) > 0).sum()) >= 2


def _estimate(own: MomentCounts, lattice: Lattice, most: int) -> ZoneEstimate:
    return estimate_zones(
        lattice,
        own.own.folds,
        n_events=own.n_events - own.own.n_off,
        n_matches=len(own.matches),
        shipped=cell_density(own.moment, lattice),
        mirrors=("y", "none") if own.moment.sided else ("xy",),
        most=most,
    )


def new_moments(counts: EventCounts, estimates: dict[str, ZoneEstimate], *, with_rates: bool) -> list[NewMoment]:
    """List what replaces the definition's zones and, if wanted, rates: where the new zones predict events better.

    Raises
    ------
    InputError : rates are wanted of events that do not name their match
    """
    n = len(counts.matches)
    if with_rates and not n:
        raise InputError("--rates needs a column match_id in the events")
    return [
        NewMoment(
            key,
            e.boxes,
            e.mirror,
            grow_m=ground_of(counts, key).grow_m,
            rate_per_match=counts.by_moment[key].n_events / n if with_rates else None,
        )
        for key, e in estimates.items()
        if e.is_better
    ]


def count_events(path: Path, sport: Sport, *, moment: str | None) -> EventCounts:
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
    counts = no_counts(sport)
    for part in _named(read_events(path, sport), None if moment is None else keys.index(moment)):
        counts = added(counts, part)
    return counts


def _named(parts: Iterable[Events], moment: int | None) -> Iterable[Events]:
    for part in parts:
        yield part if moment is None else replace(part, moment=np.full(len(part.weight), moment, dtype=np.intp))
