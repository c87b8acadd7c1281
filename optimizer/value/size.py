"""The size factor: how large a moment shows, against what the deliverable wants and what the action leaves room for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens, RecordingMode
from standmark.geometry.optics.framing import fitting_focal_mm, held_share
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals
from standmark.optimizer.match.match import Deliverable

LEAST_PX_SHARE = 0.25  # of the wanted pixel density: under it a moment is lost (common practice, no source)
FLAT_SHARE = 0.25  # of a picture wanted from above, that a level view still is worth (common practice, no source)
LOST_DOWN_DEG = 35.0  # beyond the steepest wished angle, until nothing is left (common practice, no source)


@dataclass(frozen=True, eq=False)
class Wanted:
    """What size is asked of each target in one recording mode."""

    mode: RecordingMode
    extent_m: Floats  # shape (t, 2), what the frame has to hold
    slope: Floats  # shape (2, t), grades 0..1 by share of frame height and by pixel density are
    offset: Floats  # shape (2, t), slope x log(focal / distance) + offset


def framed_extent_m(extent_m: Floats, deliverable: Deliverable) -> Floats:
    """Width and height that the frame has to hold for a deliverable [m].

    Parameters
    ----------
    extent_m : shape (..., 2), of the action itself
    """
    framed = extent_m * deliverable.extent_scale
    framed[..., 0] = np.maximum(framed[..., 0], deliverable.least_width_m)
    return framed


def wanted_size(subject_m: Floats, extent_m: Floats, *, mode: RecordingMode, deliverable: Deliverable) -> Wanted:
    """Say what size is asked of targets.

    What is wanted is never more than the action's own extent leaves room for: nine tenths of the size that the subject
    has when the action just fits the frame.

    Parameters
    ----------
    subject_m : shape (t,)
    extent_m : shape (t, 2), what the frame has to hold
    """
    # at unit distance a subject of 1 m fills focal / height: the fit itself, whatever the distance
    room = 0.9 * subject_m * fitting_focal_mm(1.0, extent_m, mode=mode) / mode.height_mm
    wanted = np.minimum(deliverable.wanted_share, room)
    smallest = np.minimum(deliverable.smallest_share, wanted / 2)
    px_per_m = np.minimum(deliverable.wanted_px_per_m, room * mode.height_px / subject_m)
    low = np.log([smallest * mode.height_mm / subject_m, LEAST_PX_SHARE * px_per_m * mode.height_mm / mode.height_px])
    high = np.log([wanted * mode.height_mm / subject_m, px_per_m * mode.height_mm / mode.height_px])
    slope = 1.0 / (high - low)
    return Wanted(mode, extent_m, slope, -slope * low)


def focal_in_use_mm(distance_m: Reals, wanted: Wanted, lens: Lens) -> Reals:
    """Longest focal length of a lens at which each action fits, or its shortest where none does, shape (p, t)."""
    focal = distance_m * np.asarray(fitting_focal_mm(1.0, wanted.extent_m, mode=wanted.mode), distance_m.dtype)
    return np.clip(focal, *lens.focal_mm, out=focal)


def size_share(distance_m: Reals, wanted: Wanted, *, focal_mm: Reals) -> Reals:
    """Size factor: 0 under the smallest usable size, rising smoothly (in the logarithm) to 1 at the wanted size.

    Share of frame height and pixel density both count; the worse one decides. What the frame cannot hold is lost.

    Parameters
    ----------
    distance_m, focal_mm : shape (p, t)
    """
    size = np.log(focal_mm / distance_m)
    slope, offset = (v.astype(size.dtype) for v in (wanted.slope, wanted.offset))
    by_density = size * slope[1]
    by_density += offset[1]
    size *= slope[0]
    size += offset[0]
    share = smooth_step(np.minimum(size, by_density, out=size), work=by_density)
    share *= held_share(distance_m, wanted.extent_m, focal_mm=focal_mm, mode=wanted.mode)
    return share


def look_down_share(sight: LinesOfSight, deliverable: Deliverable) -> Reals | None:
    """Share of a picture left by how steeply it looks down: rises to 1 at the wish, falls again beyond the most.

    None when the deliverable has no wish.
    """
    wish_deg, most_deg = deliverable.look_down_deg, deliverable.look_down_most_deg
    if wish_deg <= 0 and most_deg >= 90:
        return None
    angle_deg = np.rad2deg(np.arctan2(sight.lens_z_m - sight.target_z_m, sight.run_m))
    lost = smooth_step((angle_deg - most_deg) * (1.0 / LOST_DOWN_DEG))
    share = np.subtract(1.0, lost, out=lost)
    if wish_deg > 0:
        share *= FLAT_SHARE + (1.0 - FLAT_SHARE) * smooth_step(angle_deg * (1.0 / wish_deg))
    return share


def smooth_step(grade: Reals, *, work: Reals | None = None) -> Reals:
    """Smooth step 3 s^2 - 2 s^3 from 0 at 0 to 1 at 1, in place; `work` is overwritten."""
    np.clip(grade, 0.0, 1.0, out=grade)
    rest = np.multiply(grade, -2.0, out=work)
    rest += 3.0
    rest *= grade
    grade *= rest
    return grade
