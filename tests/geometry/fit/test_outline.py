"""A known outline laid on points: exact on exact points, sure as it says it is on noisy ones."""

import math

import numpy as np
import pytest
import shapely

from standmark.geometry.fit.outline import along_ring, drift_correlation, fit_outline, turned_alike, walked_evenly

LENGTH_M, WIDTH_M = 105.0, 68.0
PITCH = shapely.box(-LENGTH_M / 2, -WIDTH_M / 2, LENGTH_M / 2, WIDTH_M / 2)
CORNERS = np.array([(-52.5, -34.0), (52.5, -34.0), (52.5, 34.0), (-52.5, 34.0)])


def turned(xy, deg, middle):
    turn = math.radians(deg)
    return xy @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]]) + middle


def walk(rng, *, sigma_m, drift_s, pace_m_s=1.3, every_s=2.0):
    """A track round the lines whose error drifts: a first-order Gauss-Markov process in east and in north."""
    ring = shapely.LinearRing(CORNERS)
    times = np.arange(0.0, ring.length / pace_m_s, every_s)
    true = shapely.get_coordinates(shapely.line_interpolate_point(ring, times * pace_m_s))
    keep = math.exp(-every_s / drift_s)
    error = np.empty_like(true)
    error[0] = rng.normal(0, sigma_m, 2)
    for i in range(1, len(true)):
        error[i] = keep * error[i - 1] + math.sqrt(1 - keep**2) * rng.normal(0, sigma_m, 2)
    return turned(true, 33.0, (10.0, -5.0)) + error, times


@pytest.mark.parametrize("turn_deg", [0.0, 33.0, 89.9, 171.0])
def test_exact_points_give_back_the_place(turn_deg):
    fit = fit_outline(along_ring(turned(CORNERS, turn_deg, (10.0, -5.0)))[0], PITCH)
    assert fit.middle_m == pytest.approx((10.0, -5.0), abs=1e-4)
    assert (fit.turn_deg - turn_deg + 90) % 180 - 90 == pytest.approx(0.0, abs=1e-3)
    assert fit.worst_miss_m < 1e-3


def test_an_outline_with_one_home_corner_is_told_from_its_mirror():
    fan = shapely.Polygon([(0, 0), *[(100 * math.cos(a), 100 * math.sin(a)) for a in np.linspace(-0.78, 0.78, 20)]])
    points = turned(along_ring(shapely.get_coordinates(fan)[:-1])[0], 200.0, (3.0, 4.0))
    fit = fit_outline(points, fan)
    assert fit.turn_deg == pytest.approx(200.0, abs=0.01)
    assert fit.middle_m == pytest.approx((3.0, 4.0), abs=0.01)
    assert turned_alike(PITCH)
    assert not turned_alike(fan)


def test_strays_pull_little():
    points = turned(along_ring(CORNERS)[0], 33.0, (10.0, -5.0))
    hut = np.tile([120.0, 40.0], (len(points) // 8, 1))
    fit = fit_outline(np.concatenate([points, hut]), PITCH)
    assert np.hypot(fit.middle_m[0] - 10, fit.middle_m[1] + 5) < 0.2


@pytest.fixture(scope="module")
def walks():
    """Errors of 60 walks at 3 m, and the errors that each expects."""
    rng = np.random.default_rng(11)
    rows = []
    for _ in range(60):
        track, times = walk(rng, sigma_m=3.0, drift_s=60.0)
        kept = walked_evenly(track, most=120)
        fit = fit_outline(track[kept], PITCH, correlation=drift_correlation(times[kept], drift_s=60.0))
        off = math.hypot(fit.middle_m[0] - 10, fit.middle_m[1] + 5)
        turn = abs((fit.turn_deg - 33.0 + 90) % 180 - 90)
        rows.append((off, turn, off / (fit.middle_se_m * math.sqrt(2)), turn / fit.turn_se_deg))
    return np.array(rows)


def test_a_walk_at_three_metres_finds_the_middle_to_two_and_a_half(walks):
    # docs/grounds.md quotes the medians: 2.5 m and 1 degree
    assert np.median(walks[:, 0]) == pytest.approx(2.5, abs=0.5)
    assert np.median(walks[:, 1]) == pytest.approx(1.0, abs=0.25)


def test_a_walk_is_as_sure_as_it_says(walks):
    # the root mean square of errors in units of their standard error is 1 where these are right
    assert np.sqrt(np.mean(walks[:, 2] ** 2)) == pytest.approx(1.0, abs=0.35)
    assert np.sqrt(np.mean(walks[:, 3] ** 2)) == pytest.approx(1.0, abs=0.35)


def test_a_rest_does_not_count_for_a_side():
    track = np.concatenate([np.tile([0.0, 0.0], (500, 1)), np.column_stack([np.arange(100.0), np.zeros(100)])])
    kept = walked_evenly(track, most=50)
    assert (kept < 500).sum() <= 2
