"""Share of real events that given positions capture usably, event by event, beside what the zones promise.

An event lies in the frame of the side that acts, which attacks toward +x. On the ground that is laid both ways, with
the weights that the match gives to its sides in the period (`turns`); without a period, periods count by their
length. An event without a named moment is scored as the mixture of the moments of play whose zones hold its place,
each weighed by its worth and by how likely it is there; a place outside all zones takes the moment of the nearest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.optimizer.match.match import Match
from standmark.optimizer.scoring.choice import PeriodTask, Stations
from standmark.optimizer.scoring.lattice import Lattice
from standmark.optimizer.value.quality import Surroundings
from standmark.optimizer.value.targets import moment_weight, targets_at, turns
from standmark.optimizer.work.assignment import PeriodPlan, station_factors
from standmark.sports.sport import KeyMoment
from standmark.sports.timeline import length_shares

UNKNOWN = -1


@dataclass(frozen=True, eq=False)
class Events:
    """Real events, one row each."""

    xy_m: Floats  # shape (n, 2), attack toward +x
    moment: Indices  # shape (n,), index into the sport's moments; UNKNOWN: not named
    period: Indices  # shape (n,), index into the sport's periods; UNKNOWN
    weight: Floats  # shape (n,), >= 0
    match: Indices  # shape (n,), which real match it comes from; UNKNOWN


@dataclass(frozen=True, eq=False)
class Kinds:
    """What events count as."""

    share: Floats  # shape (n, n_moments), how much of an event counts as each moment; rows sum to 1
    outside: Flags  # shape (n,), lies in no zone of its moment (named) or of any moment


@dataclass(frozen=True, eq=False)
class Captures:
    """What positions capture of each event, and what the zones of its moment promise."""

    captured: Floats  # shape (n, n_moments), probability that it is captured usably, were it that moment
    promised: Floats  # shape (n, n_moments), the same averaged over the moment's zones


def capture(
    match: Match,
    choice: Sequence[Stations],
    periods: Sequence[PeriodPlan],
    tasks: Sequence[PeriodTask],
    events: Events,
    *,
    kinds: Kinds,
) -> Captures:
    """Score events one by one, exactly at their places.

    Parameters
    ----------
    choice : for each period one station for each camera
    periods : the score of the choice, for what it promises
    kinds : what the events count as
    """
    mixes = _period_mix(match, events)
    captured, promised = np.zeros_like(kinds.share), np.zeros_like(kinds.share)
    for index, moment in enumerate(match.sport.moments):
        own = np.flatnonzero(kinds.share[:, index] > 0)
        if not len(own):
            continue
        promise = np.array([planned.seen_by_moment.get(moment.key, 0.0) for planned in periods])
        promised[own, index] = mixes[own] @ promise
        captured[own, index] = _captured(match, moment, events.xy_m[own], mixes[own], choice, tasks)
    return Captures(captured, promised)


def event_kinds(match: Match, events: Events) -> Kinds:
    """Say how much of each event counts as each moment, and which events lie in no zone of theirs."""
    moments = match.sport.moments
    share = np.zeros((len(events.moment), len(moments)))
    outside = np.zeros(len(events.moment), dtype=bool)
    unnamed = np.flatnonzero(events.moment == UNKNOWN)
    worth = np.array([moment_weight(match, m) if m.is_play else 0.0 for m in moments])
    for index, moment in enumerate(moments):
        own = np.flatnonzero(events.moment == index)
        share[own, index] = 1.0
        outside[own] = moment_density(moment, events.xy_m[own]) <= 0
        if worth[index] > 0:
            share[unnamed, index] = worth[index] * moment_density(moment, events.xy_m[unnamed])
    total = share.sum(axis=1)
    stray = np.flatnonzero(total <= 0)
    if len(stray):
        share[stray, _nearest_moment(match, events.xy_m[stray], worth)] = 1.0
        outside[stray] = True
    return Kinds(share / share.sum(axis=1)[:, None], outside)


def moment_density(moment: KeyMoment, xy_m: Floats) -> Floats:
    """Probability density of one moment at places for an attack toward +x [1/m2]; half of it on the edge of a zone.

    A moment that is the same for both sides lies on the ground as it is, while an event comes in the frame of the
    side that acts: either way round is as likely.

    Returns
    -------
    shape (n,)
    """
    if moment.sided:
        return _laid_density(moment, xy_m)
    return 0.5 * (_laid_density(moment, xy_m) + _laid_density(moment, -xy_m))


def cell_density(moment: KeyMoment, lattice: Lattice, *, fine: int = 3) -> Floats:
    """Mean density of one moment over every cell of a lattice [1/m2], from fine x fine places in each.

    Returns
    -------
    shape (nx, ny), 0 outside the playing area
    """
    x, y = (_fine_places(edges, fine) for edges in (lattice.x_m, lattice.y_m))
    places = np.column_stack([part.ravel() for part in np.meshgrid(x, y, indexing="ij")])
    nx, ny = lattice.shape
    density = moment_density(moment, places).reshape(nx, fine, ny, fine).mean(axis=(1, 3))
    return np.asarray(density * (lattice.area_m2 > 0))


def _fine_places(edges: Floats, fine: int) -> Floats:
    step = (edges[1] - edges[0]) / fine
    return np.asarray(edges[0] + step * (np.arange(fine * (len(edges) - 1)) + 0.5))


def _laid_density(moment: KeyMoment, xy_m: Floats) -> Floats:
    density = np.zeros(len(xy_m))
    x, y = xy_m.T
    for zone in moment.zones:
        shapely.prepare(zone.shape)
        held = 0.5 * shapely.intersects_xy(zone.shape, x, y) + 0.5 * shapely.contains_xy(zone.shape, x, y)
        density += (zone.weight / zone.shape.area) * held
    return density


def _nearest_moment(match: Match, xy_m: Floats, worth: Floats) -> Indices:
    points = shapely.points(xy_m)
    distance = np.column_stack([
        shapely.distance(shapely.union_all([zone.shape for zone in moment.zones]), points)
        for moment in match.sport.moments
    ])  # fmt: skip
    return np.asarray(np.argmin(np.where(worth > 0, distance, np.inf), axis=1))


def _period_mix(match: Match, events: Events) -> Floats:
    """Share of each period in each event, shape (n, n_periods)."""
    mix = np.tile(length_shares(match.sport.periods), (len(events.period), 1))
    known = events.period != UNKNOWN
    mix[known] = 0.0
    mix[known, events.period[known]] = 1.0
    return mix


def _captured(
    match: Match,
    moment: KeyMoment,
    xy_m: Floats,
    mixes: Floats,
    choice: Sequence[Stations],
    tasks: Sequence[PeriodTask],
) -> Floats:
    """Probability that each event is captured were it this moment; places that repeat are computed once."""
    plane, where = np.unique(xy_m[:, 0] + 1j * xy_m[:, 1], return_inverse=True)
    places = np.column_stack([plane.real, plane.imag])
    seen: dict[tuple[Stations, Surroundings, bool], Floats] = {}
    captured = np.zeros(len(xy_m))
    for index, (stations, task) in enumerate(zip(choice, tasks, strict=True)):
        if not mixes[:, index].any():
            continue
        laid = [(turned, weight) for turned, weight in turns(match, task.period, sided=moment.sided) if weight > 0]
        total = sum(weight for _, weight in laid)
        for turned, weight in laid:
            key = stations, task.around, turned
            if key not in seen:
                targets = targets_at(moment, places, turned=turned)
                each = [station_factors(match, s, targets, around=task.around).seen for s in stations]
                seen[key] = np.max(each, axis=0)
            captured += mixes[:, index] * (weight / total) * seen[key][where]
    return captured
