"""Where the published rules of a sport's competitions contradict a plan that keeps to none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from standmark.optimizer.choice.stage import Stage, stage_stations
from standmark.optimizer.match.competition_rules import objection
from standmark.optimizer.match.match import AllowedArea, Camera, Match
from standmark.optimizer.work.assignment import Spot
from standmark.optimizer.work.hold import hold_at
from standmark.sports.competition import Profile, sport_profiles
from standmark.sports.place_kind import GROUND

SPOT_M = 0.1  # a spot is a disc of this radius


@dataclass(frozen=True)
class Objection:
    """A published rule that would not let a camera stand where the plan has it."""

    profile: str  # key
    name: str
    camera: str
    reasons: tuple[str, ...]


def objections(match: Match, stages: Sequence[Stage]) -> tuple[Objection, ...]:
    """Published rules that contradict a plan; none where the match keeps to the rules of its own competition."""
    if match.profile is not None:
        return ()
    places: dict[tuple[str, str], list[str]] = {}
    profiles = sport_profiles(match.sport)
    for stage in stages:
        for station in stage_stations(match, stage):
            for profile in profiles:
                reasons = spot_objections(match, profile, station.camera, station.spot)
                places.setdefault((profile.key, station.camera.name), []).extend(reasons)
    names = {profile.key: profile.name for profile in profiles}
    return tuple(
        Objection(key, names[key], camera, tuple(dict.fromkeys(reasons)))
        for (key, camera), reasons in places.items()
        if reasons
    )


def spot_objections(match: Match, profile: Profile, camera: Camera, spot: Spot) -> Iterator[str]:
    """Everything that a profile has against a camera at a spot."""
    hold = hold_at(match, camera, spot)
    known = next((a for a in (*match.venue.allowed, *match.venue.asked) if a.key == spot.area), None)
    here = AllowedArea(
        key="spot",
        name="spot",
        shape=shapely.Point(spot.x_m, spot.y_m).buffer(SPOT_M),
        lens_height_m=(spot.z_m, spot.z_m),
        kind=GROUND.key if known is None else known.kind,
        floor_m=0.0 if known is None else known.floor_m,
        postures=(hold.posture,),
    )
    if reason := objection(here, profile):
        yield reason
    if hold.support not in profile.supports:
        yield f"no {hold.support}" if hold.support != "hands" else f"{' or '.join(profile.supports)} only"
