"""The sun through a match, against PyEphem."""

import math
from dataclasses import replace
from datetime import UTC, timedelta

import ephem
import pytest
from drawn_plans import default_plan, placed_plan

from standmark.optimizer.picture.sun_path import match_sun, period_shade


def test_sun_is_told_for_each_period_and_the_end():
    plan = placed_plan()
    sun = match_sun(plan.match)
    named = [at.name for at in sun.times]
    assert [name for name in named if name not in ("end", "sunset")] == [p.name for p in plan.match.sport.periods]
    assert sun.path[0].at == plan.match.start
    assert all(b.at > a.at for a, b in zip(sun.path, sun.path[1:], strict=False))


def test_evening_sun_sinks_in_the_west():
    sun = match_sun(placed_plan().match)  # Lisbon, 12 June, 17:00 summer time
    heights = [at.elevation_deg for at in sun.path]
    assert heights == sorted(heights, reverse=True)
    assert all(250 < at.azimuth_deg < 310 for at in sun.path)
    for at in sun.path:
        azimuth, elevation = ephem_sun(at.at, latitude="38.7", longitude="-9.3")
        assert (at.azimuth_deg, at.elevation_deg) == pytest.approx((azimuth, elevation), abs=0.1)


def ephem_sun(at, *, latitude, longitude):
    """Azimuth and elevation by PyEphem, without refraction."""
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.pressure = latitude, longitude, 0
    observer.date = at.astimezone(UTC).replace(tzinfo=None)
    sun = ephem.Sun(observer)
    return math.degrees(sun.az), math.degrees(sun.alt)


def test_no_sun_where_nothing_is_known_or_a_roof_is_over_it():
    assert match_sun(default_plan("football").match) is None


def test_shade_of_a_period_reaches_as_far_as_a_stick_would_throw_it():
    match = placed_plan().match
    match = replace(match, venue=replace(match.venue, stand_height_m={"-x": 9.0}))  # the sun sinks beyond -x
    first = match.sport.periods[0]
    azimuth, elevation = ephem_sun(
        match.start + timedelta(minutes=first.minutes / 2), latitude="38.7", longitude="-9.3"
    )
    from_minus_x_rad = math.radians(azimuth - (match.venue.bearing_deg + 180))
    thrown_m = 9.0 / math.tan(math.radians(elevation)) * math.cos(from_minus_x_rad)
    shade = period_shade(match, first)
    assert shade.bounds[2] == pytest.approx(match.sport.area.run_off.bounds[0] + thrown_m, abs=0.05)
    assert shade.bounds[0] == pytest.approx(match.sport.area.outline.bounds[0])
    assert period_shade(match, match.sport.periods[1]).area > shade.area


def test_no_shade_without_stands_or_sun():
    match = placed_plan().match
    assert period_shade(match, match.sport.periods[0]).is_empty
    unknown = default_plan("football").match
    assert period_shade(unknown, unknown.sport.periods[0]).is_empty
