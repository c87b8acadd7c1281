"""The size factor: how large a moment shows, against what the deliverable wants and what the action leaves room for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens, RecordingMode
from standmark.geometry.optics.framing import fitting_focal_mm, framed_share
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals
from standmark.optimizer.match.match import Deliverable
from standmark.sports.sport import KeyMoment

LEAST_PX_SHARE = 0.25  # of the wanted pixel density: under it a moment is lost (common practice, no source)
FLAT_SHARE = 0.25  # of a picture wanted from above, that a level view still is worth (common practice, no source)
LOST_DOWN_DEG = 35.0  # beyond the steepest wished angle, until nothing is left (common practice, no source)


@dataclass(frozen=True, eq=False)
class WantedSize:
    """What size is asked of each target in one recording mode."""

    mode: RecordingMode
    extent_m: Floats  # shape (t, 2), what the frame has to hold
    slope: Floats  # shape (t,), the grade 0..1 between smallest and wanted size is
    offset: Floats  # shape (t,), slope x log(reach) + offset
    full_m_mm: Floats  # shape (t,), longest reach with the full size


def framed_extent_m(extent_m: Floats, deliverable: Deliverable) -> Floats:
    """Width and height that the frame has to hold for a deliverable [m].

    Parameters
    ----------
    extent_m : shape (..., 2), of the action itself
    """
    framed = extent_m * deliverable.extent_scale
    framed[..., 0] = np.maximum(framed[..., 0], deliverable.least_width_m)
    return framed


def wanted_size(subject_m: Floats, extent_m: Floats, *, mode: RecordingMode, deliverable: Deliverable) -> WantedSize:
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
    low = np.maximum(smallest * mode.height_mm / subject_m, LEAST_PX_SHARE * px_per_m * mode.height_mm / mode.height_px)
    high = np.maximum(wanted * mode.height_mm / subject_m, px_per_m * mode.height_mm / mode.height_px)
    slope = 1.0 / np.log(low / high)
    return WantedSize(mode, extent_m, slope, slope * np.log(low), 1.0 / high)


def wanted_of(moments: Sequence[KeyMoment], *, mode: RecordingMode, deliverable: Deliverable) -> WantedSize:
    """Say what size is asked of kinds of moments, in their order, see `wanted_size`."""
    extent_m = framed_extent_m(np.array([m.extent_m for m in moments], dtype=float), deliverable)
    return wanted_size(np.array([m.subject_height_m for m in moments]), extent_m, mode=mode, deliverable=deliverable)


def reach_in_use_m_mm(distance_m: Reals, wanted: WantedSize, lens: Lens) -> Reals:
    """Metres at the action that each millimetre of the sensor covers, at the focal length in use, shape (p, t).

    In use is the shortest focal length that gives the full size, as far as the lens reaches: a looser frame, which
    forgives a late operator, costs nothing up to there, and beyond it costs more than it wins (size x held is at worst
    1 point short of the best focal length of a fine search, mostly under 0.4). It never exceeds nine tenths of the
    longest at which the action fits, for more size than that is not asked (`wanted_size`).
    """
    full = wanted.full_m_mm.astype(distance_m.dtype)
    short, long = lens.focal_mm
    reach = distance_m * distance_m.dtype.type(1.0 / short)
    np.minimum(reach, full, out=reach)
    return np.maximum(reach, distance_m * distance_m.dtype.type(1.0 / long), out=reach)


def focal_in_use_mm(distance_m: Reals, wanted: WantedSize, lens: Lens) -> Reals:
    """Focal length in use, see `reach_in_use_m_mm`, shape (p, t)."""
    return np.clip(distance_m / wanted.full_m_mm.astype(distance_m.dtype), *lens.focal_mm)


def size_share(reach_m_mm: Reals, wanted: WantedSize) -> Reals:
    """Size factor: 0 under the smallest usable size, rising smoothly (in the logarithm) to 1 at the wanted size.

    Share of frame height and pixel density both count, and at either end the one that asks for more decides. What the
    frame cannot hold is lost.

    Parameters
    ----------
    reach_m_mm : shape (p, t), distance over focal length
    """
    size = np.log(reach_m_mm)
    size *= wanted.slope.astype(size.dtype)
    size += wanted.offset.astype(size.dtype)
    share = smooth_step(size)
    tight = np.max(wanted.extent_m / (wanted.mode.width_mm, wanted.mode.height_mm), axis=1)
    if np.any(reach_m_mm.min(axis=0) < tight):  # the lens is too long for some action from some place
        share *= framed_share(wanted.extent_m, reach_m_mm=reach_m_mm, mode=wanted.mode)
    return share


def look_down_share(sight: LinesOfSight, deliverable: Deliverable) -> Reals | None:
    """Share of a picture left by how steeply it sight down: rises to 1 at the wish, falls again beyond the most.

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
