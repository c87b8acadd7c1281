"""How well places answer the views that they are tried for: one column a way to film, all views at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.standard.places import Kit
from standmark.optimizer.standard.standard import PERSON_M
from standmark.optimizer.standard.view import (
    ROUNDING,
    WISHES,
    GroundView,
    Views,
    bar_height_m,
    direction_deg,
    lay_out,
    look_down_deg,
    slant_m,
)

SIZE, CLEAR = WISHES.index("size"), WISHES.index("clear")


@dataclass(frozen=True, eq=False)
class Wanted:
    """Views with the kits that each may be filmed with."""

    views: tuple[GroundView, ...]
    kits: tuple[tuple[Kit, ...], ...]
    steps: Mapping[str, float]  # what one step short is, by wish

    @cached_property
    def table(self) -> Views:
        """The views side by side."""
        return lay_out(self.views)

    @cached_property
    def first_kit(self) -> Indices:
        """Where the kits of each view begin in the list of all kits, and where that list ends."""
        return np.cumsum([0, *map(len, self.kits)])

    @cached_property
    def lens(self) -> Floats:
        """Shortest and longest focal length and frame height of every kit of every view, shape (n_kits, 3)."""
        rows = [(*k.outfit.lens.focal_mm, k.outfit.mode.height_mm) for kits in self.kits for k in kits]
        return np.array(rows, dtype=float).reshape(-1, 3)

    @cached_property
    def step(self) -> Floats:
        """One step of every wish, shape (n_wishes, 1)."""
        return np.array([[self.steps[key]] for key in WISHES])

    def with_kits(self, kits: Sequence[tuple[Kit, ...]]) -> Wanted:
        """Return the same views with other kits."""
        return Wanted(self.views, tuple(kits), self.steps)

    def some(self, at: Sequence[int]) -> Wanted:
        """Return some of the views."""
        return Wanted(tuple(self.views[i] for i in at), tuple(self.kits[i] for i in at), self.steps)


@dataclass(frozen=True, eq=False)
class Ways:
    """Ways to fill positions, one row each."""

    view: Indices  # shape (n,), index of the view
    kit: Indices  # shape (n,), index among the kits of the view
    xyz_m: Floats  # shape (n, 3)
    off_m: Floats  # shape (n,), distance from the outline of the playing area


@dataclass(frozen=True, eq=False)
class Fit:
    """How ways answer their views, one column each; wishes in the order of STEPS."""

    value: Floats  # shape (n_wishes, n), in the wish's unit
    short: Floats  # shape (n_wishes, n), negative: under the band, positive: above it, 0: met or not wished
    focal_mm: Floats  # shape (n,), nearest to the middle of the wanted sizes that the lens has
    strain: Floats  # shape (n,), sum of squared steps short
    spread: Floats  # shape (n,), squared distance from the middle of every band: the tie-break


def fit(wanted: Wanted, ways: Ways, *, clear: Floats | float = 1.0) -> Fit:
    """Measure every way against every wish of its view.

    Parameters
    ----------
    clear : share of a person at the aim that fixed things leave visible, shape (n,)
    """
    views, at, xyz_m = wanted.table, ways.view, ways.xyz_m
    shortest_mm, longest_mm, frame_mm = wanted.lens[wanted.first_kit[at] + ways.kit].T
    distance_m = slant_m(views, at, xyz_m)
    focal_mm = np.clip(views.size_share[at] * distance_m * frame_mm / PERSON_M, shortest_mm, longest_mm)
    value = np.empty((len(WISHES), len(xyz_m)))
    value[0] = direction_deg(views, at, xyz_m)
    value[1] = ways.off_m
    value[2] = xyz_m[:, 2]
    value[3] = look_down_deg(views, at, xyz_m)
    value[4] = xyz_m[:, 2] - bar_height_m(views, at, xyz_m)
    value[5] = PERSON_M * focal_mm / (distance_m * frame_mm)
    value[6] = clear
    low, high, middle, half = views.bands[:, :, at]
    short = shortfall(value, low, high)
    strain = (_in_steps(short, value, low, high) / wanted.step) ** 2
    off_middle = value.copy()
    off_middle[SIZE] = np.log(value[SIZE])
    off_middle = np.minimum(np.abs(off_middle - middle) / half, 1.0) ** 2
    return Fit(value, short, focal_mm, strain.sum(axis=0), off_middle.sum(axis=0))


def shortfall(value: Floats, low: Floats, high: Floats) -> Floats:
    """By how much values miss a wish: negative under its band, positive above it, 0 where it is met."""
    short = np.minimum(value - low, 0.0)
    short += np.maximum(value - high, 0.0)
    short[np.abs(short) < ROUNDING] = 0.0
    return short


def _in_steps(short: Floats, value: Floats, low: Floats, high: Floats) -> Floats:
    """Shortfalls in the units of STEPS: sizes count by their ratio to the band, everything else as it is."""
    result = short.copy()
    missed = np.flatnonzero(short[SIZE])
    edge = np.where(short[SIZE, missed] < 0, low[SIZE, missed], high[SIZE, missed])
    result[SIZE, missed] = np.log2(value[SIZE, missed] / edge)
    return result
