"""Exposure against the published EV tables, filter tables and meter equation."""

from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standmark.geometry.optics.exposure import (
    FLAT_RECEPTOR,
    iso_needed,
    lux_from_ev100,
    nd_factor,
    nd_stops,
)

lux_levels = st.floats(20.0, 120_000.0)
apertures = st.floats(1.2, 22.0)
times = st.floats(1e-4, 0.04)


@pytest.mark.parametrize(
    ("ev100", "lux"),
    # Exposure value, table of EV, luminance and illuminance (K 12.5, C 250): rows as printed.
    [(-4, 0.156), (-2, 0.625), (0, 2.5), (2, 10.0), (6, 160.0), (9, 1280.0), (12, 10240.0), (14, 40960.0)],
)
def test_ev_and_lux_table(ev100, lux):
    assert lux_from_ev100(ev100) == pytest.approx(lux, rel=3e-3)


@pytest.mark.parametrize(
    ("lux", "constant", "f_number", "time_s", "iso"),
    # N^2 / t = E S / C, C = 250, a flat receptor: Exposure meter calibration (after ISO 2720:1974), 2008.
    [
        (1400.0, FLAT_RECEPTOR, 2.8, 0.001, 1400.0),
        (200.0, FLAT_RECEPTOR, 2.8, 0.002, 4900.0),
        (75.0, FLAT_RECEPTOR, 2.0, 0.004, 3333.3333333333),
        (81920.0, FLAT_RECEPTOR, 16.0, 0.0078125, 100.0),
    ],
)
def test_incident_light_equation(lux, constant, f_number, time_s, iso):
    assert iso_needed(lux, f_number, time_s, constant=constant) == pytest.approx(iso, rel=1e-9)


@pytest.mark.parametrize(
    ("factor", "density", "stops"),
    # Neutral density notation table: ND2 to ND64.
    [(2, 0.3, 1.0), (4, 0.6, 2.0), (8, 0.9, 3.0), (16, 1.2, 4.0), (32, 1.5, 5.0), (64, 1.8, 6.0)],
)
def test_filter_notations(factor, density, stops):
    assert nd_factor(stops) == factor
    assert nd_stops(density) == pytest.approx(stops, abs=0.03)


@given(lux_levels, apertures, times)
def test_half_the_time_is_one_stop(lux, f_number, time_s):
    full, half = iso_needed(lux, f_number, time_s), iso_needed(lux, f_number, time_s / 2.0)
    assert log2(half / full) == pytest.approx(1.0, abs=1e-9)
