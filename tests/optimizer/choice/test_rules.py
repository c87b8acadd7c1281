"""Each rule of a match, on small grounds where the outcome can be worked out by hand."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapely
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.geometry.errors import NoPlanError
from standmark.optimizer.match.match import AllowedArea, FixedSpot
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import plan_stations, station_factors


def areas_used(found, period=0):
    return [a.spot.area for a in found.periods[period].assignments]


def test_a_fixed_camera_stays_and_the_other_fills_in():
    match = small_match(cameras=2, areas=(EAST, WEST), moments=("goal",))
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
    south = replace(SIDE, periods=("first-half",))
    found = plan(small_match(areas=(EAST, south), moments=("goal",), cover="ours", first_attack="+x"))
    assert areas_used(found, 0) == ["south"]
    assert areas_used(found, 1) == ["east"]


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


def crossing_moments(found):
    """Moments worth over a hundredth that two cameras take from opposite sides, counted anew from the positions."""
    match, marked = found.match, set()
    for period, planned in zip(match.sport.periods, found.periods, strict=True):
        targets = period_targets(match, period)
        around = period_surroundings(match, period)
        quality = [station_factors(match, s, targets, around=around).quality for s in plan_stations(match, planned)]
        spots = [a.spot for a in planned.assignments]
        for index, key in enumerate(targets.moment_keys):
            for attack in (1, 0, -1):
                own = np.flatnonzero((targets.moment == index) & (targets.attack_x == attack))
                worth = targets.weight[own]
                if worth.sum() <= 0.01:
                    continue
                for i, j in combinations(range(len(spots)), 2):
                    opposite = 0.0
                    for t, share in zip(own, worth / worth.sum(), strict=True):
                        one_way = targets.facing_pull[t] >= 0.5
                        line = np.degrees(targets.facing_rad[t]) if one_way else 0.0
                        turns = [
                            (np.degrees(np.arctan2(s.y_m - targets.xyz_m[t, 1], s.x_m - targets.xyz_m[t, 0])) - line)
                            % 360
                            for s in (spots[i], spots[j])
                        ]
                        is_left, is_right = [15 <= a <= 165 for a in turns], [195 <= a <= 345 for a in turns]
                        opposite += share * ((is_left[0] and is_right[1]) or (is_right[0] and is_left[1]))
                    takes = min(q[own] @ worth / worth.sum() for q in (quality[i], quality[j]))
                    if opposite > 0.5 and takes >= 0.05:
                        has_ends = period.attack != "same"
                        marked.add((period.key, key, {1: "+x", -1: "-x"}.get(attack) if has_ends else None))
    return marked


AROUND = small_match(cameras=3, areas=(SIDE, FAR_SIDE, EAST, WEST), moments=("goal", "duel", "corner-delivery"))


@pytest.mark.parametrize("match", [AROUND, default_match("tennis", cameras=2), default_match("baseball", cameras=2)])
def test_no_moment_is_taken_from_opposite_sides_where_that_is_forbidden(match):
    free = plan(match)
    kept = plan(replace(match, rules=replace(match.rules, same_side="forbid")))
    assert crossing_moments(kept) == set()
    assert kept.crossings == ()
    assert {(c.period, c.moment, c.attack) for c in free.crossings} == crossing_moments(free)
    assert kept.proven
    assert kept.coverage <= free.upper_bound + 1e-6


def test_two_cameras_behind_the_goals_may_face_each_other_only_in_what_neither_shares():
    rules = {"same_side": "forbid", "second_angle_give": 0.0}
    match = small_match(cameras=2, areas=(EAST, WEST), moments=("goal", "save", "duel"), rules=rules)
    kept = plan(match)
    assert crossing_moments(kept) == set()
    pairs = [((57, a), (57 * side, b)) for a in (-30, -18, -6) for side in (1, -1) for b in (-30, -18, -6) if a != b]
    best = 0.0
    for spots in pairs:
        fixed = tuple(
            replace(c, fixed=FixedSpot(float(x), float(y), 1.2)) for c, (x, y) in zip(match.cameras, spots, strict=True)
        )
        there = plan(replace(match, cameras=fixed, rules=replace(match.rules, same_side="warn")))
        if not crossing_moments(there):
            best = max(best, there.coverage)
    assert best > 0
    assert kept.coverage >= best - 1e-6


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
