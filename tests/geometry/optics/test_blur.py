"""Shutter angle, exposure time and motion blur against published figures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standmark.geometry.optics.blur import (
    blur_px,
    blur_share,
    shutter_angle_deg,
    shutter_time_s,
    slow_down,
)


@pytest.mark.parametrize(
    ("one_over_t", "angle_deg"),
    # Shutter Speed vs. Shutter Angle, first table, 24 frames a second.
    [(32.0, 270.0), (48.0, 180.0), (50.0, 172.8), (60.0, 144.0), (96.0, 90.0), (120.0, 72.0)],
)
def test_angle_and_time_at_24_frames(one_over_t, angle_deg):
    assert shutter_angle_deg(1.0 / one_over_t, 24.0) == pytest.approx(angle_deg, abs=1e-9)
    assert 1.0 / shutter_time_s(angle_deg, 24.0) == pytest.approx(one_over_t, abs=1e-9)


def test_one_pixel_of_blur():
    # Motion blur, speed x time / object pixel size, sample result: 500 mm/s, 100 us, 50 um -> 1.00 px.
    assert blur_px(0.5, 100e-6, px_per_m=1.0 / 50e-6) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(
    ("speed_m_s", "time_s", "px_per_m", "smear_px"),
    # Speeds: Silva et al., Biology of Sport 42(1), 2025 (8.79); Andersen and Dorge, 2011 (34.48); products computed.
    [
        (8.79, 0.001, 1600.0 / 3.0, 4.688),
        (34.48, 0.001, 1600.0 / 3.0, 18.3893),
        (34.48, 0.0005, 800.0 / 9.0, 1.5324),
    ],
)
def test_blur_of_sport(speed_m_s, time_s, px_per_m, smear_px):
    assert blur_px(speed_m_s, time_s, px_per_m=px_per_m) == pytest.approx(smear_px, abs=5e-4)


@given(st.floats(0.1, 60.0), st.floats(1e-4, 0.04), st.floats(5.0, 1000.0))
def test_half_the_time_is_half_the_blur(speed_m_s, time_s, px_per_m):
    full = blur_px(speed_m_s, time_s, px_per_m=px_per_m)
    assert blur_px(speed_m_s, time_s / 2.0, px_per_m=px_per_m) == pytest.approx(full / 2.0, rel=1e-12)


@given(st.floats(0.1, 60.0), st.floats(1e-4, 0.04), st.floats(0.05, 2.5), st.floats(5.0, 1000.0))
def test_share_and_pixels_tell_the_same(speed_m_s, time_s, subject_m, px_per_m):
    share = blur_share(speed_m_s, time_s, subject_m=subject_m)
    assert share * subject_m * px_per_m == pytest.approx(blur_px(speed_m_s, time_s, px_per_m=px_per_m), rel=1e-12)


def test_slow_motion_factor():
    assert slow_down(120.0, 24.0) == 5.0
