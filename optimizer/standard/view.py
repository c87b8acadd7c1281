"""How well places answer the view that a role asks for: one column a wish, one row a place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Flags, Floats
from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.sightline import SUBJECT_WIDTH_M, visible_share
from standmark.optimizer.standard.standard import PERSON_M, STEPS, Band, CodedPosition, Role
from standmark.sports.sport import PlayingArea

ROUNDING = 1e-6  # a wish missed by less is met


@dataclass(frozen=True)
class Crossbar:
    """The crossbar that a camera behind it looks over: height, half of its span, and the end it stands at."""

    height_m: float
    half_span_m: float
    end_m: float  # x of the end line, with its sign


@dataclass(frozen=True)
class GroundView:
    """A slot laid on one ground."""

    slot: CodedPosition
    aim_m: tuple[float, float]
    main: tuple[float, float]  # unit vector toward the main side
    hand: tuple[float, float]  # unit vector toward the slot's own end; to the right for one at the middle
    outline: BaseGeometry
    bar: Crossbar | None
    occluders: tuple[Occluder, ...]


@dataclass(frozen=True)
class ViewWish:
    """One thing that a role asks of its place."""

    key: str  # one of STEPS
    band: Band


@dataclass(frozen=True, eq=False)
class FramingFit:
    """How places answer a view. One row a place."""

    wishes: tuple[ViewWish, ...]
    value: Floats  # shape (n, n_wishes), in the wish's unit
    short: Floats  # shape (n, n_wishes), negative: under the band, positive: above it, 0: met
    focal_mm: Floats  # shape (n,), nearest to the middle of the wanted sizes that the lens has
    strain: Floats  # shape (n,), sum of squared steps short
    spread: Floats  # shape (n,), squared distance from the middle of every band: the tie-break


def lay_view(
    slot: CodedPosition, area: PlayingArea, *, main_side: str, occluders: tuple[Occluder, ...] = ()
) -> GroundView:
    """Lay a slot on a playing area whose main side is known.

    Parameters
    ----------
    main_side : "+y" or "-y"
    occluders : fixed things that may hide the aim
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
        occluders=occluders,
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
    return tuple(ViewWish(key, band) for key in STEPS if (band := asked[key]) is not None)


def fit(
    view: GroundView, xyz_m: Floats, *, mode: RecordingMode, focal_range_mm: Band, steps: dict[str, float]
) -> FramingFit:
    """Measure every place against every wish of a view, as if nothing fixed stood in the way.

    Parameters
    ----------
    xyz_m : shape (n, 3), lens positions
    focal_range_mm : shortest and longest focal length of the lens
    steps : what one step short is, by wish
    """
    asked = wishes(view)
    role = view.slot.role
    distance_m = slant_m(view, xyz_m)
    focal_mm = wanted_focal_mm(role, distance_m, mode=mode, focal_range_mm=focal_range_mm)
    values = {
        "direction": direction_deg(view, xyz_m),
        "offset": np.asarray(shapely.distance(shapely.points(xyz_m[:, :2]), view.outline)),
        "lens_height": xyz_m[:, 2],
        "look_down": look_down_deg(view, xyz_m),
        "over_target": xyz_m[:, 2] - bar_height_m(view, xyz_m[:, :2]),
        "size": PERSON_M * focal_mm / (distance_m * mode.height_mm),
        "clear": np.ones(len(xyz_m)),
    }
    value = np.column_stack([values[w.key] for w in asked])
    short = np.column_stack([shortfall(w, values[w.key]) for w in asked])
    scale = np.array([steps[w.key] for w in asked])
    strain = (_in_steps(asked, short, value) / scale) ** 2
    spread = sum((_off_middle(w, values[w.key]) ** 2 for w in asked), np.zeros(len(xyz_m)))
    return FramingFit(asked, value, short, focal_mm, strain.sum(axis=1), spread)


def direction_deg(view: GroundView, xyz_m: Floats) -> Floats:
    """Direction from the aim to each place: 0 the main side, 90 the own end, 180 the other side. Shape (n,)."""
    away = xyz_m[:, :2] - np.array(view.aim_m)
    low, high = view.slot.role.from_deg
    turn = np.degrees(np.arctan2(away @ np.array(view.hand), away @ np.array(view.main)))
    middle = (low + high) / 2
    return np.asarray((turn - middle + 180.0) % 360.0 - 180.0 + middle)


def is_wanted_view(view: GroundView, xy_m: Floats) -> Flags:
    """Is each place near enough to the wanted direction to show the view at all, shape (n,)."""
    low, high = view.slot.role.from_deg
    turn = direction_deg(view, xy_m)
    most = view.slot.role.max_turn_deg + ROUNDING
    return np.asarray((turn >= low - most) & (turn <= high + most))


def look_down_deg(view: GroundView, xyz_m: Floats) -> Floats:
    """Angle from the horizon down to the ground at the aim, shape (n,)."""
    run_m = np.hypot(xyz_m[:, 0] - view.aim_m[0], xyz_m[:, 1] - view.aim_m[1])
    return np.asarray(np.degrees(np.arctan2(xyz_m[:, 2], run_m)))


def slant_m(view: GroundView, xyz_m: Floats) -> Floats:
    """Distance from each lens to the middle of a person at the aim, shape (n,)."""
    aim = np.array([*view.aim_m, PERSON_M / 2])
    return np.asarray(np.sqrt(((xyz_m - aim) ** 2).sum(axis=1)))


def bar_height_m(view: GroundView, xy_m: Floats) -> Floats:
    """Lens height that it takes to see the ground at the aim over the crossbar, shape (n,); 0 with no bar in the way.

    From d behind the end line the ray to the ground N in front of it passes the bar at ``z N / (N + d)``: the lens
    must be at ``bar (N + d) / N`` or higher. Nothing is asked in front of the line, or where the ray passes beside
    the bar.
    """
    if view.bar is None:
        return np.zeros(len(xy_m))
    depth_m = abs(view.bar.end_m - view.aim_m[0])
    behind_m = math.copysign(1.0, view.bar.end_m) * (xy_m[:, 0] - view.bar.end_m)
    passes_m = np.abs(xy_m[:, 1]) * depth_m / np.maximum(depth_m + behind_m, 0.01)
    is_in_the_way = (behind_m > 0) & (passes_m <= view.bar.half_span_m)
    return np.where(is_in_the_way, view.bar.height_m * (depth_m + behind_m) / max(depth_m, 0.01), 0.0)


def clear_share(view: GroundView, xyz_m: Floats) -> Floats:
    """Share of a person at the aim that fixed things leave visible, shape (n,)."""
    if not len(xyz_m):
        return np.ones(0)
    aim = np.array([*view.aim_m, PERSON_M / 2])
    between = shapely.MultiPoint(np.vstack([aim[:2], xyz_m[:, :2]])).convex_hull.buffer(SUBJECT_WIDTH_M)
    near = [o for o in view.occluders if shapely.LineString(o.footprint_m).convex_hull.intersects(between)]
    share = visible_share(xyz_m, aim[None, :], subject_m=PERSON_M, occluders=near, n_threads=1)
    return share[:, 0].astype(np.float64)


def wanted_focal_mm(role: Role, distance_m: Floats, *, mode: RecordingMode, focal_range_mm: Band) -> Floats:
    """Focal length for the middle of the wanted sizes, as far as the lens reaches; the longest without a wish."""
    if role.size_share is None:
        return np.full(len(distance_m), focal_range_mm[1])
    middle = math.sqrt(role.size_share[0] * role.size_share[1])
    return np.clip(middle * distance_m * mode.height_mm / PERSON_M, *focal_range_mm)


def shortfall(wish: ViewWish, value: Floats) -> Floats:
    """By how much values miss a wish: negative under its band, positive above it, 0 where it is met."""
    low, high = wish.band
    under = np.minimum(value - low, 0.0)
    short = np.where(under < 0, under, np.maximum(value - high, 0.0))
    return np.where(np.abs(short) < ROUNDING, 0.0, short)


def _in_steps(asked: Sequence[ViewWish], short: Floats, value: Floats) -> Floats:
    """Shortfalls in the units of STEPS: sizes count by their ratio to the band, everything else as it is."""
    result = short.copy()
    for i, wish in enumerate(asked):
        if wish.key == "size":
            edge = np.where(short[:, i] < 0, wish.band[0], wish.band[1])
            result[:, i] = np.where(short[:, i] == 0, 0.0, np.log2(value[:, i] / edge))
    return result


def _off_middle(wish: ViewWish, value: Floats) -> Floats:
    """Distance from the middle of a band in half-widths, at most 1; 0 for a wish that knows no too much."""
    low, high = wish.band
    if wish.key in ("clear", "over_target") or high == low:
        return np.zeros(len(value))
    if wish.key == "size":
        low, high, value = math.log(low), math.log(high), np.log(value)
    return np.minimum(np.abs(value - (low + high) / 2) / ((high - low) / 2), 1.0)
