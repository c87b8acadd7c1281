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

CLEAR = WISHES.index("clear")


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
    """Ways to fill positions: places, each tried for one view, and how to film from them."""

    place_view: Indices  # shape (n_places,), index of the view that a place is tried for
    place_xy_m: Floats  # shape (n_places, 2)
    off_m: Floats  # shape (n_places,), distance from the outline of the playing area
    place: Indices  # shape (n,), index of the place of each way
    kit: Indices  # shape (n,), index among the kits of the view
    z_m: Floats  # shape (n,), height of the lens

    @cached_property
    def view(self) -> Indices:
        """Index of the view of each way, shape (n,)."""
        return self.place_view[self.place]

    @cached_property
    def xyz_m(self) -> Floats:
        """Lens of each way, shape (n, 3)."""
        return np.column_stack([self.place_xy_m[self.place], self.z_m])


def ways_at(view: Indices, kit: Indices, xyz_m: Floats, off_m: Floats) -> Ways:
    """One way at each place."""
    return Ways(view, xyz_m[:, :2], off_m, np.arange(len(view)), kit, xyz_m[:, 2])


@dataclass(frozen=True, eq=False)
class Fit:
    """How ways answer their views, one column each; wishes in the order of STEPS."""

    value: Floats  # shape (n_wishes, n), in the wish's unit
    short: Floats  # shape (n_wishes, n), negative: under the band, positive: above it, 0: met or not wished
    focal_mm: Floats  # shape (n,), nearest to the middle of the wanted sizes that the lens has


def fit(wanted: Wanted, ways: Ways, *, clear: Floats | float = 1.0) -> Fit:
    """Measure every way against every wish of its view.

    Parameters
    ----------
    clear : share of a person at the aim that fixed things leave visible, shape (n,)
    """
    views, at, xyz_m = wanted.table, ways.view, ways.xyz_m
    focal_mm, size_share = framed(wanted, ways, slant_m(views, at, xyz_m))
    value = np.empty((len(WISHES), len(xyz_m)))
    value[0] = direction_deg(views, at, xyz_m)
    value[1] = ways.off_m[ways.place]
    value[2] = xyz_m[:, 2]
    value[3] = look_down_deg(views, at, xyz_m)
    value[4] = xyz_m[:, 2] - bar_height_m(views, at, xyz_m)
    value[5] = size_share
    value[6] = clear
    low, high, _, _ = views.bands[:, :, at]
    return Fit(value, shortfall(value, low, high), focal_mm)


def framed(wanted: Wanted, ways: Ways, distance_m: Floats) -> tuple[Floats, Floats]:
    """Focal length nearest to the middle of the wanted sizes that each way's lens has [mm], and the size it gives.

    Parameters
    ----------
    distance_m : shape (n,), from lens to aim
    """
    shortest_mm, longest_mm, frame_mm = wanted.lens[wanted.first_kit[ways.view] + ways.kit].T
    wanted_mm = wanted.table.size_share[ways.view] * distance_m * frame_mm / PERSON_M
    focal_mm = np.clip(wanted_mm, shortest_mm, longest_mm)
    return focal_mm, PERSON_M * focal_mm / (distance_m * frame_mm)


def shortfall(value: Floats, low: Floats, high: Floats) -> Floats:
    """By how much values miss a wish: negative under its band, positive above it, 0 where it is met."""
    short = np.minimum(value - low, 0.0)
    short += np.maximum(value - high, 0.0)
    short[np.abs(short) < ROUNDING] = 0.0
    return short
