"""What is drawn into a frame: lines cut at the lens, the horizon, safe areas, and the ground that a frame covers."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.projection import (
    NEAR_M,
    View,
    camera_coordinates,
    focal_px,
    pixels,
    ray_through,
    rotation,
)

# Shares of width and height inside which action and lettering are safe on any screen, 16:9: BKSTS Illustrated
# Dictionary of Moving Image Technology, 4th edition, appendix B; the same in SMPTE ST 2046-1:2009 as quoted by others
ACTION_SAFE = 0.93
GRAPHICS_SAFE = 0.90


def clip_polyline(view: View, xyz_m: ArrayLike, *, is_closed: bool = False) -> list[Floats]:
    """Project a line in space, cut where it passes behind the lens.

    Parameters
    ----------
    xyz_m : shape (n, 3), corners
    is_closed : join the last corner to the first

    Returns
    -------
    pieces in pixels, each of shape (k, 2), k >= 2; parts outside the frame are kept, parts behind the lens are not
    """
    seen = camera_coordinates(view, xyz_m)
    if is_closed:
        seen = np.vstack([seen, seen[:1]])
    pieces: list[list[Floats]] = [[]]
    for a, b in itertools.pairwise(seen):
        kept = _in_front(a, b)
        if kept is None:
            pieces.append([])
            continue
        if not pieces[-1] or pieces[-1][-1].tolist() != kept[0].tolist():
            pieces.append([kept[0]])
        pieces[-1].append(kept[1])
    return [pixels(view, np.array(piece)) for piece in pieces if len(piece) > 1]


def clip_polygon(view: View, xyz_m: ArrayLike) -> Floats:
    """Project a flat polygon in space, cut at the lens, shape (k, 2); k = 0 when all of it lies behind."""
    seen = camera_coordinates(view, xyz_m)
    kept: list[Floats] = []
    for a, b in zip(seen, np.roll(seen, -1, axis=0), strict=True):
        part = _in_front(a, b)
        if part is not None:
            kept += [p for p in part if not kept or kept[-1].tolist() != p.tolist()]
    return pixels(view, np.array(kept)) if len(kept) > 2 else np.empty((0, 2))


def _in_front(a: Floats, b: Floats) -> tuple[Floats, Floats] | None:
    """Part of a segment, in camera coordinates, at least NEAR_M in front of the lens."""
    if a[2] < NEAR_M and b[2] < NEAR_M:
        return None
    if a[2] < NEAR_M:
        return b + (a - b) * (b[2] - NEAR_M) / (b[2] - a[2]), b
    if b[2] < NEAR_M:
        return a, a + (b - a) * (a[2] - NEAR_M) / (a[2] - b[2])
    return a, b


def horizon(view: View) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Line of the level horizon across the frame, as two points at its left and right edges [px].

    None when the lens points so steeply that the horizon has no place there. A pixel lies on the horizon when its ray
    is level: the third component of the ray is 0, which is linear in u and v.
    """
    corner, right, down = ray_components(view)
    if abs(down) < 1e-12:
        return None
    width = float(view.mode.width_px)
    return (0.0, -corner / down), (width, -(corner + right * width) / down)


def ray_components(view: View) -> tuple[float, float, float]:
    """Height of the ray at pixel (0, 0) and its change by one pixel right and down, before it is made a unit ray."""
    f_x, f_y = focal_px(view)
    turn = rotation(view)
    right, down = float(turn[0, 2]) / f_x, float(turn[1, 2]) / f_y
    corner = float(turn[2, 2]) - right * view.mode.width_px / 2 - down * view.mode.height_px / 2
    return corner, right, down


def safe_rectangle(view: View, share: float) -> tuple[float, float, float, float]:
    """Left, upper, right and lower edge of the middle `share` of the frame's width and height [px]."""
    width, height = view.mode.width_px, view.mode.height_px
    left, upper = width * (1 - share) / 2, height * (1 - share) / 2
    return left, upper, width - left, height - upper


def ground_footprint(view: View, *, reach_m: float) -> Floats:
    """Corners of the ground that the frame covers, at most `reach_m` from the camera, shape (k, 2) [m].

    The frame's edges are followed pixel ray by pixel ray; a ray that does not meet the ground within reach ends at
    reach in its direction. Empty when the frame sees no ground at all.
    """
    width, height = view.mode.width_px, view.mode.height_px
    steps = np.linspace(0.0, 1.0, 33)[:-1]
    edge = np.concatenate(
        [
            np.column_stack([steps * width, np.full(32, height)]),
            np.column_stack([np.full(32, width), (1 - steps) * height]),
            np.column_stack([(1 - steps) * width, np.zeros(32)]),
            np.column_stack([np.zeros(32), steps * height]),
        ]
    )
    rays = ray_through(view, edge)
    run = np.hypot(rays[:, 0], rays[:, 1])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        meets_m = np.where(rays[:, 2] < 0, view.xyz_m[2] * run / -rays[:, 2], np.inf)
    if not np.isfinite(meets_m).any() or meets_m.min() >= reach_m:
        return np.empty((0, 2))
    far_m = np.minimum(meets_m, reach_m)
    heading = rays[:, :2] / np.where(run > 1e-12, run, 1.0)[:, None]
    return np.asarray(np.array(view.xyz_m[:2]) + heading * far_m[:, None])
