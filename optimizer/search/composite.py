"""Composite rows: one place held through several periods, with a row (a lens) of its own in each.

A camera that stays is one choice of a composite; a camera that moves is one for each of its stays.
Side by side, the targets of all periods make one search problem whose rows are composites: a composite sees nothing
outside its stay, and its period mask keeps limits within each period.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.search.clash import Clashes
from standmark.optimizer.search.kernel import gains
from standmark.optimizer.search.problem import Rows, SearchProblem


@dataclass(frozen=True)
class Stint:
    """One camera at one place, from the first period up to before the last."""

    camera: int
    first: int
    stop: int


@dataclass(frozen=True, eq=False)
class Composites:
    """Composite rows of one stay."""

    rows: Rows  # shape (n, n_periods), row taken in each period; -1 outside the stay
    worth: Floats  # shape (n,), what they add above the prices they were read at


@dataclass(frozen=True, eq=False)
class Reading:
    """What every row adds above the prices, period by period."""

    base: float
    rho: tuple[Floats, ...]  # for each period, shape (n_rows,)


def read_at(problems: tuple[SearchProblem, ...], target_price: Singles, floor_price: Floats) -> Reading:
    """Read every row of every period at prices on all targets and floors, side by side."""
    base, rho, first, first_floor = 0.0, [], 0, 0
    for problem in problems:
        price = target_price[first : first + problem.weight.size]
        weight = problem.weight.astype(np.float64)
        for (targets, share), extra in zip(problem.floors, floor_price[first_floor:], strict=False):
            weight[targets] += extra * problem.weight[targets]
            base -= extra * (share - 1e-9) * float(problem.weight[targets].sum())
        base += float(weight @ price.astype(np.float64))
        rho.append(gains(problem.quality, price, weight))
        first += problem.weight.size
        first_floor += len(problem.floors)
    return Reading(base, tuple(rho))


def worth_of_places(problems: tuple[SearchProblem, ...], row_place: Rows, reading: Reading, stay: Stint) -> Floats:
    """Most that a camera at each place adds over a stay; -inf where it may not stand through all of it."""
    n_places = int(row_place.max(initial=-1)) + 1
    total = np.zeros(n_places)
    for period in range(stay.first, stay.stop):
        own = problems[period].rows_by_camera[stay.camera]
        best = np.full(n_places, -np.inf)
        np.maximum.at(best, row_place[own], reading.rho[period][own])
        total += best
    return total


def composites_above(
    problems: tuple[SearchProblem, ...],
    row_place: Rows,
    reading: Reading,
    stay: Stint,
    *,
    least: float,
    most: int,
) -> Composites:
    """Composites of a stay that add more than `least`; the dearest, where they are more than `most`."""
    worth = worth_of_places(problems, row_place, reading, stay)
    places = np.flatnonzero(worth > least)
    if places.size > most:
        places = places[np.argsort(-worth[places], kind="stable")[:most]]
    rows = np.full((1, len(problems)), -1, np.intp)
    sums, at = np.zeros(1), np.full(1, -1, np.intp)
    later = worth.copy()
    for period in range(stay.first, stay.stop):
        own = problems[period].rows_by_camera[stay.camera]
        own = own[np.isin(row_place[own], places)]
        best = np.full(worth.size, -np.inf)
        np.maximum.at(best, row_place[own], reading.rho[period][own])
        later[places] -= best[places]
        parent, row = (
            _same_place(at, row_place[own])
            if period > stay.first
            else (np.zeros(own.size, np.intp), np.arange(own.size))
        )
        rows, at = rows[parent], row_place[own[row]]
        rows[:, period] = own[row]
        sums = sums[parent] + reading.rho[period][own[row]]
        keep = np.flatnonzero(sums + later[at] > least)
        if keep.size > most:
            keep = keep[np.argsort(-(sums + later[at])[keep], kind="stable")[:most]]
        rows, at, sums = rows[keep], at[keep], sums[keep]
    return Composites(rows, sums)


def best_at_places(
    problems: tuple[SearchProblem, ...], row_place: Rows, reading: Reading, stay: Stint, places: Rows
) -> Composites:
    """Best composite of a stay at each of some places, where a camera may stand all through it."""
    rows = np.full((places.size, len(problems)), -1, np.intp)
    worth = np.zeros(places.size)
    for period in range(stay.first, stay.stop):
        own = problems[period].rows_by_camera[stay.camera]
        ascending = own[np.argsort(reading.rho[period][own], kind="stable")]
        best = np.full(int(row_place.max()) + 1, -1, np.intp)
        best[row_place[ascending]] = ascending
        rows[:, period] = best[places]
        worth += reading.rho[period][rows[:, period]]
    return Composites(rows, worth)


def joined_pools(*pools: Composites) -> Composites:
    """Composites of several pools, each once."""
    rows, first = np.unique(np.concatenate([pool.rows for pool in pools]), axis=0, return_index=True)
    return Composites(rows, np.concatenate([pool.worth for pool in pools])[first])


def _same_place(places: Rows, others: Rows) -> tuple[Rows, Rows]:
    """All pairs of positions in two arrays that hold the same place."""
    order = np.argsort(others, kind="stable")
    low = np.searchsorted(others[order], places, side="left")
    n = np.searchsorted(others[order], places, side="right") - low
    parent = np.repeat(np.arange(places.size), n)
    within = np.arange(n.sum()) - np.repeat(np.cumsum(n) - n, n)
    return parent, order[low[parent] + within]


def pooled_problem(problems: tuple[SearchProblem, ...], pools: list[Composites]) -> tuple[SearchProblem, Rows]:
    """Search problem over the composites of some stays, one pool for each; and the rows of each composite.

    Stretches that share a pool (the same object) are interchangeable.
    """
    distinct = list({id(pool): pool for pool in pools}.values())
    rows = np.concatenate([pool.rows for pool in distinct])
    starts = np.cumsum([0, *(len(pool.rows) for pool in distinct)])
    range_of = {id(pool): np.arange(a, b) for pool, a, b in zip(distinct, starts, starts[1:], strict=False)}
    offsets = np.cumsum([0, *(problem.weight.size for problem in problems)])
    quality = np.zeros((len(rows), int(offsets[-1])), np.float32)
    floors = []
    for period, problem in enumerate(problems):
        present = rows[:, period] >= 0
        quality[present, offsets[period] : offsets[period + 1]] = problem.quality[rows[present, period]]
        floors += [(targets + offsets[period], share) for targets, share in problem.floors]
    stand = rows.max(axis=1, initial=-1)
    like = problems[0]
    return (
        SearchProblem(
            quality,
            np.concatenate([problem.weight for problem in problems]),
            tuple(range_of[id(pool)] for pool in pools),
            xy_m=None if like.xy_m is None else like.xy_m[stand],
            separation_m=like.separation_m,
            group=None if like.group is None else like.group[stand],
            group_cap=like.group_cap,
            clashes=_joined_clashes(problems, rows, stand),
            floors=tuple(floors),
            period_mask=((rows >= 0) << np.arange(len(problems))).sum(axis=1),
        ),
        rows,
    )


def _joined_clashes(problems: tuple[SearchProblem, ...], rows: Rows, stand: Rows) -> Clashes | None:
    """Clashes of composites: those of the rows that they take in each period; outside its stretch one has no mark.

    Parameters
    ----------
    rows : shape (n, n_periods), row taken in each period, -1 for none
    stand : shape (n,), a row at the place of each composite
    """
    own = [problem.clashes for problem in problems]
    known = [clashes for clashes in own if clashes is not None]
    if not known:
        return None
    marks = [
        np.where(rows[:, period, None] >= 0, clashes.mark[rows[:, period]], np.uint64(0))
        for period, clashes in enumerate(own)
        if clashes is not None
    ]
    between = np.concatenate([clashes.between for clashes in known], axis=2)
    return Clashes(np.concatenate(marks, axis=1), known[0].place[stand], between)
