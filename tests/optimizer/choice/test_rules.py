"""Each rule of a match, on small grounds where the outcome can be worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.geometry.errors import NoPlanError
from standmark.optimizer.match.match import AllowedArea, FixedSpot
from standmark.optimizer.planning import plan
from standmark.optimizer.work.line_of_action import line_side


def areas_used(found, period=0):
    return [a.spot.area for a in found.periods[period].assignments]


def test_sides_of_the_line_of_action():
    area = small_match().sport.area  # 105 x 68 m
    xy = np.array([[0, -38], [0, 38], [52.5, -20], [-60, 30], [10, 0.3]])
    assert line_side(area, xy).tolist() == [-1, 1, 0, 0, 0]


def test_a_fixed_camera_stays_and_the_other_fills_in():
    match = small_match(cameras=2, moments=("goal",))
    fixed = replace(match.cameras[0], fixed=FixedSpot(57.0, -10.0, 1.2))
    found = plan(replace(match, cameras=(fixed, match.cameras[1])))
    spot = found.periods[0].assignments[0].spot
    assert (spot.x_m, spot.y_m, spot.z_m) == (57.0, -10.0, 1.2)
    assert areas_used(found) == ["east", "west"]  # both ends are attacked, one is taken


def test_no_more_cameras_in_an_area_than_it_takes():
    free = plan(small_match(cameras=2, areas=(SIDE, EAST)))
    one = plan(small_match(cameras=2, areas=(replace(SIDE, max_cameras=0), replace(EAST, max_cameras=2))))
    capped = plan(small_match(cameras=2, areas=(SIDE, replace(EAST, max_cameras=1), replace(WEST, max_cameras=0))))
    assert set(areas_used(one)) == {"east"}
    assert areas_used(capped).count("east") <= 1
    assert free.coverage >= max(one.coverage, capped.coverage) - 1e-9


def test_cameras_keep_their_distance():
    found = plan(small_match(cameras=2, areas=(SIDE,), rules={"separation_m": 50.0}))
    first, second = (a.spot for a in found.periods[0].assignments)
    assert abs(first.x_m - second.x_m) >= 50.0


def test_an_area_closed_in_a_period_is_not_used_then():
    east = replace(EAST, periods=("first-half",))
    found = plan(small_match(areas=(east, SIDE), moments=("goal",), cover="ours", first_attack="+x"))
    assert areas_used(found, 0) == ["east"]
    assert areas_used(found, 1) == ["south"]


def test_cameras_that_never_move_need_an_area_open_all_match():
    east = replace(EAST, periods=("first-half",))
    found = plan(small_match(areas=(east, SIDE), moments=("goal", "save"), cover="ours", rules={"moves": "never"}))
    assert areas_used(found, 0) == areas_used(found, 1) == ["south"]
    assert found.periods[0].assignments[0].spot == found.periods[1].assignments[0].spot


def test_same_side_forbid_keeps_touchline_cameras_together():
    free = plan(small_match(cameras=2, areas=(SIDE, FAR_SIDE), rules={"same_side": "off"}))
    kept = plan(small_match(cameras=2, areas=(SIDE, FAR_SIDE), rules={"same_side": "forbid"}))
    assert len(set(areas_used(kept))) == 1
    assert free.coverage >= kept.coverage - 1e-9


def test_cameras_behind_the_goals_may_stand_on_either_side():
    beyond = AllowedArea("beyond", "beyond the goal", shapely.LineString([(57, 6), (57, 30)]), (1.2, 1.2))
    found = plan(small_match(cameras=2, areas=(SIDE, beyond), moments=("goal", "save", "duel"),
                             rules={"same_side": "forbid"}))  # fmt: skip
    assert set(areas_used(found)) == {"south", "beyond"}


def test_a_floor_is_reached_when_it_can_be():
    free = plan(small_match(areas=(SIDE, EAST)))
    wanted = free.periods[0].by_moment["duel"] + 0.1
    found = plan(small_match(areas=(SIDE, EAST), rules={"must_cover": {"goal": 0.2}}))
    assert found.periods[0].by_moment["goal"] >= 0.2 - 1e-6
    with pytest.raises(
        NoPlanError, match=r"must_cover\.duel = .* cannot be kept; nearest plan: rules\.must_cover\.duel = 0\.\d+ "
    ):
        plan(small_match(areas=(EAST,), rules={"must_cover": {"duel": max(wanted, 0.9)}}))


def test_a_clash_names_the_rules_and_the_nearest_plan():
    short = AllowedArea("short", "short stand", shapely.LineString([(-4, -38), (4, -38)]), (1.6, 1.6))
    with pytest.raises(
        NoPlanError, match=r"rules\.separation_m = 20 cannot be kept; nearest plan: rules\.separation_m = 8 "
    ):
        plan(small_match(cameras=2, areas=(short,), rules={"separation_m": 20.0}))
    east = replace(EAST, max_cameras=1)
    with pytest.raises(NoPlanError) as caught:
        plan(small_match(cameras=2, areas=(short, east), rules={"separation_m": 200.0}))
    assert "separation_m" in str(caught.value)
    assert "max_cameras" not in str(caught.value)  # it plays no part


def test_two_rules_that_clash_only_together_are_both_named():
    short = AllowedArea("short", "short stand", shapely.LineString([(-4, -38), (4, -38)]), (1.6, 1.6))
    far = AllowedArea("far", "far stand", shapely.LineString([(-4, 38), (4, 38)]), (1.6, 1.6))
    with pytest.raises(NoPlanError) as caught:
        plan(small_match(cameras=2, areas=(short, far), rules={"separation_m": 20.0, "same_side": "forbid"}))
    text = str(caught.value)
    assert 'rules.separation_m = 20 and rules.same_side = "forbid" clash' in text
    assert 'rules.same_side = "warn"' in text
    assert "rules.separation_m = 8" in text
