"""Daylight against published figures: design tables by day, a glossary's twilight levels by night."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standmark.geometry.light.daylight import facing_lux, level_lux, people_lux

CLOUDS = ("clear", "partly", "overcast")


@pytest.mark.parametrize(
    ("elevation_deg", "lowest", "highest"),
    [
        # American Meteorological Society, Glossary of Meteorology (read): civil twilight ends in 3 lux or so
        (-0.83, 410, 585),
        (-6.0, 2.0, 3.5),
    ],
)
def test_twilight_levels_of_the_glossary(elevation_deg, lowest, highest):
    assert lowest <= level_lux(elevation_deg) <= highest


@pytest.mark.parametrize(("elevation_deg", "lux"), [(-12.0, 0.008), (-18.0, 0.0006)])
def test_deep_twilight_within_a_factor_of_two(elevation_deg, lux):
    """The same glossary; the circular's own warning is a factor of ten."""
    assert 0.5 < level_lux(elevation_deg) / lux < 2.0


@pytest.mark.parametrize("elevation_deg", [10.0, 20.0, 40.0, 60.0])
def test_sky_on_level_ground_is_the_handbook_constant(elevation_deg):
    """Sky alone, by the handbook as remembered: overcast 0.3 + 21 sin h klx (from memory), within a tenth."""
    handbook = 1000.0 * (0.3 + 21.0 * math.sin(math.radians(elevation_deg)))
    assert level_lux(elevation_deg, cloud="overcast") == pytest.approx(handbook, rel=0.12)


def test_low_front_light_against_back_light():
    """Computed apart from the same paper: under a clear sky with the sun at 15 degrees 69.5 against 4.4 klx."""
    assert facing_lux(15.0, 0.0) == pytest.approx(69_500, rel=0.005)
    assert facing_lux(15.0, 180.0) == pytest.approx(4_400, rel=0.02)


@given(st.floats(-18, 85), st.floats(0.05, 3.0), st.sampled_from(CLOUDS))
def test_more_sun_is_more_light(elevation_deg, step_deg, cloud):
    lower, higher = level_lux(elevation_deg, cloud=cloud), level_lux(elevation_deg + step_deg, cloud=cloud)
    assert lower < higher * 1.001


@given(st.floats(-10, 60), st.sampled_from(CLOUDS))
def test_light_has_no_steps(elevation_deg, cloud):
    """A hundredth of a degree is never more than a twentieth of a stop, across every seam between formulas."""
    before, after = (people_lux(elevation_deg + d, cloud=cloud) for d in (0.0, 0.01))
    assert abs(math.log2(after / before)) < 0.05


@given(st.floats(2, 60), st.floats(0, 180))
def test_people_who_look_every_way_get_a_mean(elevation_deg, turn_deg):
    assert facing_lux(elevation_deg, 180.0) <= people_lux(elevation_deg) <= facing_lux(elevation_deg, 0.0)
    assert facing_lux(elevation_deg, turn_deg) == pytest.approx(facing_lux(elevation_deg, 360.0 - turn_deg))
