"""The sun against published positions, two other libraries, and the sky's own symmetries."""

import math
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import ephem
import numpy as np
import pandas as pd
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pvlib import solarposition

from standmark.geometry.errors import InputError
from standmark.geometry.light.grandstand import Stand, is_shaded, shade_on_ground
from standmark.geometry.light.sun import pitch_direction, sun_crossings, sun_direction, sun_position_deg
from standmark.geometry.light.sun_light import light_share
from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.ray import subjects_of, traced_share
from standmark.geometry.sightlines.wall import walls_of
from standmark.geometry.view.line_of_sight import lines_of_sight


def sun_separation_deg(view, toward_sun):
    """Angle between two directions [deg]."""
    a, b = np.asarray(view, float), np.asarray(toward_sun, float)
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b)))


def sky(azimuth_deg, elevation_deg):
    return pitch_direction(azimuth_deg, elevation_deg, bearing_deg=0.0)


def test_published_solar_position_example():
    # Reda I., Andreas A., Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302, revised
    # January 2008, table A5.1: azimuth 194.340241, geometric elevation 39.872046. Ours is of the NOAA class: 0.02 deg.
    at = datetime(2003, 10, 17, 12, 30, 30, tzinfo=ZoneInfo("Etc/GMT+7"))
    azimuth, elevation = sun_position_deg(at, latitude_deg=39.742476, longitude_deg=-105.1786)
    assert azimuth == pytest.approx(194.340241, abs=0.02)
    assert elevation == pytest.approx(39.872046, abs=0.02)


@pytest.mark.parametrize(
    ("utc", "elevation_deg", "azimuth_deg"),
    [
        # NOAA solar calculator spreadsheet (NOAA_Solar_Calculations_day), 21 June 2010, latitude 40, longitude -105
        ("2010-06-21T11:42", 0.9164315347, 59.6096523685),
        ("2010-06-21T15:06", 38.186442231, 89.9640973549),
        ("2010-06-21T19:00", 73.4336789719, 178.5332300379),
        ("2010-06-21T21:54", 50.2982930101, 258.5913598353),
        ("2010-06-22T02:24", 0.5275557201, 300.764614059),
    ],
)
def test_published_spreadsheet_rows(utc, elevation_deg, azimuth_deg):
    at = datetime.fromisoformat(utc).replace(tzinfo=UTC)
    azimuth, elevation = sun_position_deg(at, latitude_deg=40.0, longitude_deg=-105.0)
    assert elevation == pytest.approx(elevation_deg, abs=1e-6)
    assert azimuth == pytest.approx(azimuth_deg, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(
    latitude=st.floats(-85, 85), longitude=st.floats(-180, 180),
    at=st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1)),
)  # fmt: skip
def test_two_other_libraries_see_the_same_sun(latitude, longitude, at):
    at = at.replace(microsecond=0)
    ours = sky(*sun_position_deg(at.replace(tzinfo=UTC), latitude_deg=latitude, longitude_deg=longitude))
    table = solarposition.get_solarposition(pd.DatetimeIndex([at], tz="UTC"), latitude, longitude, method="nrel_numpy")
    reference = sky(float(table["azimuth"].iloc[0]), float(table["elevation"].iloc[0]))
    assert sun_separation_deg(ours, reference) < 0.02
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.date, observer.pressure = (
        math.radians(latitude),
        math.radians(longitude),
        at,
        0,
    )
    body = ephem.Sun(observer)
    second = sky(math.degrees(body.az), math.degrees(body.alt))
    assert sun_separation_deg(ours, second) < 0.02


def test_time_without_zone_is_refused():
    with pytest.raises(InputError, match=r"no zone.*\+02:00"):
        sun_position_deg(datetime(2027, 5, 8, 15), latitude_deg=50.0, longitude_deg=0.0)


def test_summer_time_counts():
    place = {"latitude_deg": 52.6, "longitude_deg": 1.38}
    local = datetime(2027, 7, 1, 15, tzinfo=ZoneInfo("Europe/London"))
    assert sun_position_deg(local, **place) == sun_position_deg(datetime(2027, 7, 1, 14, tzinfo=UTC), **place)


def test_noon_sun_stands_south_in_the_north_and_north_in_the_south():
    noon = datetime(2027, 3, 21, 12, 7, tzinfo=UTC)
    for latitude, toward_north in ((50.0, -1), (-50.0, 1)):
        x, y, z = sun_direction(noon, latitude_deg=latitude, longitude_deg=0.0, bearing_deg=0.0)
        assert math.copysign(1, x) == toward_north
        assert abs(y) < 0.02
        assert z > 0.5


@given(azimuth=st.floats(0, 360), elevation=st.floats(-89, 89), bearing=st.floats(0, 360))
def test_turning_the_ground_turns_the_sun_the_other_way(azimuth, elevation, bearing):
    turned = pitch_direction(azimuth, elevation, bearing_deg=bearing)
    angle = math.radians(bearing)
    back = np.array([[math.cos(angle), math.sin(angle), 0], [-math.sin(angle), math.cos(angle), 0], [0, 0, 1]]) @ turned
    assert back == pytest.approx(sky(azimuth, elevation), abs=1e-12)


def test_sunrise_and_sunset_of_the_published_example():
    # the same table A5.1: sunrise 06:12:43, sunset 17:20:19 local standard time. The algorithm takes the day in
    # universal time, so the sunset printed for 17 October is the one at 00:20 UT, the evening of the 16th here.
    first = datetime(2003, 10, 16, 12, tzinfo=ZoneInfo("Etc/GMT+7"))
    found = sun_crossings(first, first + timedelta(days=1), latitude_deg=39.742476, longitude_deg=-105.1786)
    assert [is_rise for _, is_rise in found] == [False, True]
    for (at, _), printed in zip(found, ("2003-10-16T17:20:19-07:00", "2003-10-17T06:12:43-07:00"), strict=True):
        assert abs(at - datetime.fromisoformat(printed)) < timedelta(seconds=15)


def test_polar_day_and_night_have_no_crossing():
    for month in (6, 12):
        day = datetime(2026, month, 21, tzinfo=UTC)
        assert sun_crossings(day, day + timedelta(days=1), latitude_deg=75.0, longitude_deg=20.0) == ()


@pytest.mark.parametrize(
    ("camera", "sun", "expected"),
    [((290.0, -5.0), (290.1305, 14.0422), 19.0426), ((180.0, 0.0), (220.9406, 5.1661), 41.2082)],
)
def test_separation_by_the_spherical_law_of_cosines(camera, sun, expected):
    # cos(sep) = sin e1 sin e2 + cos e1 cos e2 cos(a1 - a2), spherical trigonometry
    assert sun_separation_deg(sky(*camera), sky(*sun)) == pytest.approx(expected, abs=0.5e-4)


@pytest.mark.parametrize(("height", "elevation", "length"), [(1.8, 14.0422, 7.1968), (20.0, 5.1661, 221.2130)])
def test_shadow_length_is_height_over_tangent(height, elevation, length):
    stand = Stand(((0.0, 0.0), (1.0, 0.0)), height)
    assert shade_on_ground([stand], toward_sun=sky(90.0, elevation)).area == pytest.approx(length, abs=1e-3)
    assert shade_on_ground([stand], toward_sun=sky(90.0, -3.0)).is_empty


@settings(max_examples=60, deadline=None)
@given(azimuth=st.floats(0, 360), elevation=st.floats(3, 85), height=st.floats(1, 30), seed=st.integers(0, 2**32 - 1))
def test_a_point_is_shaded_when_a_ray_toward_the_sun_meets_a_stand(azimuth, elevation, height, seed):
    """The closed form against following the ray a kilometre toward the sun, past the stand as a wall."""
    rng = np.random.default_rng(seed)
    stands = [Stand(tuple(map(tuple, rng.uniform(-60, 60, (2, 2)))), height) for _ in range(2)]
    points = np.column_stack([rng.uniform(-60, 60, (30, 2)), rng.uniform(0, 12, 30)])
    sun = sky(azimuth, elevation)
    walls = [Occluder("stand", s.edge_m, 0.0, s.height_m) for s in stands]
    subjects = subjects_of(points + 1000.0 * sun, np.array(0.0), width_m=0.0, height_cells=1)
    clear = traced_share(points, np.arange(30), subjects=subjects, walls=walls_of(walls), occluders=walls)
    np.testing.assert_array_equal(is_shaded(points, stands, toward_sun=sun), clear == 0.0)
    ground = points * [1, 1, 0]
    shade = shade_on_ground(stands, toward_sun=sun)
    np.testing.assert_array_equal(
        is_shaded(ground, stands, toward_sun=sun), shapely.contains_xy(shade, points[:, 0], points[:, 1])
    )


def test_a_stand_that_shades_lens_and_subject_takes_the_loss_away():
    sun = sky(0.0, 10.0)  # low over +x
    sight = lines_of_sight([(0, 0, 1.5), (-70, 0, 1.5)], [(20, 0, 1)])
    plain = light_share(sight, toward_sun=[sun])
    behind = light_share(sight, toward_sun=[sun], stands=[Stand(((50, -40), (50, 40)), 14.0)])  # 79 m of shadow
    assert (plain < 0.5).all()
    assert behind[0, 0] == 1.0
    assert behind[1, 0] == plain[1, 0]  # the lens at the far end still looks into the sun


@settings(max_examples=50, deadline=None)
@given(azimuth=st.floats(0, 360), elevation=st.floats(-20, 89))
def test_light_is_a_share_and_best_with_the_sun_behind(azimuth, elevation):
    sun = sky(azimuth, elevation)
    ground = np.array([sun[0], sun[1], 0.0]) / max(1e-9, math.hypot(sun[0], sun[1]))
    into, away = light_share(
        lines_of_sight([(0, 0, 1.5)], [30 * ground + (0, 0, 1), -30 * ground + (0, 0, 1)]), toward_sun=[sun]
    )[0]
    assert 0.15 - 1e-12 <= into <= away <= 1.0
    if elevation < -0.9 or elevation > 55:
        assert into == 1.0
