"""The ground's own light: when there is a sun to mind, and where it stands in each period."""

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from standmark.geometry.light.sun import sun_direction
from standmark.geometry.view.line_of_sight import lines_of_sight
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.picture.sun_path import match_sun
from standmark.optimizer.value.surroundings import has_sun, period_surroundings, sun_directions

MATCH = default_match("football")
SUNNY = replace(
    MATCH,
    start=datetime(2027, 10, 30, 15, 0, tzinfo=ZoneInfo("Europe/London")),
    venue=replace(MATCH.venue, latitude_deg=52.61, longitude_deg=1.38, bearing_deg=328.0),
)


@pytest.mark.parametrize(
    ("change", "expected"),
    [({}, True), ({"is_indoor": True}, False), ({"is_floodlit": True}, False), ({"latitude_deg": None}, False)],
)
def test_sun_counts_outdoors_with_a_place_and_a_time(change, expected):
    match = replace(SUNNY, venue=replace(SUNNY.venue, **change))
    assert has_sun(match) is expected
    assert (period_surroundings(match, match.sport.periods[0]).light is not None) is expected
    assert not has_sun(replace(match, start=None))


def test_directions_run_from_the_first_to_the_last_minute_of_the_period():
    second = SUNNY.sport.periods[1]
    found = sun_directions(SUNNY, second)
    place = {"latitude_deg": 52.61, "longitude_deg": 1.38, "bearing_deg": 328.0}
    zone = ZoneInfo("Europe/London")  # 48 minutes by the watch, a break of 15, then 48 more
    assert found[0] == pytest.approx(sun_direction(datetime(2027, 10, 30, 16, 3, tzinfo=zone), **place))
    assert found[-1] == pytest.approx(sun_direction(datetime(2027, 10, 30, 16, 51, tzinfo=zone), **place))
    assert np.linalg.norm(found, axis=1) == pytest.approx(1)


def test_low_sun_costs_the_view_into_it():
    light = period_surroundings(SUNNY, SUNNY.sport.periods[0]).light
    x, y, _ = sun_directions(SUNNY, SUNNY.sport.periods[0])[1]
    toward = 40 * np.array([x, y, 0]) / np.hypot(x, y)
    up = np.array([0.0, 0.0, 1.0])
    into, away = light(lines_of_sight([(0, 0, 1.6)], [up + toward, up - toward]))[0]
    assert into < 0.3
    assert away == pytest.approx(1.0)


def test_stands_of_the_venue_shade_the_ground_and_spare_the_light():
    shaded = replace(SUNNY, venue=replace(SUNNY.venue, stand_height_m={"+x": 25.0, "-y": 20.0, "+y": 20.0, "-x": 25.0}))
    for match, is_any in ((SUNNY, False), (shaded, True)):
        sun = match_sun(match)
        assert any(at.shaded > 0.05 for at in sun.times) is is_any
        assert all(0.0 <= at.shaded <= 1.0 + 1e-9 for at in sun.times)
    period = SUNNY.sport.periods[0]
    sight = lines_of_sight(
        [(40.0, 36.0, 1.6), (-40.0, -36.0, 1.6)], [(x, y, 0.9) for x in (-40, 0, 40) for y in (-30, 30)]
    )
    open_sky, spared = (period_surroundings(m, period).light(sight) for m in (SUNNY, shaded))
    assert (spared >= open_sky - 1e-12).all()
    assert (spared > open_sky + 0.01).any()
