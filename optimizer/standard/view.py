"""The view that a role asks for, laid on one ground, and what places are measured by: arrays over views and places."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.optimizer.standard.standard import PERSON_M, STEPS, Band, CodedPosition
from standmark.sports.sport import PlayingArea

ROUNDING = 1e-6  # a wish missed by less is met
WISHES = tuple(STEPS)
At = Indices | int  # index of the view of each place, or of all places


@dataclass(frozen=True)
class Crossbar:
    """The crossbar that a camera behind it looks over: height, half of its span, and the end it stands at."""

    height_m: float
    half_span_m: float
    end_m: float  # x of the end line, with its sign


NO_BAR = Crossbar(0.0, -1.0, 1.0)  # never in the way


@dataclass(frozen=True)
class GroundView:
    """A slot laid on one ground."""

    slot: CodedPosition
    aim_m: tuple[float, float]
    main: tuple[float, float]  # unit vector toward the main side
    hand: tuple[float, float]  # unit vector toward the slot's own end; to the right for one at the middle
    outline: BaseGeometry
    bar: Crossbar | None


@dataclass(frozen=True)
class ViewWish:
    """One thing that a role asks of its place."""

    key: str  # one of STEPS
    band: Band


@dataclass(frozen=True, eq=False)
class Views:
    """What places are measured against: the numbers of several views, one row a view."""

    aim_m: Floats  # shape (n, 2)
    main: Floats  # shape (n, 2)
    hand: Floats  # shape (n, 2)
    from_deg: Floats  # shape (n, 3): lowest, highest and middle direction
    max_turn_deg: Floats  # shape (n,)
    bar: Floats  # shape (n, 3): height, half of the span, x of the end line; NO_BAR where nothing is looked over
    size_share: Floats  # shape (n,), middle of the wanted sizes; infinite without a wish
    bands: Floats  # shape (4, n_wishes, n), wishes in the order of STEPS; see `_band`


def lay_view(slot: CodedPosition, area: PlayingArea, *, main_side: str) -> GroundView:
    """Lay a slot on a playing area whose main side is known.

    Parameters
    ----------
    main_side : "+y" or "-y"
    """
    sign = 1.0 if main_side == "+y" else -1.0
    right = -sign  # standing at -y and looking along +y, +x is to the right
    end = -right if slot.end == "left" else right
    role = slot.role
    in_m = role.aim_in_m if role.aim_in_m is not None else (role.aim_in_share or 0.0) * area.length_m
    aim_x = end * (area.length_m / 2 - in_m) if role.aim_at_end else 0.0
    return GroundView(
        slot=slot,
        aim_m=(aim_x, 0.0),
        main=(0.0, sign),
        hand=(end, 0.0),
        outline=area.outline,
        bar=crossbar(area, end=end) if role.over_target else None,
    )


def crossbar(area: PlayingArea, *, end: float) -> Crossbar | None:
    """Find the crossbar at one end that a camera behind it has to look over: one with a net or a wall under it.

    Parameters
    ----------
    end : 1.0 for the end at +x, -1.0 for the other

    Returns
    -------
    None where a sport has no target, or one that can be looked through
    """
    bars = [
        Crossbar(a[2], abs(b[1] - a[1]) / 2, a[0])
        for target in area.targets
        for bar in target.bars
        for a, b in pairwise(bar)
        if a[0] * end > 0 and a[2] == b[2] > 0 and a[0] == b[0] and min(a[1], b[1]) < 0 < max(a[1], b[1])
        if any(o.base_m < 0.5 and o.top_m > 0.8 * a[2] for o in target.occluders)
    ]
    return min(bars, key=lambda bar: (bar.height_m, -bar.half_span_m), default=None)


def wishes(view: GroundView) -> tuple[ViewWish, ...]:
    """List what a role asks for at this ground, in the order of STEPS."""
    return tuple(ViewWish(key, band) for key, band in _asked(view).items() if band is not None)


def _asked(view: GroundView) -> dict[str, Band | None]:
    role = view.slot.role
    asked: dict[str, Band | None] = {
        "direction": role.from_deg,
        "offset": role.offset_m,
        "lens_height": role.lens_height_m,
        "look_down": role.look_down_deg,
        "over_target": None if view.bar is None else (0.0, math.inf),
        "size": role.size_share,
        "clear": None if role.clear_share is None else (role.clear_share, 1.0),
    }
    return {key: asked[key] for key in WISHES}


def lay_out(views: Sequence[GroundView]) -> Views:
    """Lay the numbers of some views side by side."""
    roles = [view.slot.role for view in views]
    asked = [_asked(view) for view in views]
    bars = [view.bar or NO_BAR for view in views]
    sizes = [math.inf if r.size_share is None else math.sqrt(r.size_share[0] * r.size_share[1]) for r in roles]
    return Views(
        aim_m=np.array([view.aim_m for view in views]),
        main=np.array([view.main for view in views]),
        hand=np.array([view.hand for view in views]),
        from_deg=np.array([(*role.from_deg, sum(role.from_deg) / 2) for role in roles]),
        max_turn_deg=np.array([role.max_turn_deg for role in roles]),
        bar=np.array([(bar.height_m, bar.half_span_m, bar.end_m) for bar in bars]),
        size_share=np.array(sizes),
        bands=np.array([[_band(key, of[key]) for of in asked] for key in WISHES]).transpose(2, 0, 1),
    )


def _band(key: str, band: Band | None) -> tuple[float, float, float, float]:
    """Lowest and highest value that meets a wish, the middle and half of the width, both of logarithms for sizes.

    Unbounded where nothing is wished; of infinite width where the wish knows no too much.
    """
    if band is None:
        return -math.inf, math.inf, 0.0, math.inf
    if key in ("clear", "over_target") or band[0] == band[1]:
        return *band, 0.0, math.inf
    low, high = (math.log(band[0]), math.log(band[1])) if key == "size" else band
    return *band, (low + high) / 2, (high - low) / 2


def direction_deg(views: Views, at: At, xy_m: Floats) -> Floats:
    """Direction from the aim to each place: 0 the main side, 90 the own end, 180 the other side. Shape (n,)."""
    x, y = (xy_m[..., :2] - views.aim_m[at]).T
    (hand_x, hand_y), (main_x, main_y) = views.hand[at].T, views.main[at].T
    turn = np.degrees(np.arctan2(x * hand_x + y * hand_y, x * main_x + y * main_y))
    middle = views.from_deg[at].T[2]
    return np.asarray((turn - middle + 180.0) % 360.0 - 180.0 + middle)


def is_wanted_view(views: Views, at: At, xy_m: Floats) -> Flags:
    """Is each place near enough to the wanted direction to show the view at all, shape (n,)."""
    low, high, _ = views.from_deg[at].T
    turn = direction_deg(views, at, xy_m)
    most = views.max_turn_deg[at] + ROUNDING
    return np.asarray((turn >= low - most) & (turn <= high + most))


def run_m(views: Views, at: At, xy_m: Floats) -> Floats:
    """Distance along the ground from the aim to each place, shape (n,)."""
    x, y = (xy_m[..., :2] - views.aim_m[at]).T
    return np.asarray(np.hypot(x, y))


def look_down_deg(views: Views, at: At, xyz_m: Floats) -> Floats:
    """Angle from the horizon down to the ground at the aim, shape (n,)."""
    return np.asarray(np.degrees(np.arctan2(xyz_m[:, 2], run_m(views, at, xyz_m))))


def slant_m(views: Views, at: At, xyz_m: Floats) -> Floats:
    """Distance from each lens to the middle of a person at the aim, shape (n,)."""
    x, y = (xyz_m[:, :2] - views.aim_m[at]).T
    return np.asarray(np.sqrt(x**2 + y**2 + (xyz_m[:, 2] - PERSON_M / 2) ** 2))


def bar_height_m(views: Views, at: At, xy_m: Floats) -> Floats:
    """Lens height that it takes to see the ground at the aim over the crossbar, shape (n,); 0 with no bar in the way.

    From d behind the end line the ray to the ground N in front of it passes the bar at ``z N / (N + d)``: the lens
    must be at ``bar (N + d) / N`` or higher. Nothing is asked in front of the line, or where the ray passes beside
    the bar.
    """
    height_m, half_span_m, end_m = views.bar[at].T
    depth_m = np.abs(end_m - views.aim_m[at].T[0])
    behind_m = np.copysign(1.0, end_m) * (xy_m[:, 0] - end_m)
    passes_m = np.abs(xy_m[:, 1]) * depth_m / np.maximum(depth_m + behind_m, 0.01)
    is_in_the_way = (behind_m > 0) & (passes_m <= half_span_m)
    return np.where(is_in_the_way, height_m * (depth_m + behind_m) / np.maximum(depth_m, 0.01), 0.0)
