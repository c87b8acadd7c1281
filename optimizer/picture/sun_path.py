"""Where the sun stands through a match, for pictures and sheets."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.light.grandstand import shade_on_ground
from standmark.geometry.light.sun import pitch_direction, sun_crossings, sun_position_deg
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.surroundings import has_sun, venue_stands
from standmark.sports.sport import Period
from standmark.sports.timeline import period_starts_min

PATH_STEP_MIN = 10.0


@dataclass(frozen=True)
class SunAt:
    """The sun at one time; a name where something happens then."""

    at: datetime  # aware, in the zone of the start
    azimuth_deg: float  # clockwise from true north
    elevation_deg: float
    name: str = ""
    shaded: float = 0.0  # share of the playing area in the shadow of stands


@dataclass(frozen=True)
class SunPath:
    """The sun from the start of a match to its end."""

    path: tuple[SunAt, ...]
    times: tuple[SunAt, ...]  # start of each period, end of the match, sunrise or sunset between


def match_sun(match: Match) -> SunPath | None:
    """Follow the sun through a match; None where it is not known or does not matter."""
    if not has_sun(match):
        return None
    starts = period_starts_min(match.sport.periods)
    end_min = starts[-1] + match.sport.periods[-1].minutes
    named = [(minutes, period.name) for minutes, period in zip(starts, match.sport.periods, strict=True)]
    n = max(2, round(end_min / PATH_STEP_MIN) + 1)
    times = [_sun_at(match, minutes, name) for minutes, name in [*named, (end_min, "end")]]
    path = tuple(_sun_at(match, float(minutes), "") for minutes in np.linspace(0.0, end_min, n))
    return SunPath(path, tuple(sorted([*times, *_crossings(match, end_min)], key=lambda sun: sun.at)))


def _crossings(match: Match, end_min: float) -> list[SunAt]:
    venue = match.venue
    assert match.start is not None
    assert venue.latitude_deg is not None
    assert venue.longitude_deg is not None
    last = match.start.astimezone(UTC) + timedelta(minutes=end_min)
    crossings = sun_crossings(match.start, last, latitude_deg=venue.latitude_deg, longitude_deg=venue.longitude_deg)
    return [_sun(match, at, "sunrise" if is_rise else "sunset") for at, is_rise in crossings]


def _sun_at(match: Match, minutes: float, name: str) -> SunAt:
    assert match.start is not None
    at = match.start.astimezone(UTC) + timedelta(minutes=minutes)
    return _sun(match, at.astimezone(match.start.tzinfo), name)


def _sun(match: Match, at: datetime, name: str) -> SunAt:
    venue = match.venue
    assert venue.latitude_deg is not None
    assert venue.longitude_deg is not None
    azimuth_deg, elevation_deg = sun_position_deg(
        at, latitude_deg=venue.latitude_deg, longitude_deg=venue.longitude_deg
    )
    shade = stand_shade(match, azimuth_deg, elevation_deg)
    return SunAt(at, azimuth_deg, elevation_deg, name, shade.area / match.sport.area.outline.area)


def period_shade(match: Match, period: Period) -> BaseGeometry:
    """Part of the playing area in the shadow of stands halfway through a period; empty where no sun is known."""
    if not has_sun(match):
        return shapely.Polygon()
    start_min = period_starts_min(match.sport.periods)[match.sport.periods.index(period)]
    at = _sun_at(match, start_min + period.minutes / 2, "")
    return stand_shade(match, at.azimuth_deg, at.elevation_deg)


def stand_shade(match: Match, azimuth_deg: float, elevation_deg: float) -> BaseGeometry:
    """Part of the playing area in the shadow of the venue's stands."""
    toward = pitch_direction(azimuth_deg, elevation_deg, bearing_deg=match.venue.bearing_deg)
    return shade_on_ground(venue_stands(match), toward_sun=toward).intersection(match.sport.area.outline)
