"""Three pictures that show what a camera does from its spot: from its widest to its key moment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.role import role_wish
from standmark.optimizer.picture.frame import Frame, take_frame
from standmark.optimizer.picture.people import People, people_at
from standmark.optimizer.picture.stretch import Stretch
from standmark.optimizer.value.targets import Targets
from standmark.optimizer.work.assignment import Station, plan_stations, role_factors
from standmark.sports.sport import KeyMoment

FrameRole = Literal["widest", "often", "key moment"]

ALIKE = 0.05  # focal lengths that differ by less give the same picture


@dataclass(frozen=True, eq=False)
class KeyFrame:
    """One picture with the people in it, and why it was chosen."""

    role: FrameRole
    frame: Frame
    people: People


def key_frames(match: Match, stretch: Stretch, camera: int) -> tuple[KeyFrame, ...]:
    """Choose and take three pictures of one camera in a stretch of periods, none of them twice.

    Often: the most frequent work, key moment apart, at the focal length that is in the middle of it. Widest: the same
    work at the shortest focal length, where it does most. Key moment: of the moments that must not be missed the one
    it does most for, where it does best.
    """
    station = plan_stations(match, stretch.first)[camera]
    targets = stretch.coverage_map.mesh.targets
    quality = stretch.coverage_map.factors[camera].quality
    is_mine = stretch.coverage_map.owner[stretch.coverage_map.mesh.cell] == camera
    worth = targets.weight * quality * is_mine
    if worth.sum() <= 0:
        worth = targets.weight * quality + 1e-12
    by_moment = np.bincount(targets.moment, worth, minlength=len(match.sport.moments))
    ranked = [int(i) for i in np.argsort(-by_moment, kind="stable")]
    moments = match.sport.moments
    key = next((i for i in ranked if moments[i].must and by_moment[i] > 0), ranked[0])
    often = next((i for i in ranked if i != key and by_moment[i] > 0), key)
    framing = role_factors(match, station, targets, around=stretch.coverage_map.mesh.around)
    focal_mm = (framing or stretch.coverage_map.factors[camera]).focal_mm
    short_mm = stretch.first.assignments[camera].focal_mm[0]
    taken = [
        _taken(match, station, moments[often], _best(targets, worth, often), "widest", short_mm),
        _taken(match, station, moments[often], _usual(targets, worth, often, focal_mm), "often", None),
        _taken(match, station, moments[key], _best(targets, worth, key), "key moment", None),
    ]
    return tuple({_shown(shot): shot for shot in taken}.values())


def _shown(shot: KeyFrame) -> tuple[str, tuple[float, float], int]:
    """What a picture shows: two with the same are one."""
    return shot.frame.moment.key, shot.frame.at_m, round(shot.frame.view.focal_mm)


def _best(targets: Targets, worth: Floats, moment: int) -> tuple[float, float]:
    """Place where a camera gets most of a kind of moment."""
    index = int(np.argmax(np.where(targets.moment == moment, worth, -1.0)))
    x, y = targets.xyz_m[index, :2].tolist()
    return x, y


def _usual(targets: Targets, worth: Floats, moment: int, focal_mm: Floats) -> tuple[float, float]:
    """Place of a kind of moment that takes the middle one of the focal lengths a camera uses for it."""
    own = np.flatnonzero((targets.moment == moment) & (worth > 0))
    order = own[np.argsort(focal_mm[own], kind="stable")]
    done = np.cumsum(worth[order])
    middle_mm = focal_mm[order[np.searchsorted(done, 0.5 * done[-1])]]
    alike = own[np.abs(focal_mm[own] / middle_mm - 1) < ALIKE]
    x, y = targets.xyz_m[alike[np.argmax(worth[alike])], :2].tolist()
    return x, y


def _taken(
    match: Match,
    station: Station,
    moment: KeyMoment,
    at_m: tuple[float, float],
    role: FrameRole,
    focal_mm: float | None,
) -> KeyFrame:
    spot, outfit = station.spot, station.outfit
    frame = take_frame(
        (spot.x_m, spot.y_m, spot.z_m),
        at_m,
        moment=moment,
        lens=outfit.lens,
        mode=outfit.mode,
        deliverable=role_wish(match, station.camera),
        focal_mm=focal_mm,
    )
    return KeyFrame(role, frame, people_at(match.sport, moment, at_m, lens_m=(spot.x_m, spot.y_m)))
