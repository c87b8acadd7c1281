"""A match under the rules of its competition: places, heights, postures, supports and moves that they leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.optimizer.match.match import AllowedArea, Match, RemovedPlace
from standmark.sports.competition import Profile
from standmark.sports.place_kind import GROUND, OVER_HEAD_LENS_M, POSTURES, lens_range_m
from standmark.sports.sport import Period

SLIVER_M2 = 0.01


@dataclass(frozen=True)
class Left:
    """Places that a profile leaves, and those that it takes away."""

    kept: tuple[AllowedArea, ...]
    removed: tuple[RemovedPlace, ...]


def under_profile(match: Match, profile: Profile) -> Match:
    """Return the match with what its competition allows; places taken away are named with the reason."""
    allowed, asked = (_left(areas, profile) for areas in (match.venue.allowed, match.venue.asked))
    return replace(
        match,
        venue=replace(match.venue, allowed=allowed.kept, asked=asked.kept, removed=(*allowed.removed, *asked.removed)),
        sport=replace(match.sport, periods=_periods(match.sport.periods, profile.moves)),
        profile=profile,
    )


def objection(area: AllowedArea, profile: Profile) -> str:
    """Say why a profile leaves nothing of a place; empty where it leaves something."""
    return _cut(area, profile)[1]


def _left(areas: Sequence[AllowedArea], profile: Profile) -> Left:
    kept, removed = [], []
    for area in areas:
        cut, reason = _cut(area, profile)
        if cut is None:
            removed.append(RemovedPlace(area.name, reason))
        else:
            kept.append(cut)
    return Left(tuple(kept), tuple(removed))


def _cut(area: AllowedArea, profile: Profile) -> tuple[AllowedArea | None, str]:
    """What a profile leaves of a place, or None and why."""
    is_raised = area.kind != GROUND.key or area.lens_height_m[0] > OVER_HEAD_LENS_M
    if is_raised and not profile.raised:
        return None, "no raised places"
    if not is_raised and not profile.ground:
        return None, "raised places only"
    low = max(area.lens_height_m[0], profile.lens_height_m[0])
    high = min(area.lens_height_m[1], profile.lens_height_m[1])
    postures, shape = area.postures, area.shape
    if not is_raised:
        if profile.only:
            shape = _of_kind(area.shape, shape.intersection(shapely.union_all([part for _, part in profile.only])))
            if _is_nothing(shape):
                return None, f"only {' and '.join(name for name, _ in profile.only)}"
        for part in profile.refused:
            shape = _of_kind(area.shape, shape.difference(part.shape))
            if _is_nothing(shape):
                return None, part.reason
        postures = tuple(p for p in area.postures if p in profile.postures)
        if not postures:
            return None, f"{' or '.join(profile.postures)} only"
        if profile.postures != POSTURES:
            reach_m = lens_range_m(postures)
            low, high = max(low, reach_m[0]), min(high, reach_m[1])
            if low > high:
                return None, f"{' or '.join(profile.postures)} only"
    if low > high:
        return None, f"lens {profile.lens_height_m[0]:g} to {profile.lens_height_m[1]:g} m up only"
    supports = tuple(s for s in area.supports if s in profile.supports) or profile.supports
    return replace(area, shape=shape, lens_height_m=(low, high), postures=postures, supports=supports), ""


def _of_kind(before: BaseGeometry, after: BaseGeometry) -> BaseGeometry:
    """Parts of a cut place that are surfaces, or lines where it was a line: not the edges that shapes only touch."""
    is_surface = before.area > 0
    return shapely.union_all([part for part in shapely.get_parts(after) if (part.area > 0) == is_surface])


def _is_nothing(shape: BaseGeometry) -> bool:
    return bool(shape.area < SLIVER_M2 and shape.length < 2 * SLIVER_M2)


def _periods(periods: Sequence[Period], moves: str) -> tuple[Period, ...]:
    """Periods after which a camera may still move."""
    if moves == "free":
        return tuple(periods)
    half = -1
    if moves == "half-time":
        played = list(accumulate(p.minutes for p in periods))
        half = min(range(len(played) - 1), key=lambda i: abs(played[i] - played[-1] / 2), default=-1)
    return tuple(replace(p, may_move_after=p.may_move_after and i == half) for i, p in enumerate(periods))
