"""Weather hazards against the published charts and rules."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standmark.geometry.heat import (
    HEAT_INDEX_BANDS_C,
    LIGHTNING_30_30,
    WBGT_BANDS_C,
    hazard_band,
    heat_index_c,
    lightning_distance_km,
)


def celsius(fahrenheit):
    return (fahrenheit - 32.0) / 1.8


@pytest.mark.parametrize(
    ("temperature_f", "humidity_percent", "chart_f"),
    # Heat index chart of the US weather service, southern region office; the regression fits it within 1.3 F.
    [
        (90, 60, 100),
        (96, 65, 121),
        (100, 40, 109),
        (88, 75, 103),
        (84, 90, 98),
        (94, 55, 106),
        (102, 50, 124),
        (86, 80, 100),
    ],
)
def test_heat_index_chart(temperature_f, humidity_percent, chart_f):
    assert heat_index_c(celsius(temperature_f), humidity_percent) * 1.8 + 32.0 == pytest.approx(chart_f, abs=1.3)


def test_mild_weather_feels_like_itself():
    assert heat_index_c(20.0, 50.0) == pytest.approx(20.0, abs=1.0)


def test_very_dry_heat_feels_cooler_than_the_regression():
    # (13 - 5) / 4 * sqrt((17 - 5) / 17) = 1.68 F taken off at 100 F and 5 percent.
    lower = heat_index_c(celsius(100.0), 5.0) * 1.8 + 32.0
    unbent = heat_index_c(celsius(100.0), 13.0) * 1.8 + 32.0
    assert lower < unbent


@pytest.mark.parametrize(
    ("felt_f", "name"),
    # Heat index classification: 80, 90, 103 and 125 F.
    [(79.0, None), (80.5, "caution"), (102.0, "extreme caution"), (104.0, "danger"), (126.0, "extreme danger")],
)
def test_heat_classes(felt_f, name):
    band = hazard_band(celsius(felt_f), HEAT_INDEX_BANDS_C)
    assert (band and band.name) == name


def test_wet_bulb_bands():
    # Extreme weather in football, players' union, 2025: breaks from 28, reschedule above 32.
    assert hazard_band(27.9, WBGT_BANDS_C) is None
    assert hazard_band(28.0, WBGT_BANDS_C).name == "cooling breaks"
    assert hazard_band(33.0, WBGT_BANDS_C).name == "play should be moved"


def test_lightning_30_30():
    # Lightning safety, 30-30 rule, 2016: 30 s is about 6 miles (9.7 km); resume 30 minutes after the last thunder.
    assert lightning_distance_km(LIGHTNING_30_30.flash_to_bang_s) == pytest.approx(6 * 1.609344, abs=0.7)
    assert LIGHTNING_30_30.wait_after_last_thunder_min == 30.0


@given(st.floats(30.0, 45.0), st.floats(40.0, 80.0))
def test_damper_air_feels_hotter(temperature_c, humidity_percent):
    assert heat_index_c(temperature_c, humidity_percent + 5.0) > heat_index_c(temperature_c, humidity_percent)
