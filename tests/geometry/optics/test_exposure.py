"""Exposure against the published EV tables, filter tables and meter equation."""

from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standmark.geometry.optics.exposure import (
    DOME_RECEPTOR,
    FLAT_RECEPTOR,
    NO_FILTERS,
    NeutralDensity,
    aperture_stops,
    balance_exposure,
    ev100_from_lux,
    exposure_value,
    f_number_needed,
    iso_needed,
    lux_from_ev100,
    nd_density,
    nd_factor,
    nd_stops,
    strongest_filter_stops,
    time_needed_s,
    weakest_filter_stops,
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
    assert ev100_from_lux(lux) == pytest.approx(ev100, abs=4e-3)


def test_exposure_value_of_marked_settings():
    # 1/125 s at f/16 is spoken of as EV 15; the marks are rounded.
    assert exposure_value(1.0, 1.0) == 0.0
    assert exposure_value(16.0, 1 / 125) == pytest.approx(14.9658, abs=5e-5)
    assert exposure_value(4.0, 0.02) == pytest.approx(9.6438561898, abs=1e-9)


@pytest.mark.parametrize(
    ("lux", "constant", "f_number", "time_s", "iso"),
    # N^2 / t = E S / C, C = 250 flat and 340 dome: Exposure meter calibration (after ISO 2720:1974), 2008.
    [
        (1400.0, FLAT_RECEPTOR, 2.8, 0.001, 1400.0),
        (200.0, FLAT_RECEPTOR, 2.8, 0.002, 4900.0),
        (200.0, DOME_RECEPTOR, 2.8, 0.002, 6664.0),
        (75.0, FLAT_RECEPTOR, 2.0, 0.004, 3333.3333333333),
        (81920.0, FLAT_RECEPTOR, 16.0, 0.0078125, 100.0),
    ],
)
def test_incident_light_equation(lux, constant, f_number, time_s, iso):
    assert iso_needed(lux, f_number, time_s, constant=constant) == pytest.approx(iso, rel=1e-9)
    assert time_needed_s(lux, f_number, iso, constant=constant) == pytest.approx(time_s, rel=1e-9)
    assert f_number_needed(lux, time_s, iso, constant=constant) == pytest.approx(f_number, rel=1e-9)


def test_dome_asks_044_stop_more():
    assert log2(DOME_RECEPTOR / FLAT_RECEPTOR) == pytest.approx(0.44, abs=0.005)


@pytest.mark.parametrize(
    ("factor", "density", "stops"),
    # Neutral density notation table: ND2 to ND64.
    [(2, 0.3, 1.0), (4, 0.6, 2.0), (8, 0.9, 3.0), (16, 1.2, 4.0), (32, 1.5, 5.0), (64, 1.8, 6.0)],
)
def test_filter_notations(factor, density, stops):
    assert nd_factor(stops) == factor
    assert nd_stops(density) == pytest.approx(stops, abs=0.03)
    assert nd_density(stops) == pytest.approx(density, abs=0.01)


def test_filter_for_a_slow_shutter_in_full_sun():
    # Sunny 16 (EV 15 at ISO 100): ISO 800, f/4, 1/100 s is 7.36 stops over.
    lux = lux_from_ev100(15.0)
    bare = balance_exposure(lux, 4.0, time_s=0.01, iso_range=(800.0, 12800.0))
    assert bare.excess_stops == pytest.approx(7.3561438102, abs=1e-9)
    filtered = balance_exposure(
        lux, 4.0, time_s=0.01, iso_range=(800.0, 12800.0), filters=NeutralDensity((3.0, 6.0), (2.0, 9.0))
    )
    assert (filtered.nd_stops, filtered.iso) == pytest.approx((7.3561438102, 800.0))
    assert filtered.excess_stops == 0.0


def test_fixed_filter_lifts_the_setting():
    got = balance_exposure(
        1600.0 * 250.0 / 100.0, 4.0, time_s=0.01, iso_range=(800.0, 12800.0), filters=NeutralDensity((2.0, 4.0))
    )
    assert got.iso_needed == pytest.approx(100.0)
    assert (got.nd_stops, got.iso, got.excess_stops) == pytest.approx((4.0, 1600.0, 0.0))


def test_small_aperture_under_weak_lamps():
    # 300 lux, f/8, 1/200 s at ISO 800 with C = 250: log2(250 * 64 * 200 / (300 * 800)) = 3.7 stops.
    closed = balance_exposure(300.0, 8.0, time_s=1 / 200, iso_range=(100.0, 800.0))
    opened = balance_exposure(300.0, 2.8, time_s=1 / 200, iso_range=(100.0, 800.0))
    assert closed.shortfall_stops == pytest.approx(3.7, abs=0.05)
    assert aperture_stops(8.0, 2.8) == pytest.approx(3.0, abs=0.05)
    assert closed.shortfall_stops - opened.shortfall_stops == pytest.approx(aperture_stops(8.0, 2.8))


@given(lux_levels, apertures, times)
def test_half_the_time_is_one_stop(lux, f_number, time_s):
    assert exposure_value(f_number, time_s / 2.0) == pytest.approx(exposure_value(f_number, time_s) + 1.0, abs=1e-9)
    full, half = iso_needed(lux, f_number, time_s), iso_needed(lux, f_number, time_s / 2.0)
    assert log2(half / full) == pytest.approx(1.0, abs=1e-9)


@given(lux_levels, apertures, times, st.floats(100.0, 1000.0), st.floats(2000.0, 25600.0))
def test_the_balance_closes(lux, f_number, time_s, lowest, highest):
    got = balance_exposure(
        lux, f_number, time_s=time_s, iso_range=(lowest, highest), filters=NeutralDensity((2.0, 4.0, 6.0))
    )
    assert lowest <= got.iso <= highest
    error = log2(got.iso / got.iso_needed) - got.nd_stops + got.shortfall_stops - got.excess_stops
    assert error == pytest.approx(0.0, abs=1e-8)
    assert min(got.shortfall_stops, got.excess_stops) == 0.0


def test_choice_of_filter():
    filters = NeutralDensity((2.0, 4.0, 6.0), (1.5, 5.0))
    assert weakest_filter_stops(filters, 0.7) == 1.5
    assert weakest_filter_stops(filters, 4.5) == 4.5
    assert weakest_filter_stops(filters, 5.5) == 6.0
    assert weakest_filter_stops(filters, 6.5) is None
    assert strongest_filter_stops(filters) == 6.0
    assert strongest_filter_stops(NO_FILTERS) == 0.0
