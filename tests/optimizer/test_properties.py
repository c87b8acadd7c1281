"""Properties that hold for every plan: more cameras, more places, mirrored grounds, scaled weights, bounds."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from small_match import EAST, SIDE, WEST, small_match

from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.grid import match_tasks, quality_grid, task_quality
from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.planning import plan

CORNER = AllowedArea("corner", "corner", shapely.LineString([(30, -38), (50, -38)]), (1.6, 1.6))


@lru_cache
def worths():
    """Quality of every row of a small match, and the weight of every target."""
    match = small_match(areas=(SIDE, EAST, WEST))
    task = match_tasks(match)[0]
    grid = quality_grid(match, [task], match_candidates(match))
    return task_quality(grid, task).astype(float), task.targets[0].weight


def coverage(rows):
    quality, weight = worths()
    return float(quality[sorted(rows)].max(axis=0, initial=0.0) @ weight)


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_coverage_is_monotone_and_submodular(data):
    n = len(worths()[0])
    few = set(data.draw(st.lists(st.integers(0, n - 1), max_size=3)))
    many = few | set(data.draw(st.lists(st.integers(0, n - 1), max_size=3)))
    more = data.draw(st.integers(0, n - 1))
    assert coverage(few | {more}) >= coverage(few) - 1e-12
    assert coverage(few | {more}) - coverage(few) >= coverage(many | {more}) - coverage(many) - 1e-12


def test_adding_a_camera_never_lowers_coverage():
    rules = {"second_angle_give": 0.0}  # half a point of coverage may go to second angles otherwise
    found = [plan(small_match(cameras=n, rules=rules)).coverage for n in (1, 2, 3)]
    assert found == sorted(found)


def test_opening_an_area_never_lowers_coverage_and_closing_one_never_raises_it():
    small, large = plan(small_match(areas=(SIDE,))), plan(small_match(areas=(SIDE, EAST)))
    assert large.coverage >= small.coverage - 1e-6


@pytest.mark.parametrize("cameras", [1, 2])
def test_no_plan_exceeds_its_bound(cameras):
    found = plan(small_match(cameras=cameras))
    assert found.proven
    assert found.coverage <= found.upper_bound <= found.coverage + 0.005 + 1e-5  # half a point may go to second angles


def mirrored(area):
    """The area on the other side of the long axis."""
    return replace(area, shape=shapely.transform(area.shape, lambda xy: xy * [1, -1]))


def turned(area):
    """The area on the ground turned by 180 degrees."""
    return replace(area, shape=shapely.transform(area.shape, lambda xy: -xy))


@pytest.mark.parametrize(("cameras", "cover"), [(1, "ours"), (2, "both"), (1, "both")])
def test_mirror_the_ground_and_the_plan_is_mirrored(cameras, cover):
    # goals, saves and duels lie evenly to both sides of the long axis
    areas = (CORNER, EAST, WEST)
    plain = plan(small_match(cameras=cameras, areas=areas, cover=cover))
    other = plan(small_match(cameras=cameras, areas=tuple(map(mirrored, areas)), cover=cover))
    assert other.coverage == pytest.approx(plain.coverage, abs=1e-6)
    for a, b in zip(plain.periods, other.periods, strict=True):
        here = sorted((s.spot.x_m, s.spot.y_m) for s in a.assignments)
        there = sorted((s.spot.x_m, -s.spot.y_m) for s in b.assignments)
        assert np.array(there) == pytest.approx(np.array(here), abs=0.3)  # both are climbs to a quarter of a metre


def test_turn_the_ground_and_the_ends_and_the_plan_is_turned():
    areas = (CORNER, EAST)
    plain = plan(small_match(areas=areas, cover="ours", first_attack="+x", moments=("goal", "shot")))
    other = plan(
        small_match(areas=tuple(map(turned, areas)), cover="ours", first_attack="-x", moments=("goal", "shot"))
    )
    assert other.coverage == pytest.approx(plain.coverage, abs=1e-6)
    here, there = plain.periods[0].assignments[0].spot, other.periods[0].assignments[0].spot
    assert (-there.x_m, -there.y_m) == pytest.approx((here.x_m, here.y_m), abs=0.3)


@settings(max_examples=3, deadline=None)
@given(scale=st.floats(0.01, 100.0))
def test_weights_all_scaled_alike_give_the_same_plan(scale):
    match = small_match()
    scaled = replace(
        match.sport, moments=tuple(replace(m, importance=m.importance * scale) for m in match.sport.moments)
    )
    first, second = plan(match), plan(replace(match, sport=scaled))
    assert second.coverage == pytest.approx(first.coverage, abs=1e-9)
    assert [a.spot for a in second.periods[0].assignments] == [a.spot for a in first.periods[0].assignments]


def test_the_same_match_gives_the_same_plan_again():
    match = small_match(cameras=2)
    assert plan(match).periods == plan(match).periods
