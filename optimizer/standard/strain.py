"""What many ways cost: sums over the wishes of their views.

What hangs on the place alone is worked out once a place, and what no view wishes is left out.
"""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.standard.fit import Wanted, Ways, framed, shortfall
from standmark.optimizer.standard.standard import PERSON_M
from standmark.optimizer.standard.view import WISHES, bar_height_m, direction_deg, run_m

DIRECTION, OFFSET, HEIGHT, DOWN, OVER, SIZE = (
    WISHES.index(key) for key in ("direction", "offset", "lens_height", "look_down", "over_target", "size")
)


def strains(wanted: Wanted, ways: Ways) -> tuple[Floats, Floats]:
    """Strain and spread of every way, as if nothing fixed stood in the way.

    Returns
    -------
    sum of squared steps short, and squared distance from the middle of every band: the tie-break; each of shape (n,)
    """
    views, at, xy_m = wanted.table, ways.place_view, ways.place_xy_m
    sums = _Sums(wanted, at)
    sums.add(DIRECTION, direction_deg(views, at, xy_m))
    sums.add(OFFSET, ways.off_m)
    sums = sums.of(ways.place)
    sums.add(HEIGHT, ways.z_m)
    if sums.is_asked(DOWN):
        sums.add(DOWN, np.degrees(np.arctan2(ways.z_m, run_m(views, at, xy_m)[ways.place])))
    if sums.is_asked(OVER):
        sums.add(OVER, ways.z_m - bar_height_m(views, at, xy_m)[ways.place])
    if sums.is_asked(SIZE):
        sums.add(SIZE, _size(wanted, ways))
    return sums.strain, sums.spread


def _size(wanted: Wanted, ways: Ways) -> Floats:
    """Size of a person at the aim, at the best focal length that the lens has, shape (n,)."""
    views, at = wanted.table, ways.place_view
    x, y = (ways.place_xy_m - views.aim_m[at]).T
    distance_m = np.sqrt((x**2 + y**2)[ways.place] + (ways.z_m - PERSON_M / 2) ** 2)
    return framed(wanted, ways, distance_m)[1]


class _Sums:
    """Strain and spread of some rows, as far as they are added up."""

    def __init__(self, wanted: Wanted, at: Indices) -> None:
        self.wanted, self.at = wanted, at
        self.strain, self.spread = np.zeros(len(at)), np.zeros(len(at))

    def is_asked(self, wish: int) -> bool:
        """Does a view have this wish."""
        low, high, _, _ = self.wanted.table.bands[:, wish]
        return bool((low > -np.inf).any() or (high < np.inf).any())

    def add(self, wish: int, value: Floats) -> None:
        """Add a wish, given what every row has for it."""
        if not self.is_asked(wish):
            return
        low, high, middle, half = self.wanted.table.bands[:, wish][:, self.at]
        short = shortfall(value, low, high)
        if wish == SIZE:
            short, value = _ratio(short, value, low, high), np.log(value)
        self.strain += (short / self.wanted.step[wish]) ** 2
        self.spread += np.minimum(np.abs(value - middle) / half, 1.0) ** 2

    def of(self, rows: Indices) -> _Sums:
        """Go on with other rows, each one of these."""
        sums = _Sums(self.wanted, self.at[rows])
        sums.strain, sums.spread = self.strain[rows], self.spread[rows]
        return sums


def _ratio(short: Floats, value: Floats, low: Floats, high: Floats) -> Floats:
    """Shortfall of sizes in the unit of STEPS: by the ratio to the band."""
    ratio = short.copy()
    missed = np.flatnonzero(short)
    edge = np.where(short[missed] < 0, low[missed], high[missed])
    ratio[missed] = np.log2(value[missed] / edge)
    return ratio
