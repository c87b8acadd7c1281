"""Every way to fill the positions of a ground: place, height and lens, each measured against the wishes."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.optimizer.standard.fit import CLEAR, Fit, Wanted, Ways, fit, shortfall, ways_at
from standmark.optimizer.standard.joint_choice import Choices
from standmark.optimizer.standard.places import (
    OpenArea,
    Places,
    at_telling_heights,
    neighbours,
    reaches_m,
    telling_heights_m,
)
from standmark.optimizer.standard.sight import Sight
from standmark.optimizer.standard.strain import strains
from standmark.optimizer.standard.view import GroundView, is_wanted_view

COLUMNS = ("xyz_m", "area", "kit", "strain", "spread", "clear", "is_known")
LOOKS = 16  # at first
UNFILLED = (1e6, 0.0)  # cost of a needed position without a place: more than any strain
UNFILLED_OPTIONAL = (1e4, 0.0)


@dataclass(frozen=True, eq=False)
class Options:
    """The ways to fill one position, one row each."""

    wanted: Wanted  # the views that are filled together
    index: int  # of this position's view among them
    xyz_m: Floats  # shape (n, 3)
    area: Indices  # shape (n,), index into the open areas
    kit: Indices  # shape (n,), index into the kits of the view
    strain: Floats  # shape (n,), sum of squared steps short; a row that was not looked from counts as free
    spread: Floats  # shape (n,), squared distance from the middle of every band: the tie-break
    clear: Floats  # shape (n,), share of a person at the aim that is seen past fixed things
    is_known: Flags  # shape (n,), was that measured
    before: Before | None = None  # the ways as they were, and the rows that are new or moved since

    @cached_property
    def rank(self) -> NDArray[np.complex128]:
        """Strain and distance from the middle of the bands, compared one after the other, shape (n,)."""
        rank = np.empty(len(self.strain), dtype=np.complex128)
        rank.real, rank.imag = self.strain.round(9), self.spread.round(9)
        return rank

    @cached_property
    def order(self) -> Indices:
        """Rows from best to worst: by rank, then by place, then by kit."""
        if self.before is not None and (known := self.before[0]).is_sorted:
            rows = self.before[1]
            is_moved = np.zeros(len(self.strain), dtype=bool)
            is_moved[rows] = True
            return self._inserted(known.order[~is_moved[known.order]], rows[self._among(rows)])
        order = np.argsort(self.rank, kind="stable")
        in_order = self.rank[order]
        is_tied = np.zeros(len(order) + 1, dtype=bool)  # with the row before
        np.equal(in_order[1:], in_order[:-1], out=is_tied[1:-1])
        at = np.flatnonzero(is_tied[1:] | is_tied[:-1])
        if len(at):
            rows = np.sort(order[at])
            order[at] = rows[self._among(rows)]
        return order

    @property
    def is_sorted(self) -> bool:
        """Is the order of the rows known, or quickly found."""
        return "order" in vars(self) or (self.before is not None and self.before[0].is_sorted)

    @cached_property
    def best(self) -> int | None:
        """Best row, as far as one costs less than none."""
        if not len(self.strain):
            return None
        row = self.first(np.arange(len(self.strain)))
        return row if (float(self.strain[row]), float(self.spread[row])) < self.without else None

    def _among(self, rows: Indices) -> Indices:
        """Order of some rows among themselves."""
        return np.lexsort((self.kit[rows], *self.xyz_m[rows].T[::-1], self.rank[rows]))

    def _inserted(self, rest: Indices, rows: Indices) -> Indices:
        """Put rows in their places among others, both sorted already."""
        in_order, rank = self.rank[rest], self.rank[rows]
        at = np.searchsorted(in_order, rank, side="left")
        ends = np.searchsorted(in_order, rank, side="right")
        for i in np.flatnonzero(ends > at).tolist():
            at[i] = bisect_left(rest, self._place(int(rows[i])), at[i], ends[i], key=self._place)
        order = np.empty(len(rest) + len(rows), dtype=np.intp)
        is_rest = np.ones(len(order), dtype=bool)
        to = at + np.arange(len(rows))
        is_rest[to], order[to] = False, rows
        order[is_rest] = rest
        return order

    def _place(self, row: int) -> tuple[float, ...]:
        return (*self.xyz_m[row].tolist(), int(self.kit[row]), int(row))

    def first(self, rows: Indices) -> int:
        """Best of some rows."""
        for column in (self.rank, *self.xyz_m.T, self.kit):
            of = column[rows]
            rows = rows[of == of.min()]
            if len(rows) == 1:
                break
        return int(rows[0])

    @cached_property
    def choices(self) -> Choices:
        """The same for the joint choice, cheapest first."""
        order = self.order
        cost = np.column_stack([self.strain[order], self.spread[order]])
        return Choices(cost, self.xyz_m[order, :2], without=self.without)

    @property
    def view(self) -> GroundView:
        """The view that is filled."""
        return self.wanted.views[self.index]

    @property
    def without(self) -> tuple[float, float]:
        """Cost of leaving the position unfilled."""
        return UNFILLED if self.view.slot.role.needed else UNFILLED_OPTIONAL


Before = tuple[Options, Indices]


def options(wanted: Wanted, places: Places, areas: Sequence[OpenArea], sight: Sight) -> list[Options]:
    """List every way to fill each position at places in the open areas."""
    reach_m = reaches_m(areas, [kit for kits in wanted.kits for kit in kits])
    return measured(wanted, places, reach_m, sight)


def measured(wanted: Wanted, places: Places, reach_m: Floats, sight: Sight) -> list[Options]:
    """Measure given places at every height that may be best, with every kit.

    Parameters
    ----------
    reach_m : shape (n_kits, n_areas, 2), see `reaches_m`, the kits of one view after those of another
    """
    n_kits = np.diff(wanted.first_kit)[places.view]
    place = np.repeat(np.arange(len(places.view)), n_kits)
    kit = np.arange(len(place)) - np.repeat(np.cumsum(n_kits) - n_kits, n_kits)
    reach = reach_m[wanted.first_kit[places.view[place]] + kit, places.area[place]]
    can = np.flatnonzero(~np.isnan(reach[:, 0]))
    place, kit, reach = place[can], kit[can], reach[can]
    row, z_m = at_telling_heights(telling_heights_m(wanted.views, wanted.table, places)[place], reach)
    place, kit = place[row], kit[row]
    ways = Ways(places.view, places.xy_m, outside_m(wanted, places.xy_m), place, kit, z_m)
    return listed(wanted, ways, places.area[place], sight)


def outside_m(wanted: Wanted, xy_m: Floats) -> Floats:
    """Distance of places from the outline of the playing area, shape (n,)."""
    if not len(xy_m):
        return np.zeros(0)
    return np.asarray(shapely.distance(shapely.points(xy_m), wanted.views[0].outline))


def listed(wanted: Wanted, ways: Ways, area: Indices, sight: Sight) -> list[Options]:
    """Measure given ways, and hand them out to the positions.

    Parameters
    ----------
    ways : in the order of the views
    area : shape (n,), index of the open area
    """
    columns = _columns(wanted, ways, area, sight)
    ends = np.searchsorted(ways.view, np.arange(len(wanted.views) + 1))
    return [
        _listed(wanted, i, [column[first:stop] for column in columns]) for i, (first, stop) in enumerate(pairwise(ends))
    ]


def _columns(wanted: Wanted, ways: Ways, area: Indices, sight: Sight) -> list[NDArray[Any]]:
    """Columns of options, in the order of COLUMNS, as if nothing fixed stood in the way."""
    is_known = ~sight.is_asked(wanted)[ways.view]
    return [ways.xyz_m, area, ways.kit, *strains(wanted, ways), np.ones(len(area)), is_known]


def widened(
    known: Sequence[Options], rows: Sequence[int], areas: Sequence[OpenArea], sight: Sight, *, step_m: float
) -> list[Options]:
    """Add to the ways of each position the neighbours of one of its rows, those that are there already left out."""
    wanted = known[0].wanted
    view = np.array([o.index for o in known])
    xyz_m = np.array([o.xyz_m[row] for o, row in zip(known, rows, strict=True)])
    area = np.array([o.area[row] for o, row in zip(known, rows, strict=True)])
    kit = np.array([o.kit[row] for o, row in zip(known, rows, strict=True)])
    reach_m = reaches_m(areas, [wanted.kits[v][k] for v, k in zip(view, kit, strict=True)])
    reach_m = reach_m[np.arange(len(known)), area]
    owner, near_m = neighbours(areas, area, xyz_m, reach_m=reach_m, step_m=step_m)
    shown = is_wanted_view(wanted.table, view[owner], near_m)
    owner, near_m = owner[shown], near_m[shown]
    fresh = [_not_there(o, row, near_m[owner == i], step_m) for i, (o, row) in enumerate(zip(known, rows, strict=True))]
    owner = np.repeat(np.arange(len(known)), [len(places) for places in fresh])
    places = np.array([place for places in fresh for place in places]).reshape(-1, 3)
    ways = ways_at(view[owner], kit[owner], places, outside_m(wanted, places))
    columns = _columns(wanted, ways, area[owner], sight)
    ends = np.cumsum([0, *map(len, fresh)])
    return [
        _with(o, *(column[first:stop] for column in columns)) if stop > first else o
        for o, (first, stop) in zip(known, pairwise(ends), strict=True)
    ]


def _not_there(known: Options, row: int, near_m: Floats, step_m: float) -> list[tuple[float, ...]]:
    """Places near a row that are not among the ways with its kit yet, each once."""
    x_m, y_m, _ = known.xyz_m[row]
    is_near = np.abs(known.xyz_m[:, 0] - x_m) < 2 * step_m
    is_near &= np.abs(known.xyz_m[:, 1] - y_m) < 2 * step_m
    is_near &= known.kit == known.kit[row]
    there = set(map(tuple, known.xyz_m[is_near].tolist()))
    return [place for place in dict.fromkeys(map(tuple, near_m.tolist())) if place not in there]


def _with(known: Options, *more: NDArray[Any]) -> Options:
    columns = [np.concatenate([getattr(known, name), new]) for name, new in zip(COLUMNS, more, strict=True)]
    n = len(known.strain)
    return _listed(known.wanted, known.index, columns, _before(known, np.arange(n, n + len(more[0]))))


def _listed(wanted: Wanted, index: int, columns: Sequence[NDArray[Any]], before: Before | None = None) -> Options:
    xyz_m, area, kit, strain, spread, clear, is_known = columns
    return Options(wanted, index, xyz_m, area, kit, strain, spread, clear, is_known, before)


def _before(known: Options, rows: Indices) -> Before | None:
    return (known, rows) if known.is_sorted else None


def looked_from(known: Sequence[Options], rows: Sequence[int], sight: Sight) -> list[Options]:
    """Measure the view past fixed things from a row of each position, and from its best ones that are not known yet.

    The view is dear to measure and seldom blocked: whoever chooses takes the best row as if nothing were in the way,
    looks from there, and chooses again until a row that was looked from wins. That is the same choice as after
    looking from everywhere, as a look can only make a row worse.
    """
    wanted = known[0].wanted
    looks = [_looks(o, row) for o, row in zip(known, rows, strict=True)]
    at = np.repeat([o.index for o in known], [len(some) for some in looks])
    clear = sight.clear_share(wanted, at, np.concatenate([o.xyz_m[some] for o, some in zip(known, looks, strict=True)]))
    low, high, _, _ = wanted.table.bands[:, CLEAR, at]
    short = shortfall(clear, low, high)
    more = (short / wanted.step[CLEAR]) ** 2
    parts = np.cumsum([len(some) for some in looks])[:-1]
    return [
        _seen(o, some, *found)
        for o, some, *found in zip(known, looks, np.split(clear, parts), np.split(more, parts), strict=True)
    ]


def _looks(known: Options, row: int) -> Indices:
    """Rows to look from: twice as many known each time, so that it adds up where much is blocked."""
    n_looks = max(LOOKS, int(known.is_known.sum()))
    unknown = np.flatnonzero(~known.is_known)
    rank = known.rank[unknown]
    if n_looks < len(unknown):
        near = rank <= np.partition(rank, n_looks)[n_looks]
        unknown, rank = unknown[near], rank[near]
    unknown = unknown[np.argsort(rank, kind="stable")[:n_looks]]
    return unknown if row in unknown else np.append(unknown, row)


def _seen(known: Options, rows: Indices, clear: Floats, more: Floats) -> Options:
    shares, strain, is_known = known.clear.copy(), known.strain.copy(), known.is_known.copy()
    shares[rows], is_known[rows] = clear, True
    strain[rows] += more
    return replace(known, clear=shares, strain=strain, is_known=is_known, before=_before(known, rows[more > 0]))


def answered(known: Sequence[Options], rows: Sequence[int]) -> Fit:
    """What one row of each position gives for each wish; one column a position."""
    wanted = known[0].wanted
    spots = [(o.xyz_m[row], o.index, int(o.kit[row]), o.clear[row]) for o, row in zip(known, rows, strict=True)]
    xyz_m, view, kit, clear = (np.array(column) for column in zip(*spots, strict=True))
    return fit(wanted, ways_at(view, kit, xyz_m, outside_m(wanted, xyz_m)), clear=clear)
