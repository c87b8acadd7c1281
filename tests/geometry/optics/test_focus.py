"""Depth of field against published examples and against a thin-lens ray check."""

from math import inf, isinf
from typing import get_args

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.optics.focus import (
    CircleRule,
    blur_circle_mm,
    circle_of_confusion_mm,
    diffraction_f_number,
    focus_for_zone_m,
    hyperfocal_m,
    sharp_zone,
)

focals = st.floats(12.0, 600.0)
stops = st.floats(1.2, 22.0)
circles = st.floats(0.004, 0.03)
distances = st.floats(2.0, 200.0)


def test_hyperfocal_worked_example():
    # A depth-of-field guide, 2026, example 50 mm f/8 c 0.03: 10 467 mm.
    assert hyperfocal_m(50.0, 8.0, circle_mm=0.03) == pytest.approx(10.467, abs=0.0005)


@pytest.mark.parametrize(
    ("focal_mm", "f_number", "circle_mm", "short_form_mm"),
    # Two worked examples of the short form f^2 / (N c), which leaves out + f.
    [(50.0, 8.0, 0.02, 15625.0), (35.0, 11.0, 0.03, 3712.12)],
)
def test_hyperfocal_is_the_short_form_plus_the_focal_length(focal_mm, f_number, circle_mm, short_form_mm):
    full_mm = 1000.0 * hyperfocal_m(focal_mm, f_number, circle_mm=circle_mm)
    assert full_mm - focal_mm == pytest.approx(short_form_mm, abs=0.005)


@pytest.mark.parametrize(
    ("focal_mm", "f_number", "circle_mm", "focus_m", "near_m", "far_m"),
    # Formulas of A. R. Greenleaf, Photographic Optics, 1950 (as quoted), evaluated separately.
    [
        (50.0, 8.0, 0.03, 3.0, 2.3379052369, 4.1852678571),
        (200.0, 2.8, 0.03, 30.0, 28.2331683261, 32.0027308997),
        (400.0, 4.0, 0.03, 60.0, 57.4327558151, 62.8074950277),
        (24.0, 5.6, 0.03, 10.0, 2.5577628101, inf),
        (70.0, 4.0, 0.02, 15.0, 12.0602520347, 19.8348445596),
        (60.0, 2.8, 0.0073, 40.0, 32.6059371426, 51.7310800041),
    ],
)
def test_limits(focal_mm, f_number, circle_mm, focus_m, near_m, far_m):
    zone = sharp_zone(focus_m, focal_mm, f_number=f_number, circle_mm=circle_mm)
    assert (zone.near_m, zone.far_m) == pytest.approx((near_m, far_m), rel=1e-9)


def test_focus_at_the_hyperfocal_distance():
    focus_m = hyperfocal_m(35.0, 8.0, circle_mm=0.03)
    zone = sharp_zone(focus_m, 35.0, f_number=8.0, circle_mm=0.03)
    assert zone.near_m == pytest.approx(focus_m / 2.0, rel=1e-12)
    assert isinf(zone.far_m) or zone.far_m > 1e9


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "expected"),
    # 0.03 mm for full frame divided by the crop factor (read); diagonal rules from memory; two pixels at 3840.
    [
        (36.0, 24.0, (0.01875, 0.03, 0.02884, 0.02501)),
        (23.5, 15.6, (0.01224, 0.01956, 0.0188, 0.0163)),
        (9.59, 5.39, (0.00499, 0.00763, 0.00733, 0.00636)),
    ],
)
def test_circle_conventions(width_mm, height_mm, expected):
    mode = RecordingMode("any", width_mm, height_mm, 3840, 2160)
    got = [circle_of_confusion_mm(mode, rule=rule) for rule in get_args(CircleRule)]
    assert got == pytest.approx(expected, abs=1e-5)


@given(focals, stops, circles, distances)
def test_the_limits_blur_by_exactly_the_circle(focal_mm, f_number, circle_mm, focus_m):
    zone = sharp_zone(focus_m, focal_mm, f_number=f_number, circle_mm=circle_mm)
    assert blur_circle_mm(zone.near_m, focus_m, focal_mm, f_number=f_number) == pytest.approx(circle_mm, rel=1e-9)
    assume(zone.far_m < 1e6)
    assert blur_circle_mm(zone.far_m, focus_m, focal_mm, f_number=f_number) == pytest.approx(circle_mm, rel=1e-9)


@given(focals, stops, distances, st.floats(1.05, 4.0))
def test_both_ends_of_a_stretch_blur_alike(focal_mm, f_number, near_m, ratio):
    focus_m = focus_for_zone_m(near_m, near_m * ratio)
    ends = [blur_circle_mm(end_m, focus_m, focal_mm, f_number=f_number) for end_m in (near_m, near_m * ratio)]
    assert ends[0] == pytest.approx(ends[1], rel=1e-9)


@given(focals, stops, circles, distances)
def test_stopping_down_deepens_the_zone(focal_mm, f_number, circle_mm, focus_m):
    wide = sharp_zone(focus_m, focal_mm, f_number=f_number, circle_mm=circle_mm)
    closed = sharp_zone(focus_m, focal_mm, f_number=2.0 * f_number, circle_mm=circle_mm)
    assert closed.near_m < wide.near_m < focus_m < wide.far_m <= closed.far_m


def test_a_stretch_without_end_is_held_from_twice_its_near_limit():
    # Focused at the hyperfocal distance everything from half of it on is sharp.
    assert focus_for_zone_m(5.0, inf) == 10.0


def test_diffraction_fills_two_pixels():
    # Airy disc 2.44 lambda N at 550 nm: 18.8 um at f/14 (full frame UHD), 5.0 um at f/3.7 (2/3 inch UHD).
    assert diffraction_f_number(0.01875) == pytest.approx(13.97, abs=5e-3)
    assert diffraction_f_number(2.0 * 9.59 / 3840) == pytest.approx(3.72, abs=5e-3)
