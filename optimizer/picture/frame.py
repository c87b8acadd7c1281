"""One picture that a lens takes of a moment: where it points, how long it is, and how large the subject comes out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens, RecordingMode, angle_of_view_deg, pixels_per_metre, subject_fraction
from standmark.geometry.optics.frame_shapes import ground_footprint
from standmark.geometry.optics.projection import View, view_toward
from standmark.optimizer.match.match import Deliverable, Match
from standmark.optimizer.value.size import focal_in_use_mm, wanted_of
from standmark.optimizer.value.targets import moment_weight
from standmark.sports.sport import KeyMoment

FOOTPRINT_REACH_M = 500.0  # the ground is followed no further toward the horizon


@dataclass(frozen=True, eq=False)
class Frame:
    """A view of one moment, in numbers."""

    view: View
    moment: KeyMoment
    at_m: tuple[float, float]  # where the moment happens
    distance_m: float  # lens to the middle of the action
    angle_deg: tuple[float, float, float]  # of view: across, up, diagonal
    subject_share: float  # of the frame height
    subject_px: float
    px_per_m: float
    covers_m: tuple[float, float]  # width and height of the frame at the subject's distance
    footprint_m: Floats  # shape (k, 2), ground in the picture; (0, 2) where none is


def take_frame(
    lens_m: tuple[float, float, float],
    at_m: tuple[float, float],
    *,
    moment: KeyMoment,
    lens: Lens,
    mode: RecordingMode,
    deliverable: Deliverable,
    focal_mm: float | None = None,
) -> Frame:
    """Point a lens at a moment and say what the picture is like.

    Parameters
    ----------
    lens_m : lens position [m]
    at_m : place of the moment on the ground [m]
    mode : recorded area, already cut to what is delivered
    deliverable : what is asked of the camera's pictures, see `role_wish`
    focal_mm : focal length; None: the one in use, as the value has it (`focal_in_use_mm`)
    """
    middle_m = (*at_m, sum(moment.action_height_m) / 2)
    distance_m = math.dist(lens_m, middle_m)
    if focal_mm is None:
        wanted = wanted_of((moment,), mode=mode, deliverable=deliverable)
        focal_mm = float(focal_in_use_mm(np.array([distance_m]), wanted, lens)[0])
    view = view_toward(lens_m, middle_m, focal_mm=focal_mm, mode=mode)
    share = float(subject_fraction(moment.subject_height_m, distance_m, focal_mm=focal_mm, mode=mode))
    sizes = (mode.width_mm, mode.height_mm, math.hypot(mode.width_mm, mode.height_mm))
    angles = [float(angle) for angle in angle_of_view_deg(sizes, focal_mm)]
    return Frame(
        view=view,
        moment=moment,
        at_m=at_m,
        distance_m=distance_m,
        angle_deg=(angles[0], angles[1], angles[2]),
        subject_share=share,
        subject_px=share * mode.height_px,
        px_per_m=float(pixels_per_metre(distance_m, focal_mm=focal_mm, mode=mode)),
        covers_m=(mode.width_mm * distance_m / focal_mm, mode.height_mm * distance_m / focal_mm),
        footprint_m=ground_footprint(view, reach_m=FOOTPRINT_REACH_M),
    )


def likeliest_moment(match: Match, at_m: tuple[float, float]) -> KeyMoment:
    """Moment that matters most at a place, per square metre; the weightiest of all where nothing happens."""
    point = shapely.Point(at_m)
    turned = shapely.Point(-at_m[0], -at_m[1])

    def worth(moment: KeyMoment) -> tuple[float, float]:
        here = [z for z in moment.zones if z.shape.covers(point) or (moment.sided and z.shape.covers(turned))]
        return moment_weight(match, moment) * sum(z.weight / z.shape.area for z in here), moment_weight(match, moment)

    return max(match.sport.moments, key=worth)
