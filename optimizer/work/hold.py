"""How a camera is held at its spot: whether one sits, kneels or stands, on what, and what carries a high lens."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.work.assignment import Spot
from standmark.sports.place_kind import GROUND, KINDS, OVER_HEAD_LENS_M, RAISED_KINDS, HeldBy, Posture, posture_at

HANDS = "hands"
KIND_OF_SUPPORT = {"tripod": "tripod", "monopod": "monopod"}  # whatever else there is, hands hold it


@dataclass(frozen=True)
class Hold:
    """What one does at a spot."""

    posture: Posture
    support: HeldBy  # the camera's own, or what the place allows instead
    is_own: bool  # the support is the camera's own
    carried_by: str  # what holds a lens over OVER_HEAD_LENS_M up; "" for one that a standing person reaches
    is_raised: bool = False  # the place itself is what holds it up


def hold_at(match: Match, camera: Camera, spot: Spot) -> Hold:
    """Say how a camera is held at a spot; outside all areas as on open ground."""
    area = next((a for a in (*match.venue.allowed, *match.venue.asked) if a.key == spot.area), None)
    kind = KINDS[GROUND.key if area is None else area.kind]
    postures, supports = (kind.postures, kind.supports) if area is None else (area.postures, area.supports)
    own = KIND_OF_SUPPORT.get(camera.support.name, HANDS)
    support = own if own in supports else supports[0]
    floor_m = 0.0 if area is None else area.floor_m
    return Hold(
        posture=posture_at(spot.z_m - floor_m, postures),
        support=support,
        is_own=own == support,
        carried_by=kind.carries if spot.z_m > OVER_HEAD_LENS_M else "",
        is_raised=kind.key in RAISED_KINDS,
    )
