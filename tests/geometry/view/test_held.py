import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.geometry.view.held import LONG_FLIGHT_CATCH_UP_S, SUBJECT_HALF_M, held_share, jump_weight, lag_s
from standmark.geometry.view.line_of_sight import lines_of_sight

SUBJECT = np.array([[0.0, 0.0, 1.0]])
WIDTH_MM = 36.0


def held(camera, frame_m, *, along_m_s, across_m_s, share, lag=0.64):
    weight = jump_weight(
        lines_of_sight([camera], SUBJECT), along_m_s=along_m_s, across_m_s=across_m_s, lag_s=np.array(lag)
    )
    return float(held_share(np.array([[frame_m / WIDTH_MM]]), weight, width_mm=WIDTH_MM, jump_share=share)[0, 0])


# The measurement's own figures for a frame 7 m wide (expert, practised, new operator), and the lags behind them.
@pytest.mark.parametrize(
    ("delay_s", "lag", "open_play", "in_the_box"),
    [(0.15, 0.54, 0.89, 0.73), (0.25, 0.64, 0.87, 0.70), (0.40, 0.78, 0.84, 0.68)],
)
def test_the_published_figures_of_three_operators(delay_s, lag, open_play, in_the_box):
    assert lag_s(delay_s) == pytest.approx(lag, abs=0.006)
    for share, speed, told in ((0.26, 8.0, open_play), (0.39, 13.0, in_the_box)):
        got = held((0, -30, 1), 7.0, along_m_s=speed, across_m_s=speed, share=share, lag=lag_s(delay_s))
        assert got == pytest.approx(told, abs=0.6e-2)  # speeds were told to whole metres a second


def test_an_operator_has_caught_up_after_a_long_flight():
    assert lag_s(0.25, catch_up_s=LONG_FLIGHT_CATCH_UP_S) == pytest.approx(lag_s(0.25) - 0.2)


def test_a_jump_counts_by_how_much_of_it_crosses_the_view():
    jump = {"along_m_s": 9.0, "across_m_s": 0.0, "share": 0.5}
    assert held((50, 0, 1), 7.0, **jump) == pytest.approx(1.0)  # from behind the goal line it comes straight on
    assert held((0, -50, 1), 7.0, **jump) < 0.8
    both = {"along_m_s": 9.0, "across_m_s": 9.0, "share": 0.5}
    assert held((50, 0, 1), 7.0, **both) == pytest.approx(held((0, -50, 1), 7.0, **jump))


def test_what_a_frame_no_wider_than_the_subject_loses_is_every_jump():
    assert held((0, -50, 1), 2 * SUBJECT_HALF_M, along_m_s=9.0, across_m_s=0.0, share=0.3) == pytest.approx(0.7)
    assert held((0, -50, 1), 5.0, along_m_s=9.0, across_m_s=5.0, share=0.0) == 1.0
    assert held((0, -50, 1), 5.0, along_m_s=0.0, across_m_s=0.0, share=0.4) == pytest.approx(1.0)
    assert held((0, 0, 9), 5.0, along_m_s=5.0, across_m_s=9.0, share=0.4) > 0.6


@given(st.floats(-60, 60), st.floats(3, 60), st.floats(1, 20), st.floats(0, 20), st.floats(0, 20), st.floats(0, 1))
@settings(max_examples=60, deadline=None)
def test_a_wider_frame_and_a_shorter_lag_never_lose_more(x, y, frame_m, along, across, share):
    given = {"along_m_s": along, "across_m_s": across, "share": share}
    here = held((x, -y, 1), frame_m, **given)
    assert 1 - share - 1e-12 <= here <= 1
    assert held((x, -y, 1), 1.3 * frame_m, **given) >= here - 1e-12
    assert held((x, -y, 1), frame_m, lag=0.5, **given) >= here - 1e-12
    assert held((-x, y, 1), frame_m, **given) == pytest.approx(here)  # an attack the other way is the same
