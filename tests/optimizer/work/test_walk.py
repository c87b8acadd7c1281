"""Walks of a crew: round the playing area and what stands there, never across."""

from dataclasses import replace

import pytest
import shapely
from small_match import small_match

from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.match import ForbiddenArea
from standmark.optimizer.work.walk import WALK_M_S, walk_between

BEHIND_GOALS = (57.0, 0.0), (-57.0, 0.0)


def test_a_walk_from_end_to_end_goes_round_the_playing_area():
    walk = walk_between(small_match(), *BEHIND_GOALS)  # 105 x 68 m; the net stands 2 m deep behind the line
    assert walk.length_m > 114.0
    assert walk.length_m == pytest.approx(105 + 2 * (4.5**2 + 34**2) ** 0.5, abs=0.01)
    assert not shapely.LineString(walk.points_m).crosses(small_match().sport.area.outline)
    assert walk.minutes == pytest.approx(walk.length_m / WALK_M_S / 60)
    assert walk.paces == round(walk.length_m / 0.75)
    assert walk.crosses == ""


def test_keep_clear_ground_makes_the_way_longer_until_it_is_released():
    match = small_match()
    kept = replace(match, venue=replace(match.venue, respect_keep_clear=True))
    assert walk_between(kept, *BEHIND_GOALS).length_m > walk_between(match, *BEHIND_GOALS).length_m + 5


def test_what_stands_in_the_way_and_forbidden_ground_are_walked_round():
    match = small_match()
    hut = Occluder("hut", ((-5, -50), (5, -50), (5, -34), (-5, -34)), 0.0, 3.0, is_closed=True)
    roof = replace(hut, base_m=2.5)
    pond = ForbiddenArea("pond", shapely.box(-5, -60, 5, -34))
    here, there = (-20.0, -38.0), (20.0, -38.0)

    def length(**venue):
        return walk_between(replace(match, venue=replace(match.venue, **venue)), here, there).length_m

    assert length() == pytest.approx(40.0)
    assert length(obstacles=(roof,)) == pytest.approx(40.0)
    assert length(obstacles=(hut,)) == pytest.approx(2 * (15**2 + 12**2) ** 0.5 + 10)
    assert length(forbidden=(pond,)) == pytest.approx(2 * (15**2 + 22**2) ** 0.5 + 10)


def test_a_fenced_in_place_is_left_across_the_fence_and_that_is_said():
    match = small_match()
    fence = Occluder("fence", ((-5, -50), (5, -50), (5, -36), (-5, -36), (-5, -50)), 0.0, 1.0)
    walk = walk_between(replace(match, venue=replace(match.venue, obstacles=(fence,))), (0.0, -40.0), (20.0, -40.0))
    assert (walk.length_m, walk.crosses) == (pytest.approx(20.0), "what stands in the way")
