"""A day with several matches: each with its own lists, and the way from one to the next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from math import ceil

import numpy as np

from standmark.geometry.fit.earth import plane_m
from standmark.optimizer.day.day import Day
from standmark.optimizer.day.outing import PARKING_MIN, Outing
from standmark.optimizer.work.walk import WALK_M_S
from standmark.sports.timeline import later, period_starts_min

REACTIONS_MIN = 5.0  # faces and thanks after the finish; common practice, no source
PACK_MIN = 5.0  # common practice, no source
SET_UP_MIN = 10.0  # support, lens, white card, a clip played back; common practice, no source
ROLL_MIN = 2.0  # in place and recording before the start; common practice, no source
DETOUR = 1.3  # a way on foot or by road against the straight line; common practice, no source
FARTHEST_WALK_M = 1500.0  # with kit; beyond it people drive; common practice, no source
ROAD_M_S = 30.0 / 3.6  # 30 km/h through a town; common practice, no source


@dataclass(frozen=True)
class Stop:
    """One match of a day."""

    title: str
    outing: Outing
    day: Day
    start: datetime  # aware
    place_deg: tuple[float, float] | None = None  # longitude and latitude of the ground
    travel_min: float | None = None  # on the road to this ground, when somebody said so
    parking_min: float | None = None


@dataclass(frozen=True)
class Way:
    """How the crew gets from one ground to the next."""

    kind: str  # "same ground", "foot", "road", "unknown"
    minutes: float  # 0 where it is not known
    length_m: float | None  # None: not known


@dataclass(frozen=True)
class Changeover:
    """What lies between the finish of a match and the start of the next."""

    before: str  # title of the match that ends
    after: str
    way: Way
    free_min: float  # from the finish to the moment when all must be recording again; below 0: they overlap
    needed_min: float  # last pictures, packing, the way, setting up

    @property
    def is_possible(self) -> bool:
        """Whether the same people can film both matches."""
        return self.free_min >= self.needed_min


def stop_finish(stop: Stop) -> datetime:
    """Time at which a match ends at the earliest."""
    periods = stop.outing.periods
    return later(stop.start, period_starts_min(periods)[-1] + periods[-1].minutes)


def way_between(before: Stop, after: Stop) -> Way:
    """Work out the way from one ground to the next: what a match file says, else the distance of the two places."""
    if before.outing.ground == after.outing.ground:
        return Way("same ground", 0.0, 0.0)
    parking_min = PARKING_MIN if after.parking_min is None else after.parking_min
    if after.travel_min is not None:
        return Way("road", after.travel_min + parking_min, None)
    if before.place_deg is None or after.place_deg is None:
        return Way("unknown", 0.0, None)
    length_m = DETOUR * float(np.hypot(*plane_m([after.place_deg], before.place_deg)[0]))
    if length_m <= FARTHEST_WALK_M:
        return Way("foot", float(ceil(length_m / WALK_M_S / 60.0)), length_m)
    return Way("road", float(ceil(length_m / ROAD_M_S / 60.0)) + parking_min, length_m)


def changeover(before: Stop, after: Stop) -> Changeover:
    """Hold the time between two matches against what the crew needs for it."""
    way = way_between(before, after)
    between_min = (after.start - stop_finish(before)).total_seconds() / 60.0
    pack_min = 0.0 if way.kind == "same ground" else PACK_MIN
    needed_min = REACTIONS_MIN + pack_min + way.minutes + SET_UP_MIN
    return Changeover(before.title, after.title, way, between_min - ROLL_MIN, needed_min)
