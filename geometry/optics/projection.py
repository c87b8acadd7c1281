"""From the world to the picture: a view from a place in a direction, and where points fall in its frame.

    world: pitch frame, x along, y to the left, z up [m]
    pan: from +x toward +y; tilt: upward; roll: clockwise as the operator sees the camera
    camera: right, down, forward are the rows of the rotation; X, Y, Z in metres along them
    frame: u to the right, v down, pixels, origin at the upper left corner, axis through the middle
    u = f_x X / Z + W / 2,  v = f_y Y / Z + H / 2,  f_x = focal_mm W / width_mm

A rectilinear lens at infinity focus, no distortion; points at or behind the lens have no place in the frame (nan).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import RecordingMode

NEAR_M = 0.05  # nearest depth that is drawn


@dataclass(frozen=True)
class View:
    """A camera at a place, pointed somewhere, at one focal length."""

    xyz_m: tuple[float, float, float]  # lens position
    pan_deg: float
    tilt_deg: float
    focal_mm: float
    mode: RecordingMode
    roll_deg: float = 0.0


def view_toward(
    xyz_m: ArrayLike, look_at_m: ArrayLike, *, focal_mm: float, mode: RecordingMode, roll_deg: float = 0.0
) -> View:
    """View that puts a point on the optical axis: pan = atan2(dy, dx), tilt = atan2(dz, hypot(dx, dy)).

    >>> mode = RecordingMode("HD", 36.0, 20.25, 1920, 1080)
    >>> view = view_toward((-20.0, -60.0, 12.0), (41.5, 0.0, 0.0), focal_mm=50.0, mode=mode)
    >>> round(view.pan_deg, 4), round(view.tilt_deg, 4)
    (44.2927, -7.9508)
    """
    lens = np.asarray(xyz_m, float)
    dx, dy, dz = np.asarray(look_at_m, float) - lens
    pan, tilt = math.atan2(dy, dx), math.atan2(dz, math.hypot(dx, dy))
    place = (float(lens[0]), float(lens[1]), float(lens[2]))
    return View(place, math.degrees(pan), math.degrees(tilt), focal_mm, mode, roll_deg)


def rotation(view: View) -> Floats:
    """Rows right, down, forward of a view in the pitch frame, shape (3, 3)."""
    pan, tilt, roll = (math.radians(a) for a in (view.pan_deg, view.tilt_deg, view.roll_deg))
    x, y, z = math.cos(tilt) * math.cos(pan), math.cos(tilt) * math.sin(pan), math.sin(tilt)
    forward, right = np.array([x, y, z]), np.array([math.sin(pan), -math.cos(pan), 0.0])
    down = np.array([z * math.cos(pan), z * math.sin(pan), -x * math.cos(pan) - y * math.sin(pan)])  # forward x right
    turn, side = math.cos(roll), math.sin(roll)
    return np.array([turn * right + side * down, -side * right + turn * down, forward])


def focal_px(view: View) -> tuple[float, float]:
    """Focal length in pixels along the width and the height of the frame."""
    mode = view.mode
    return view.focal_mm * mode.width_px / mode.width_mm, view.focal_mm * mode.height_px / mode.height_mm


def camera_coordinates(view: View, xyz_m: ArrayLike) -> Floats:
    """Coordinates right, down, forward of points as the camera sees them, shape (..., 3) [m]."""
    return np.asarray((np.asarray(xyz_m, float) - np.array(view.xyz_m)) @ rotation(view).T)


def project(view: View, xyz_m: ArrayLike) -> Floats:
    """Pixel coordinates u, v of points.

    Parameters
    ----------
    xyz_m : shape (..., 3), pitch frame

    Returns
    -------
    shape (..., 2); nan for points less than NEAR_M in front of the lens

    >>> stand = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
    >>> wide = View((0.0, -50.0, 14.0), 90.0, -12.0, 24.0, stand)
    >>> project(wide, (-52.5, 34.0, 0.0)).round(4)
    array([340.2205, 966.5413])
    """
    seen = camera_coordinates(view, xyz_m)
    return pixels(view, np.where(seen[..., 2:] >= NEAR_M, seen, np.nan))


def pixels(view: View, seen_m: Floats) -> Floats:
    """Pixel coordinates of points given in camera coordinates, shape (..., 2)."""
    f_x, f_y = focal_px(view)
    depth = seen_m[..., 2]
    u = f_x * seen_m[..., 0] / depth + view.mode.width_px / 2
    v = f_y * seen_m[..., 1] / depth + view.mode.height_px / 2
    return np.stack([u, v], axis=-1)


def ray_through(view: View, uv_px: ArrayLike) -> Floats:
    """Unit vectors in the pitch frame along which the lens sees pixels, shape (..., 3): the inverse of `project`."""
    uv = np.asarray(uv_px, float)
    f_x, f_y = focal_px(view)
    across = (uv[..., 0] - view.mode.width_px / 2) / f_x
    down = (uv[..., 1] - view.mode.height_px / 2) / f_y
    rays = np.stack([across, down, np.ones_like(across)], axis=-1) @ rotation(view)
    return np.asarray(rays / np.linalg.norm(rays, axis=-1, keepdims=True))
