"""Flicker: the closed form against numerical integration, sequences of frames and published safe settings."""

from math import cos, log2, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, simpson

from standmark.geometry.optics.blur import shutter_angle_deg
from standmark.geometry.optics.flicker import (
    beat_hz,
    frame_to_frame,
    is_safe_time,
    light_hz,
    nearest_safe_time_s,
    phase_count,
    phase_spread,
    ripple_left,
    rolling_bands,
    safe_times_s,
    swing_stops,
)


def frame_exposure(
    start_s: float, time_s: float, *, ripple_hz: float, modulation: float, phase_rad: float = 0.0
) -> float:
    """Light collected by one exposure, relative to the mean: the formula at the head of flicker.py, for one sine."""
    x = pi * ripple_hz * time_s
    sinc = 1.0 if x == 0.0 else sin(x) / x
    return 1.0 + modulation * sinc * cos(2.0 * pi * ripple_hz * (start_s + time_s / 2.0) + phase_rad)


@given(
    st.floats(0.0, 1.0), st.floats(1e-4, 0.05), st.floats(50.0, 400.0), st.floats(0.0, 1.0), st.floats(0.0, 2.0 * pi)
)
def test_frame_exposure_is_the_integral_of_the_light(start_s, time_s, ripple_hz, modulation, phase_rad):
    t = np.linspace(start_s, start_s + time_s, 2001)
    light = 1.0 + modulation * np.cos(2.0 * pi * ripple_hz * t + phase_rad)
    got = frame_exposure(start_s, time_s, ripple_hz=ripple_hz, modulation=modulation, phase_rad=phase_rad)
    assert got == pytest.approx(simpson(light, x=t) / time_s, abs=1e-8)


def rectified(t, mains_hz=50.0):
    """Full-wave rectified sine, scaled to a mean of 1."""
    return abs(np.sin(2.0 * pi * mains_hz * t)) * pi / 2.0


@pytest.mark.parametrize("time_s", [0.01, 0.02, 0.03, 0.04])
@pytest.mark.parametrize("start_s", [0.0, 0.0013, 0.0061])
def test_safe_times_hold_for_any_waveform(start_s, time_s):
    edges = [k / 100.0 for k in range(10) if start_s < k / 100.0 < start_s + time_s]
    total, _ = quad(rectified, start_s, start_s + time_s, points=edges)
    assert total / time_s == pytest.approx(1.0, abs=1e-9)


def test_harmonics_add_up_to_a_rectified_sine():
    # |sin| = 2/pi (1 - 2 sum cos(2 n w t) / (4 n^2 - 1)): harmonics 2/3, 2/15, 2/35 ... of the mean.
    start_s, time_s = 0.0017, 1.0 / 500.0
    terms = (
        frame_exposure(start_s, time_s, ripple_hz=100.0 * n, modulation=2.0 / (4 * n * n - 1), phase_rad=pi) - 1.0
        for n in range(1, 400)
    )
    total, _ = quad(rectified, start_s, start_s + time_s)
    assert 1.0 + sum(terms) == pytest.approx(total / time_s, abs=1e-6)


@pytest.mark.parametrize(
    ("ripple_hz", "one_over_t", "left", "stops"),
    # sinc evaluated separately with numpy.
    [
        (100.0, 24.0, 0.038197, 0.1103),
        (100.0, 50.0, 0.0, 0.0),
        (100.0, 60.0, 0.165399, 0.4817),
        (100.0, 120.0, 0.190986, 0.5579),
        (100.0, 250.0, 0.756827, 2.8529),
        (100.0, 1000.0, 0.983632, 6.9211),
        (120.0, 50.0, 0.126138, 0.3659),
        (120.0, 125.0, 0.041557, 0.12),
        (120.0, 500.0, 0.907909, 4.3728),
    ],
)
def test_what_an_exposure_leaves_of_the_ripple(ripple_hz, one_over_t, left, stops):
    got = ripple_left(1.0 / one_over_t, ripple_hz)
    assert got == pytest.approx(left, abs=1e-6)
    assert swing_stops(got) == pytest.approx(stops, abs=1e-4)


@pytest.mark.parametrize(
    ("ripple_hz", "fps", "n_phases", "beat", "least", "most"),
    # Bounds checked by a scan of 200 001 phases; values per unit of modulation at a 180-degree shutter.
    [
        (100.0, 24.0, 6, 4.0, 0.06849, 0.07909),
        (100.0, 25.0, 1, 0.0, 0.0, 0.0),
        (100.0, 30.0, 3, 10.0, 0.2481, 0.28648),
        (100.0, 60.0, 3, 20.0, 0.28648, 0.3308),
        (100.0, 120.0, 6, 20.0, 1.2781, 1.47583),
        (120.0, 25.0, 5, 5.0, 0.22819, 0.23993),
        (120.0, 100.0, 5, 20.0, 0.91274, 0.95971),
        (120.0, 120.0, 1, 0.0, 0.0, 0.0),
    ],
)
def test_frame_rates_at_half_shutter(ripple_hz, fps, n_phases, beat, least, most):
    assert phase_count(fps, ripple_hz) == n_phases
    assert beat_hz(fps, ripple_hz) == pytest.approx(beat)
    got = frame_to_frame(0.5 / fps, fps, ripple_hz=ripple_hz, modulation=1.0)
    assert got == pytest.approx((least, most), abs=6e-5)


@given(st.sampled_from([24.0, 25.0, 30.0, 50.0, 60.0, 100.0, 120.0]), st.sampled_from([100.0, 120.0]), st.floats(0, 7))
def test_frame_to_frame_bounds_hold_for_every_phase(fps, ripple_hz, phase_rad):
    time_s = 0.4 / fps
    frames = [
        frame_exposure(k / fps, time_s, ripple_hz=ripple_hz, modulation=0.5, phase_rad=phase_rad) for k in range(60)
    ]
    low, high = frame_to_frame(time_s, fps, ripple_hz=ripple_hz, modulation=0.5)
    assert low - 1e-9 <= max(frames) - min(frames) <= high + 1e-9


@pytest.mark.parametrize(
    ("ripple_hz", "fps", "beat"),
    [(120.0, 59.94, 0.12), (120.0, 23.976, 0.12), (100.0, 23.976, 4.096), (99.5, 25.0, 0.5), (99.6, 50.0, 0.4)],
)
def test_slow_beats(ripple_hz, fps, beat):
    assert beat_hz(fps, ripple_hz) == pytest.approx(beat, abs=1e-9)


@pytest.mark.parametrize(
    ("ripple_hz", "fps", "one_over_t", "modulation", "darkest", "brightest"),
    # Frame sequences of 20 s simulated by Simpson integration, light 1 + m cos(2 pi f t + 0.7).
    [
        (100.0, 30.0, 60.0, 0.6, 0.90668, 1.0759),
        (120.0, 25.0, 50.0, 0.6, 0.92451, 1.06426),
        (100.0, 60.0, 500.0, 0.3, 0.73037, 1.20224),
        (100.0, 50.0, 1000.0, 0.2, 1.10394, 1.10394),
        (99.9, 50.0, 1000.0, 0.2, 0.80327, 1.19673),
    ],
)
def test_simulated_sequences(ripple_hz, fps, one_over_t, modulation, darkest, brightest):
    frames = [
        frame_exposure(k / fps, 1.0 / one_over_t, ripple_hz=ripple_hz, modulation=modulation, phase_rad=0.7)
        for k in range(int(20 * fps))
    ]
    assert (min(frames), max(frames)) == pytest.approx((darkest, brightest), abs=2e-5)


def test_two_identical_frames_hide_a_standing_ripple():
    assert phase_spread(50.0, 100.0) == (0.0, 0.0)
    assert phase_count(60000 / 1001, 120.0) == 500  # repeats after 500 frames: a breath of 8.3 s


def test_light_ripples_twice_each_mains_cycle():
    # IEEE 1789, history as told by DIAL: a lamp on 50 Hz mains pulses 100 times a second.
    assert light_hz(50.0) == 100.0


def test_safe_angles_at_25_frames_under_120_hz():
    # Flicker-free equation, cinematography forum: 75, 150, 225 and 300 degrees.
    angles = [shutter_angle_deg(time_s, 25.0) for time_s in safe_times_s(25.0, 120.0)]
    assert angles == pytest.approx([75.0, 150.0, 225.0, 300.0])


@pytest.mark.parametrize(
    ("ripple_hz", "fps", "times"),
    # T = k / (2 mains) up to 1 / fps; whole multiples of the flicker period: Tajbakhsh and Grigat, 2007.
    [
        (100.0, 24.0, [0.01, 0.02, 0.03, 0.04]),
        (100.0, 30.0, [0.01, 0.02, 0.03]),
        (100.0, 60.0, [0.01]),
        (100.0, 100.0, [0.01]),
        (100.0, 120.0, []),
        (120.0, 24.0, [1 / 120, 1 / 60, 1 / 40, 1 / 30, 1 / 24]),
        (120.0, 50.0, [1 / 120, 1 / 60]),
        (120.0, 120.0, [1 / 120]),
    ],
)
def test_safe_times(ripple_hz, fps, times):
    got = safe_times_s(fps, ripple_hz)
    assert got == pytest.approx(times)
    assert all(is_safe_time(time_s, ripple_hz) for time_s in got)


def test_nearest_safe_time():
    assert nearest_safe_time_s(1 / 60, 25.0, 100.0) == 0.02  # 0.26 stop away, 1/100 is 0.74
    assert nearest_safe_time_s(1 / 1000, 120.0, 100.0) is None


@given(st.floats(23.0, 130.0), st.sampled_from([100.0, 120.0]), st.floats(1e-4, 0.04))
def test_safe_times_leave_nothing_and_others_do(fps, ripple_hz, wanted_s):
    safe = nearest_safe_time_s(wanted_s, fps, ripple_hz)
    assert (safe is None) == (fps > ripple_hz * (1 + 1e-8))
    if safe is not None:
        assert ripple_left(safe, ripple_hz) < 1e-12
        assert safe <= 1.0 / fps * (1 + 1e-8)


@pytest.mark.parametrize(
    ("ripple_hz", "readout_s", "rows", "one_over_t", "modulation", "count", "rows_each"),
    # Inter-row delay turns flicker into rows: Sheinin, Schechner, Kutulakos, 2018.
    [
        (100.0, 1 / 60, 2160, 1000.0, 0.4, 1.66667, 1296.0),
        (120.0, 1 / 60, 1080, 250.0, 0.2, 2.0, 540.0),
        (100.0, 0.002, 1080, 2000.0, 1.0, 0.2, 5400.0),
    ],
)
def test_bands_against_a_row_by_row_exposure(ripple_hz, readout_s, rows, one_over_t, modulation, count, rows_each):
    time_s = 1.0 / one_over_t
    bands = rolling_bands(time_s, 50.0, ripple_hz=ripple_hz, modulation=modulation, readout_s=readout_s, rows=rows)
    assert (bands.count, bands.rows_each) == pytest.approx((count, rows_each), rel=1e-5)
    starts_s = np.linspace(0.0, readout_s, rows)
    left = ripple_left(time_s, ripple_hz)
    worst = max(
        np.ptp(1.0 + modulation * left * np.cos(2.0 * pi * ripple_hz * starts_s + phase))
        for phase in np.linspace(0.0, 2.0 * pi, 721)
    )
    assert bands.peak_to_peak == pytest.approx(worst, rel=2e-4)


def test_a_global_shutter_has_no_bands():
    bands = rolling_bands(1 / 500, 50.0, ripple_hz=100.0, modulation=0.5, readout_s=0.0, rows=1080)
    assert bands.peak_to_peak == 0.0


def test_swing_of_a_full_ripple_has_no_limit():
    assert swing_stops(0.5) == pytest.approx(log2(3.0))
    assert swing_stops(1.0) == float("inf")
    assert cos(0.0) == frame_exposure(0.0, 0.0, ripple_hz=100.0, modulation=0.0)
