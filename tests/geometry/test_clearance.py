import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.geometry.clearance import (
    c_value_m,
    first_ground_seen_m,
    hidden_below_m,
    lens_height_m,
    riser_for_c_m,
    share_over_barrier,
)
from standmark.geometry.occluder import Occluder
from standmark.geometry.sightline import visible_share


# C value, Stadium sightlines worksheet (2012), formula and first row; the others are worked from the formula.
# Height of the eye over the focus R, distance D, row depth T, clearance C, riser N.
@pytest.mark.parametrize(
    ("eye", "focus", "row", "c", "riser"),
    [
        (10.0, 30.0, 1.0, 0.15, 0.48833),
        (6.0, 18.0, 0.8, 0.09, 0.36067),
        (2.0, 9.0, 0.76, 0.06, 0.23396),
        (12.0, 40.0, 0.8, 0.12, 0.3624),
    ],
)
def test_c_value(eye, focus, row, c, riser):
    assert riser_for_c_m(c, eye_m=eye, focus_m=focus, row_m=row) == pytest.approx(riser, abs=0.5e-5)
    assert c_value_m(eye, focus_m=focus, riser_m=riser, row_m=row) == pytest.approx(c, abs=1e-5)


def test_c_value_is_a_sightline_over_the_head_in_front():
    """A ray from the eye behind to the focus passes the eye in front at the height C."""
    eye, focus, row, riser = 6.0, 18.0, 0.8, 0.36
    c = c_value_m(eye, focus_m=focus, riser_m=riser, row_m=row)
    assert hidden_below_m(eye + riser, eye + c, barrier_m=row, subject_m=row + focus) == pytest.approx(0.0, abs=1e-12)


# Law 1 and Law 14 of football: crossbar 2.44 m, penalty mark 11 m from the goal line. Lens height from d metres behind
# the line is 2.44 (11 + d) / 11, to 0.1 m.
@pytest.mark.parametrize(("behind", "height"), [(5, 3.5), (10, 4.7), (15, 5.8), (20, 6.9), (30, 9.1)])
def test_penalty_mark_over_the_crossbar(behind, height):
    assert lens_height_m(2.44, barrier_m=behind, point_m=behind + 11.0) == pytest.approx(height, abs=0.06)


@pytest.mark.parametrize(("distance", "head", "height"), [(10, 5, 3.7), (10, 2, 2.3)])
def test_ground_over_a_standing_head(distance, head, height):
    assert lens_height_m(1.85, barrier_m=head, point_m=distance) == pytest.approx(height, abs=0.06)


@pytest.mark.parametrize(
    ("lens", "barrier", "near", "ground"), [(1.6, 1.0, 3.0, 8.0), (6.0, 1.85, 5.0, 7.2289), (3.6, 2.44, 5.0, 15.5172)]
)
def test_first_ground_seen(lens, barrier, near, ground):
    assert first_ground_seen_m(lens, barrier, barrier_m=near) == pytest.approx(ground, abs=0.5e-4)


def test_no_ground_from_below_the_top():
    assert np.all(np.isinf(first_ground_seen_m([0.8, 1.0], 1.0, barrier_m=3.0)))
    assert np.isinf(lens_height_m(2.0, barrier_m=5.0, point_m=5.0))


heights, distances = st.floats(0.3, 20.0), st.floats(0.5, 40.0)


@given(heights, st.floats(0.3, 5.0), distances, distances, st.floats(0.0, 0.25))
@settings(deadline=None)
def test_lens_at_the_least_height_just_sees_the_point(barrier_extra, point_z, barrier, beyond, above):
    top, far = point_z + barrier_extra, barrier + beyond
    lens = lens_height_m(top, barrier_m=barrier, point_m=far, point_z_m=point_z)
    assert hidden_below_m(lens, top, barrier_m=barrier, subject_m=far) == pytest.approx(point_z, rel=1e-9, abs=1e-9)
    assert hidden_below_m(lens + above, top, barrier_m=barrier, subject_m=far) <= point_z + 1e-9


@given(heights, st.floats(0.3, 3.0), distances, distances)
@settings(deadline=None)
def test_share_agrees_with_the_sightlines(lens, top, barrier, beyond):
    expected = share_over_barrier(lens, top, barrier_m=barrier, subject_m=barrier + beyond, subject_height_m=1.8)
    got = visible_share(
        [(0, 0, lens)],
        [(barrier + beyond, 0, 0.9)],
        subject_m=1.8,
        occluders=[Occluder("board", ((barrier, -200.0), (barrier, 200.0)), 0.0, top)],
        subject_width_m=0.0,
        height_cells=400,
    )[0, 0]
    assert got == pytest.approx(expected, abs=0.5 / 400 + 1e-6)
