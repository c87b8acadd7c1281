import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.geometry.view.facing import toward_lens
from standmark.geometry.view.follow import follow_share, pan_tilt_squares
from standmark.geometry.view.line_of_sight import lines_of_sight

ORIGIN = np.array([[0.0, 0.0, 1.0]])


def rates(camera, *, heading_rad, **given):
    sight = lines_of_sight([camera], ORIGIN)
    pan, tilt = np.sqrt(pan_tilt_squares(sight, toward_lens(sight, heading_rad), **given))
    return pan[0, 0], tilt[0, 0]


# A runner crossing at 9 m/s: v / D in degrees, rounded to whole degrees.
@pytest.mark.parametrize(("distance", "rate"), [(5, 103), (20, 26), (40, 13)])
def test_crossing_runner(distance, rate):
    pan, tilt = rates((0, -distance, 1), speed_m_s=9.0, heading_rad=0.0, spread_pull=1.0)
    assert pan == pytest.approx(rate, abs=0.5)
    assert tilt == 0.0


@pytest.mark.parametrize("bearing", [0.0, 1.75])  # at 1.75 rounding once left a mean square under 0
def test_runner_straight_at_the_lens_needs_no_pan(bearing):
    camera = (8.375 * np.cos(bearing), 8.375 * np.sin(bearing), 1)
    pan, tilt = rates(camera, speed_m_s=9.0, heading_rad=bearing, spread_pull=1.0)
    assert pan == pytest.approx(0.0, abs=1e-4)
    assert tilt == 0.0


def angles(camera, point):
    d = point - camera
    return np.array([np.arctan2(d[1], d[0]), np.arctan2(d[2], np.hypot(d[0], d[1]))])


@given(st.floats(3, 60), st.floats(-np.pi, np.pi), st.floats(0.3, 25), st.floats(-np.pi, np.pi), st.floats(0.0, 2.0))
@settings(max_examples=50, deadline=None)
def test_rates_match_simulated_runs(distance, bearing, lens_z, heading, sigma):
    """Finite differences over equally likely headings of the normal spread (Gauss-Hermite) against the formula."""
    camera = np.array([distance * np.cos(bearing), distance * np.sin(bearing), lens_z])
    nodes, weights = np.polynomial.hermite_e.hermegauss(60)
    speed, step = 6.0, 1e-5
    turns = []
    for angle in heading + sigma * nodes:
        move = speed * step * np.array([np.cos(angle), np.sin(angle), 0.0]) / 2
        change = angles(camera, ORIGIN[0] + move) - angles(camera, ORIGIN[0] - move)
        turns.append((np.mod(change + np.pi, 2 * np.pi) - np.pi) / step)
    expected = np.rad2deg(np.sqrt(np.average(np.square(turns), axis=0, weights=weights)))
    given_spread = {"speed_m_s": speed, "heading_rad": heading, "spread_pull": np.exp(-(sigma**2) / 2)}
    got = rates(camera, **given_spread)
    np.testing.assert_allclose(got, expected, rtol=1e-4, atol=1e-4)


def test_straight_above():
    pan, tilt = rates((0, 0, 10), speed_m_s=[5.0], heading_rad=0.0, spread_pull=0.0)
    assert pan > 1e6
    assert tilt == pytest.approx(np.rad2deg(5 / np.sqrt(2) / 9))
    assert rates((0, 0, 10), speed_m_s=0.0, heading_rad=0.0, spread_pull=0.0) == (0.0, 0.0)
    assert rates((0, 0, 1), speed_m_s=3.0, heading_rad=0.0, spread_pull=0.0)[0] > 1e6  # lens in the subject


def test_share_is_half_at_either_limit_and_falls():
    rates = np.linspace(0, 200, 50) ** 2
    still, limits = np.zeros(50), {"pan_deg_s": 40.0, "tilt_deg_s": 25.0}
    for shares in (follow_share(rates, still, **limits), follow_share(still, rates, **limits)):
        assert shares[0] == 1.0
        assert np.all(np.diff(shares) < 0)
    assert follow_share(np.array([1600.0]), np.array([0.0]), **limits) == 0.5
    assert follow_share(np.array([0.0]), np.array([625.0]), **limits) == 0.5
    assert follow_share(np.array([1600.0]), np.array([625.0]), **limits) == 0.25
    assert follow_share(np.array([np.inf]), np.array([0.0]), **limits) == 0.0
