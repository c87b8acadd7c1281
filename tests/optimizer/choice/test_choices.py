"""Choices beyond coverage: second angles near the best, moves that pay, cameras across the line."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapely
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.optimizer.choice.angle_score import SECOND_WORTH
from standmark.optimizer.choice.paid_moves import PRICED_M, move_price, with_paid_moves
from standmark.optimizer.choice.second_angles import with_second_angles
from standmark.optimizer.choice.solve import solve_stages
from standmark.optimizer.match.match import AllowedArea, FixedSpot
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import Station, period_plan, spot_at
from standmark.optimizer.work.walk import walk_between

ATTACK = {1: "+x", -1: "-x", 0: None}


def short(key, first, last):
    return AllowedArea(key, key, shapely.LineString([first, last]), (1.5, 1.5))


FEW = (short("s", (-8, -38), (0, -38)), short("e", (57, -14), (57, -8)), short("n", (0, 38), (8, 38)))


def value_and_second(match, stage, rows):
    """Coverage and second-angle coverage of some rows in the first period, from the positions alone."""
    places, kit = stage.grid.candidates, stage.grid.rows
    stations = [
        Station(camera, kit.outfit(row), spot_at("", *places.xyz_m[kit.position(row)]))
        for camera, row in zip(match.cameras, rows, strict=True)
    ]
    period = stage.task.periods[0]
    found = period_plan(match, period, stations, targets=stage.task.targets[0], around=stage.task.around[0])
    return found.coverage, found.second_angle


def test_the_choice_is_the_best_of_all_plans_near_the_best():
    match = small_match(cameras=2, areas=FEW, moments=("goal", "duel"), rules={"same_side": "off"})
    zoom = tuple(replace(c, lenses=c.lenses[1:]) for c in match.cameras)
    match = replace(match, cameras=zoom)
    stage = solve_stages(match)[0]
    chosen = with_second_angles(match, [stage])[0]
    worths = []
    for pair in combinations(stage.problem.rows_by_camera[0].tolist(), 2):
        if np.hypot(*(stage.problem.xy_m[pair[0]] - stage.problem.xy_m[pair[1]])) >= 2.0:
            value, second = value_and_second(match, stage, pair)
            if value >= stage.result.value - 0.005 - 1e-6:
                worths.append(value + SECOND_WORTH * second)
    value, second = value_and_second(match, stage, chosen.chosen)
    assert len(worths) > 1
    assert value + SECOND_WORTH * second == pytest.approx(max(worths), abs=1e-5)
    assert value >= stage.result.value - 0.005 - 1e-6


def test_what_second_angles_cost_is_told_and_can_be_refused():
    match = small_match(cameras=2, areas=FEW, moments=("goal", "duel"))
    kept, free = plan(replace(match, rules=replace(match.rules, second_angle_give=0.0))), plan(match)
    assert kept.given_up.second_angle == 0.0
    assert kept.coverage == pytest.approx(kept.upper_bound, abs=1e-5)
    assert free.second_angle >= kept.second_angle - 1e-9
    assert free.upper_bound - free.coverage == pytest.approx(free.given_up.second_angle, abs=1e-5)
    assert free.given_up.second_angle <= 0.005


BACK = replace(
    SIDE, shape=shapely.LineString([(-40, -54), (40, -54)])
)  # so far back that who attacks an end draws there


def ends_match(cost, cameras=1, areas=(EAST, WEST, BACK)):
    return small_match(
        cameras=cameras, areas=areas, moments=("goal", "shot"), cover="ours", rules={"move_cost": cost}
    )  # fmt: skip


def coverage_staying(match, x_m, y_m, z_m):
    """Coverage of the whole match from one place, in each half with the better lens."""
    camera, halves = match.cameras[0], []
    for period in match.sport.periods:
        targets, around = period_targets(match, period), period_surroundings(match, period)
        halves.append(
            max(
                period_plan(
                    match, period, [Station(camera, o, spot_at("", x_m, y_m, z_m))], targets=targets, around=around
                ).coverage
                for o in camera_outfits(match, camera)
            )
        )
    return sum(halves) / len(halves)


def test_a_move_is_made_when_it_pays_and_not_when_it_does_not():
    moving, staying = plan(ends_match(0.0)), plan(ends_match(0.9))
    first, second = (p.assignments[0].spot for p in moving.periods)
    assert (first.area, second.area) == ("east", "west")
    gain = moving.coverage - staying.coverage
    assert gain > 0.01
    spots = [p.assignments[0].spot for p in staying.periods]
    assert spots[0] == spots[1]
    way = walk_between(moving.match, (first.x_m, first.y_m), (second.x_m, second.y_m)).length_m
    assert way > 110.0  # round the playing area
    price = gain / max(way / PRICED_M, 1.0)
    just_pays, just_not = plan(ends_match(price * 0.95)), plan(ends_match(price * 1.05))
    assert just_pays.periods[1].assignments[0].spot.area == "west"
    spots = [p.assignments[0].spot for p in just_not.periods]  # a shorter walk, if any
    shorter = walk_between(just_not.match, *((s.x_m, s.y_m) for s in spots)).length_m
    assert shorter < way
    assert just_not.coverage - price * 1.05 * max(shorter / PRICED_M, float(shorter > 0)) > staying.coverage - 1e-4
    assert just_not.given_up.moves == pytest.approx(moving.coverage - just_not.coverage, abs=2e-3)
    # of all the places on the grid none is better to stay at
    tried = [(x, -54.0, 1.6) for x in range(-40, 41, 4)] + [
        (sign * 57.0, y, 1.2) for sign in (-1, 1) for y in (-30, -18, -6)
    ]
    best = max(coverage_staying(staying.match, *spot) for spot in tried)
    assert staying.coverage >= best - 1e-6


@pytest.mark.parametrize("cost", [0.003, 0.01, 0.02])
def test_no_pair_of_places_is_worth_more_at_the_price_of_its_own_walk(cost):
    match = ends_match(cost)
    paid = with_paid_moves(match, solve_stages(match))
    n, xyz_m = paid[0].grid.rows.n_positions, paid[0].grid.candidates.xyz_m
    halves = []
    for stage in paid:
        worth = np.full(len(stage.problem.quality), -np.inf)
        own = stage.problem.rows_by_camera[0]
        worth[own] = stage.problem.quality[own] @ stage.problem.weight / 2
        halves.append(worth.reshape(-1, n).max(axis=0))
    now, then = (stage.positions[0] for stage in paid)
    planned = sum(stage.value for stage in paid) / 2 - move_price(match, xyz_m[now], xyz_m[then])
    assert paid[0].caveat == ""  # one camera's plan is proven at the true prices
    for a, b in zip(*np.nonzero(halves[0][:, None] + halves[1] - cost * (1 - np.eye(n)) > planned), strict=True):
        found = halves[0][a] + halves[1][b] - move_price(match, xyz_m[a], xyz_m[b])
        assert found <= planned + 1e-4


def test_one_camera_may_stay_while_the_other_walks():
    # one camera fixed at halfway, the other free: only the free one follows the attack, if that pays
    match = ends_match(0.01, cameras=2)
    halfway = replace(match.cameras[0], fixed=FixedSpot(0.0, -38.0, 1.6))
    found = plan(replace(match, cameras=(halfway, match.cameras[1])), advice="quick")
    assert [p.assignments[1].spot.area for p in found.periods] == ["east", "west"]
    moves = {m.camera: m.walk.length_m for m in found.advice.intervals[0].moves}
    assert moves["A"] == 0.0
    assert moves["B"] > 100.0
    assert found.advice.intervals[0].gain > 2 * 0.01  # of the second half, so over 0.01 of the match


def test_cameras_across_the_line_are_told_with_the_price_of_one_side():
    areas = (SIDE, FAR_SIDE)
    found = plan(small_match(cameras=2, areas=areas, rules={"second_angle_give": 0.0}), advice="quick")
    assert found.crossings
    for planned in found.periods:  # the duty table and the list are of one mind
        marked = {(d.moment, d.attack) for d in planned.duties if d.crosses_line and d.weight > 0.01}
        assert marked == {(c.moment, c.attack) for c in found.crossings if c.period == planned.period.key}
        drawn = {(line.moment, ATTACK[line.attack]) for line in planned.lines if line.crossed_by}
        assert drawn == marked
    one_side = plan(small_match(cameras=2, areas=areas, rules={"same_side": "forbid", "second_angle_give": 0.0}))
    assert one_side.crossings == ()
    assert all(p.lines and not any(line.crossed_by for line in p.lines) for p in one_side.periods)
    assert found.advice.one_side_loss == pytest.approx(found.coverage - one_side.coverage, abs=3e-3)
    assert plan(small_match(cameras=2, areas=areas, rules={"same_side": "off"})).crossings == ()


def test_one_side_is_kept_when_it_costs_little_enough():
    areas, rules = (SIDE, FAR_SIDE), {"second_angle_give": 0.0, "same_side": "warn"}
    across = plan(small_match(cameras=2, areas=areas, moments=("duel",), rules=rules), advice="quick")
    assert across.crossings
    dear = rules | {"second_angle_give": 0.9 * across.advice.one_side_loss}
    cheap = rules | {"second_angle_give": 1.1 * across.advice.one_side_loss}
    assert plan(small_match(cameras=2, areas=areas, moments=("duel",), rules=dear)).crossings
    assert not plan(small_match(cameras=2, areas=areas, moments=("duel",), rules=cheap)).crossings


def test_a_short_last_set_that_asks_the_same_moves_nobody():
    """Sets of 25 and 15 minutes are one question, and second angles are chosen for all of them alike."""
    found = plan(default_match("volleyball", cameras=2))
    assert {p.period.minutes for p in found.periods} == {15, 25}
    assert len({tuple(a.spot.id for a in p.assignments) for p in found.periods}) == 1


def test_halves_between_which_nobody_moves_get_one_choice():
    """Ours attack another end in each half, so the halves ask for different things; the choice is made over both."""
    match = small_match(
        cameras=2, areas=FEW, moments=("goal", "duel"), cover="ours", rules={"move_cost": 0.2, "same_side": "off"}
    )
    match = replace(match, cameras=tuple(replace(c, lenses=c.lenses[1:]) for c in match.cameras))
    paid = with_paid_moves(match, solve_stages(match))
    assert paid[0].problem is not paid[1].problem
    assert paid[0].positions == paid[1].positions
    before = sum(stage.value for stage in paid) / 2
    chosen = with_second_angles(match, paid)
    assert chosen[0].chosen == chosen[1].chosen
    worths = []
    for pair in combinations(paid[0].problem.rows_by_camera[0].tolist(), 2):
        if np.hypot(*(paid[0].problem.xy_m[pair[0]] - paid[0].problem.xy_m[pair[1]])) >= 2.0:
            found = [value_and_second(match, stage, pair) for stage in paid]
            value, second = (sum(part) / 2 for part in zip(*found, strict=True))
            if value >= before - 0.005 - 1e-6:
                worths.append(value + SECOND_WORTH * second)
    found = [value_and_second(match, stage, stage.chosen) for stage in chosen]
    value, second = (sum(part) / 2 for part in zip(*found, strict=True))
    assert len(worths) > 1
    assert value + SECOND_WORTH * second == pytest.approx(max(worths), abs=1e-5)
    assert value >= before - 0.005 - 1e-6
