"""Where a camera was and how it pointed, from marks of known place that are found in its picture.

The view of `geometry.optics.projection` is fitted to the marks by least squares on the picture: seven unknowns, of
which the focal length may be known to some share. Rectilinear lens, square pixels, axis through the middle of the
picture, which must not have been cropped.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import least_squares

from standmark.geometry.arrays import Floats
from standmark.geometry.errors import InputError
from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.optics.projection import View, rotation

FULL_FRAME_MM = math.hypot(36.0, 24.0)  # diagonal to which equivalent focal lengths refer
LEAST_UNKNOWN, LEAST_KNOWN = 6, 4  # marks without and with a known focal length
NEAR_M = 0.05
FARTHEST_M, HIGHEST_M = 1000.0, 200.0
FOCAL_PX_SHARES = (0.3, 40.0)  # of the picture's width: from very wide to very long
NO_MODE = RecordingMode("any", 36.0, 24.0, 36, 24)  # a rotation does not depend on it
BEST_STARTS = 6


@dataclass(frozen=True)
class Pose:
    """A view with its standard errors."""

    view: View
    xyz_se_m: tuple[float, float, float]
    pan_se_deg: float
    tilt_se_deg: float
    roll_se_deg: float
    focal_se_share: float  # of the focal length
    equivalent_mm: float  # focal length that has this angle across the diagonal of a full frame
    miss_px: Floats  # shape (n,), how far each mark lies from where the view puts it


def pose_from_marks(
    xyz_m: ArrayLike,
    uv_px: ArrayLike,
    *,
    size_px: tuple[int, int],
    equivalent_mm: float | None = None,
    focal_share: float = 0.03,
    least_px: float = 2.0,
) -> Pose:
    """Find the view from which marks are seen where they are in a picture.

    Parameters
    ----------
    xyz_m : shape (n, 3), places of the marks in the pitch frame
    uv_px : shape (n, 2), from the upper left corner to the right and down
    size_px : width and height of the whole picture, as it is looked at
    equivalent_mm : focal length as on a full frame, if it is known; None: found from the marks
    focal_share : standard error of a known one
    least_px : standard error of a mark in the picture that is believed at least

    Raises
    ------
    InputError : too few marks, or all in one line
    """
    points, pixels = np.asarray(xyz_m, float), np.asarray(uv_px, float)
    known_px = None if equivalent_mm is None else equivalent_mm / FULL_FRAME_MM * math.hypot(*size_px)
    _check_marks(points, pixels, is_known=known_px is not None)
    middle = np.array(size_px, float) / 2

    def misses(pose: Floats) -> Floats:
        off = ((_projected(pose, points) + middle - pixels) / least_px).ravel()
        return off if known_px is None else np.append(off, (pose[6] - math.log(known_px)) / focal_share)

    starts = sorted(_starts(points, pixels - middle, known_px), key=lambda start: _cost(misses(start)))
    low = [-FARTHEST_M, -FARTHEST_M, 0.05, -np.inf, -1.55, -np.inf, math.log(FOCAL_PX_SHARES[0] * size_px[0])]
    high = [FARTHEST_M, FARTHEST_M, HIGHEST_M, np.inf, 1.55, np.inf, math.log(FOCAL_PX_SHARES[1] * size_px[0])]
    scale = (1.0, 1.0, 1.0, 0.02, 0.02, 0.02, 0.05)
    results = [
        least_squares(misses, np.clip(start, low, high), bounds=(low, high), x_scale=scale, max_nfev=150)
        for start in starts[:BEST_STARTS]
    ]
    best = min(results, key=lambda result: result.cost)
    pose = np.asarray(best.x)
    freedom = len(best.fun) - 7
    spread2 = max(1.0, 2.0 * float(best.cost) / max(freedom, 1))
    slopes = np.asarray(best.jac)
    errors = np.sqrt(np.diag(np.linalg.pinv(slopes.T @ slopes)) * spread2)
    off_px = np.hypot(*(_projected(pose, points) + middle - pixels).T)
    return _pose(pose, errors, off_px, size_px)


def _check_marks(points: Floats, pixels: Floats, *, is_known: bool) -> None:
    least = LEAST_KNOWN if is_known else LEAST_UNKNOWN
    n_places = len(np.unique(points, axis=0))
    if n_places < least:
        also = "" if is_known else "; with fewer, give the focal length (4 marks will do then)"
        raise InputError(f"{n_places} mark{'' if n_places == 1 else 's'}; allowed: at least {least}{also}")
    for name, places in (("on the ground", points), ("in the picture", pixels)):
        spread = np.linalg.svd(places - places.mean(axis=0), compute_uv=False)
        if spread[1] < 0.01 * spread[0]:
            raise InputError(f"all marks lie in one line {name}; add some beside it")


def _projected(pose: Floats, points: Floats) -> Floats:
    """Pixels from the middle of the picture, shape (n, 2); what is behind the lens goes far out."""
    seen = (points - pose[:3]) @ _turn(pose[3], pose[4], pose[5]).T
    return np.asarray(math.exp(min(pose[6], 30.0)) * seen[:, :2] / np.maximum(seen[:, 2:], NEAR_M))


def _turn(pan_rad: float, tilt_rad: float, roll_rad: float) -> Floats:
    """Rows right, down, forward, as `projection.rotation` has them."""
    pan, tilt, roll = (math.degrees(angle) for angle in (pan_rad, tilt_rad, roll_rad))
    return rotation(View((0.0, 0.0, 0.0), pan, tilt, 50.0, NO_MODE, roll))


def _cost(misses: Floats) -> float:
    return float(np.sum(np.minimum(misses**2, 1e8)))


def _starts(points: Floats, pixels: Floats, known_px: float | None) -> Iterator[Floats]:
    """Views from a ring of places round the marks at several distances and heights, each turned to the marks."""
    centre = points.mean(axis=0)
    reach = max(10.0, float(np.hypot(*(points - centre)[:, :2].T).max()))
    for share in (0.5, 0.9, 1.4, 2.2, 4.0):
        for up_m in (1.6, 6.0, 15.0, 35.0):
            for turn in np.arange(0.0, 2 * math.pi, math.pi / 12):
                x = centre[0] + share * reach * math.cos(turn)
                y = centre[1] + share * reach * math.sin(turn)
                yield _turned_to(np.array([x, y, up_m]), points, pixels, known_px)


def _turned_to(place: Floats, points: Floats, pixels: Floats, known_px: float | None) -> Floats:
    """View from a place that puts the middle of the marks on the middle of their pixels, at a fitting focal length."""
    dx, dy, dz = points.mean(axis=0) - place
    pan, tilt = math.atan2(dy, dx), math.atan2(dz, math.hypot(dx, dy))
    start = np.array([*place, pan, tilt, 0.0, 0.0])
    seen = _projected(start, points)
    spread = np.median(np.hypot(*(seen - np.median(seen, axis=0)).T))
    wanted = np.median(np.hypot(*(pixels - np.median(pixels, axis=0)).T))
    focal = max(1.0, known_px if known_px is not None else float(wanted / max(spread, 1e-6)))
    off = (pixels.mean(axis=0) - focal * np.median(seen, axis=0)) / focal
    start[3] += math.atan(np.clip(off[0], -2.0, 2.0))
    start[4] += math.atan(np.clip(off[1], -2.0, 2.0))
    start[6] = math.log(focal)
    return start


def _pose(fitted: Floats, errors: Floats, off_px: Floats, size_px: tuple[int, int]) -> Pose:
    width, height = size_px
    focal_px = math.exp(fitted[6])
    mode = RecordingMode("photograph", 36.0, 36.0 * height / width, width, height)
    pan, tilt, roll = (math.degrees(angle) for angle in fitted[3:6])
    return Pose(
        view=View(
            (float(fitted[0]), float(fitted[1]), float(fitted[2])),
            (pan + 180.0) % 360.0 - 180.0,
            tilt,
            focal_px * 36.0 / width,
            mode,
            (roll + 180.0) % 360.0 - 180.0,
        ),
        xyz_se_m=(float(errors[0]), float(errors[1]), float(errors[2])),
        pan_se_deg=math.degrees(errors[3]),
        tilt_se_deg=math.degrees(errors[4]),
        roll_se_deg=math.degrees(errors[5]),
        focal_se_share=float(errors[6]),
        equivalent_mm=focal_px * FULL_FRAME_MM / math.hypot(width, height),
        miss_px=np.asarray(off_px),
    )
