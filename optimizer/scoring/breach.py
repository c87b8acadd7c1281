"""Which rules of the ground and of the match chosen positions break."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
import shapely

from standmark.geometry.apart import stand_apart
from standmark.geometry.arrays import Flags, Floats
from standmark.optimizer.choice.candidates import blocked_shapes
from standmark.optimizer.match.match import AllowedArea, Match
from standmark.optimizer.scoring.choice import Stations
from standmark.optimizer.work.assignment import PeriodPlan, Spot
from standmark.sports.sport import Period

TOUCH_M = 0.01  # a spot this near to an area counts as in it
HEIGHT_TOUCH_M = 0.005


@dataclass(frozen=True)
class Breach:
    """One rule that a choice breaks."""

    camera: str  # "" when it concerns several
    period: str  # name of the period
    text: str


def breaches(match: Match, choice: Sequence[Stations], periods: Sequence[PeriodPlan]) -> tuple[Breach, ...]:
    """List everything about a choice that the match does not allow; a plan never has any.

    Parameters
    ----------
    choice : for each period one station for each camera
    periods : the score of the choice
    """
    placed = [breach for planned, stations in zip(periods, choice, strict=True)
             for breach in _in_period(match, planned, stations)]  # fmt: skip
    return (*placed, *_moves(match, choice))


def spot_breach(match: Match, spot: Spot, period: Period) -> str:
    """Say why a camera may not stand at a spot in a period; empty when it may."""
    holding = [area for area in match.venue.allowed if area.shape.distance(_point(spot)) <= TOUCH_M]
    blocked = dict.fromkeys(
        name for area in holding or match.venue.allowed[:1] for name in _blocking(match, area, spot)
    )
    if blocked:
        return f"stands on ground that is kept clear ({', '.join(blocked)})"
    if not holding:
        nearest = min(match.venue.allowed, key=lambda area: area.shape.distance(_point(spot)))
        away_m = nearest.shape.distance(_point(spot))
        return f"stands where nobody may (nearest place allowed: {nearest.name}, {away_m:.1f} m away)"
    if not any(_reaches(area, spot.z_m) for area in holding):
        ranges = " or ".join("{:g} to {:g} m".format(*area.lens_height_m) for area in holding)
        return f"lens {spot.z_m:g} m up, allowed there: {ranges}"
    if not any(area.periods is None or period.key in area.periods for area in holding):
        return "stands in an area that is closed in this period"
    return ""


def area_of(match: Match, x_m: float, y_m: float, z_m: float) -> str:
    """Key of the allowed area that holds a spot, best one that also allows its height; "elsewhere" if none does."""
    point = shapely.Point(x_m, y_m)
    holding = [area for area in match.venue.allowed if area.shape.distance(point) <= TOUCH_M]
    fitting = [area for area in holding if _reaches(area, z_m)]
    return next((area.key for area in (*fitting, *holding)), "elsewhere")


def stands_well(match: Match, xyz_m: Floats, others_m: Floats) -> Flags:
    """Which positions keep the match's separation from other cameras.

    Parameters
    ----------
    xyz_m : shape (n, 3)
    others_m : shape (n_others, 3)

    Returns
    -------
    shape (n,)
    """
    well = stand_apart(xyz_m[:, None, :2], others_m[None, :, :2], match.rules.separation_m).all(axis=1)
    return np.asarray(well)


def _in_period(match: Match, planned: PeriodPlan, stations: Stations) -> Iterator[Breach]:
    period, rules = planned.period, match.rules
    for station in stations:
        if text := spot_breach(match, station.spot, period):
            yield Breach(station.camera.name, period.name, text)
        low, high = station.camera.lens_height_m
        if not low - HEIGHT_TOUCH_M <= station.spot.z_m <= high + HEIGHT_TOUCH_M:
            yield Breach(station.camera.name, period.name, f"lens {station.spot.z_m:g} m up, "
                         f"its support reaches {low:g} to {high:g} m")  # fmt: skip
    for first, second in combinations(stations, 2):
        apart_m = _point(first.spot).distance(_point(second.spot))
        if apart_m < rules.separation_m - TOUCH_M:
            yield Breach("", period.name, f"{first.camera.name} and {second.camera.name} stand {apart_m:.1f} m apart, "
                         f"the match asks for {rules.separation_m:g} m")  # fmt: skip
    for crossing in planned.crossings if rules.same_side == "forbid" else ():
        yield Breach("", period.name, f"{crossing.right} and {crossing.left} take {crossing.moment} from opposite "
                     "sides of the line of action, the match forbids it")  # fmt: skip
    for area in match.venue.allowed:
        used = sum(station.spot.area == area.key for station in stations)
        if area.max_cameras is not None and used > area.max_cameras:
            yield Breach("", period.name, f"{used} cameras in {area.name}, allowed: {area.max_cameras}")
    for key, share in rules.must_cover.items():
        if planned.by_moment.get(key, 1.0) < share - 1e-9:
            yield Breach("", period.name, f"{key} is covered {100 * planned.by_moment[key]:.0f} %, "
                         f"the match asks for {100 * share:.0f} %")  # fmt: skip


def _moves(match: Match, choice: Sequence[Stations]) -> Iterator[Breach]:
    for (before, now), (period, after) in zip(pairwise(choice), pairwise(match.sport.periods), strict=True):
        if period.may_move_after and match.rules.moves != "never":
            continue
        for first, second in zip(before, now, strict=True):
            if first.spot != second.spot:
                yield Breach(second.camera.name, after.name, "moves where the match lets nobody move")


def _blocking(match: Match, area: AllowedArea, spot: Spot) -> Iterator[str]:
    inside = _point(spot)
    for name, shape in blocked_shapes(match, area):
        if shape.contains(inside) and shape.boundary.distance(inside) > TOUCH_M:
            yield name


def _reaches(area: AllowedArea, z_m: float) -> bool:
    low, high = area.lens_height_m
    return low - HEIGHT_TOUCH_M <= z_m <= high + HEIGHT_TOUCH_M


def _point(spot: Spot) -> shapely.Point:
    return shapely.Point(spot.x_m, spot.y_m)
