"""Sampling of zones, weights of sides, and turns of ends."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.targets import moment_shares, period_targets, sample_zone, turns

FOOTBALL = default_match("football")


@settings(max_examples=60, deadline=None)
@given(
    x=st.floats(-50, 50), y=st.floats(-30, 30), width=st.floats(0.5, 60), height=st.floats(0.5, 40),
    cells=st.integers(4, 200),
)  # fmt: skip
def test_sampling_keeps_area_and_centre(x, y, width, height, cells):
    shape = shapely.box(x, y, x + width, y + height).difference(shapely.Point(x, y).buffer(min(width, height) / 3))
    xy_m, share = sample_zone(shape, cells=cells)
    assert share.sum() == pytest.approx(1, abs=1e-12)
    # shares are areas and points centroids, all but slivers of a billionth, so the centroid of the whole holds too
    assert share @ xy_m == pytest.approx(np.array(shape.centroid.coords[0]), abs=1e-6)
    assert len(share) >= min(cells, 4) / 4


def test_small_zone_still_gets_a_point():
    xy_m, share = sample_zone(shapely.Point(41.5, 0).buffer(0.1))
    assert len(xy_m) >= 1
    assert share.sum() == pytest.approx(1)


def test_weights_of_a_period_sum_to_one_and_follow_rate_and_importance():
    targets = period_targets(FOOTBALL, FOOTBALL.sport.periods[0])
    assert targets.weight.sum() == pytest.approx(1)
    by_moment = np.bincount(targets.moment, targets.weight)
    worth = np.array([m.rate_per_match * m.importance for m in FOOTBALL.sport.moments])
    assert by_moment / by_moment.sum() == pytest.approx(worth / worth.sum())


def test_ends_change_turns_the_work_by_180_degrees():
    ours = replace(FOOTBALL, cover="ours", other_side_weight=0.0)
    first, second = (period_targets(ours, p) for p in ours.sport.periods[:2])
    sided = np.array([m.sided for m in ours.sport.moments])[first.moment]
    assert first.xyz_m[sided][:, :2] == pytest.approx(-second.xyz_m[sided][:, :2])
    assert np.cos(first.facing_rad[sided]) == pytest.approx(-np.cos(second.facing_rad[sided]))


def test_our_side_attacks_where_the_match_says():
    ours = replace(FOOTBALL, cover="ours")
    period = ours.sport.periods[0]
    assert turns(ours, period, sided=True) == [(False, 0.5), (True, 0.1)]
    assert turns(replace(ours, first_attack="-x"), period, sided=True) == [(False, 0.1), (True, 0.5)]
    assert turns(replace(ours, first_attack="unknown"), period, sided=True) == [(False, 0.3), (True, 0.3)]
    assert turns(ours, period, sided=False) == [(False, 1.0)]


def test_moment_shares_are_weighted_means():
    targets = period_targets(FOOTBALL, FOOTBALL.sport.periods[0])
    quality = np.where(targets.moment == 0, 0.25, 1.0)
    shares = moment_shares(targets, quality)
    assert shares[targets.moment_keys[0]] == pytest.approx(0.25)
    assert {round(v, 9) for k, v in shares.items() if k != targets.moment_keys[0]} == {1.0}


def test_targets_say_which_way_their_side_attacks():
    targets = period_targets(FOOTBALL, FOOTBALL.sport.periods[0])
    key = np.array(targets.moment_keys)[targets.moment]
    goal, kick_off = key == "goal", key == "kick-off"
    assert np.array_equal(np.sign(targets.xyz_m[goal, 0]), targets.attack_x[goal])
    assert set(targets.attack_x[kick_off]) == {0}


def test_a_thin_strip_askew_is_cut_into_few_cells():
    """A line of paint 0.1 mm wide across the ground: its box alone would hold a hundred million cells of its size."""
    strip = shapely.Polygon([(-50, -30), (50, 30), (50, 30.0001), (-50, -29.9999)])
    xy_m, share = sample_zone(strip)
    assert 16 <= len(xy_m) <= 200
    assert share @ xy_m == pytest.approx([0, 0], abs=1e-3)
