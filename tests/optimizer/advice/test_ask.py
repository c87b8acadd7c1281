"""What raised places would add, and what height is worth."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from small_match import SIDE, small_match

from standmark.optimizer.advice.ask import asks
from standmark.optimizer.advice.height import HEIGHTS_M, height_curve
from standmark.optimizer.choice.candidates import Candidates
from standmark.optimizer.choice.solve import solve_stages
from standmark.optimizer.choice.stage import stage_stations
from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.match.presets import deliverable_for
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import total_coverage
from standmark.optimizer.work.assignment import Station, period_plan


def few_moments(match, *keys):
    sport = match.sport
    return replace(match, sport=replace(sport, moments=tuple(m for m in sport.moments if m.key in keys)))


def _up_there(match, stage, ask):
    (station,) = stage_stations(match, stage)
    return (Station(station.camera, replace(station.outfit, lens=ask.lens), ask.spot),)


@pytest.fixture(scope="module")
def hall():
    match = few_moments(default_match("volleyball"), "attack", "dig")
    return match, solve_stages(match)


def test_a_place_asked_for_is_worth_what_it_would_score(hall):
    match, stages = hall
    best = asks(match, stages)[0]
    periods = [
        period_plan(match, period, _up_there(match, stage, best), targets=targets, around=around)
        for stage in stages
        for period, targets, around in stage.task.by_period
    ]
    assert total_coverage(periods) == pytest.approx(best.coverage, abs=1e-5)
    assert best.gain > 0.03


def test_no_plan_stands_on_a_place_that_was_not_answered_for(hall):
    match, stages = hall
    assert match.venue.asked
    keys: Candidates = stages[0].grid.candidates
    assert not set(keys.area_keys) & {a.key for a in match.venue.asked}


def test_two_cameras_gain_from_one_of_them_moving_up():
    match = few_moments(default_match("volleyball", cameras=2), "attack", "dig")
    stages = solve_stages(match)
    share = np.array([s.task.minutes for s in stages]) / sum(s.task.minutes for s in stages)
    now = float(share @ [s.value for s in stages])
    for ask in asks(match, stages):
        assert ask.coverage == pytest.approx(now + ask.gain)
        assert ask.gain >= 0


def test_analysis_gains_with_every_metre_up():
    match = few_moments(default_match("football"), "wing-attack", "goal")
    match = replace(match, deliverable=deliverable_for("analysis", match.sport.area))
    stages = solve_stages(match)
    curve = height_curve(match, stages)
    for side in ("+y", "-y", "+x", "-x"):
        points = [p for p in curve if p.side == side]
        assert [p.height_m for p in points] == list(HEIGHTS_M)
        high = [p.coverage for p in points if 2 < p.height_m <= 15]
        assert high == sorted(high)
    ground, stand = (max(p.coverage for p in curve if low <= p.height_m <= top) for low, top in ((0, 2), (15, 20)))
    assert stand > 2 * ground
    assert asks(match, stages)[0].gain > 0.2


def test_no_place_across_the_line_of_action_gains_where_that_is_forbidden():
    stands = [
        AllowedArea(side, f"{side} gantry", shapely.LineString([(-4, y), (4, y)]), (8.0, 8.0), kind="gantry")
        for side, y in (("near", -44.0), ("far", 44.0))
    ]
    asked = {}
    for rule in ("off", "forbid"):
        match = small_match(cameras=2, areas=(SIDE,), rules={"same_side": rule})
        match = replace(match, venue=replace(match.venue, asked=tuple(stands)))
        asked[rule] = {ask.area: ask.gain for ask in asks(match, solve_stages(match))}
    assert asked["off"]["far"] > 0.005
    assert asked["forbid"]["far"] == 0.0
    assert asked["forbid"]["near"] == pytest.approx(asked["off"]["near"], abs=0.005)
