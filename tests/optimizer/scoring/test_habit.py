"""Plain habits on actual grounds: where they stand, what is refused and why, and that none beats the proof."""

from dataclasses import replace

import pytest
import shapely
from small_match import EAST, SIDE, small_match

from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.scoring.choice import choice_score, period_tasks
from standmark.optimizer.scoring.habit import habit_spots, plain_habits
from standmark.sports.library import sport_keys

FOOTBALL = default_match("football")


def by_key(match):
    return {habit.key: habit for habit in plain_habits(match, period_tasks(match))}


def test_football_habits_stand_where_people_stand():
    spots = habit_spots(FOOTBALL, FOOTBALL.cameras[0])
    ground = next(s for s in spots if s.key == "halfway" and not s.refused)
    # the touchline place reaches from 3.2 to 5 m outside: 1 m outside the 3 m strip is y = -38
    assert (ground.spot.x_m, ground.spot.y_m, ground.spot.z_m) == (0, -38, 1.6)
    behind = [s for s in spots if s.key == "behind-target"]
    assert {s.spot.y_m for s in behind} == {0}
    assert all(s.refused == "kept clear: directly behind the goal" for s in behind)
    assert all(s.name == "behind the goal, in the middle" for s in behind)
    corners = [s for s in spots if s.key == "corner"]
    assert len(corners) == 4
    for corner in corners:
        assert not corner.refused
        assert 0 < shapely.Point(corner.spot.x_m, corner.spot.y_m).distance(FOOTBALL.sport.area.outline) < 6


def test_benches_refuse_the_other_halfway():
    spots = [s for s in habit_spots(FOOTBALL, FOOTBALL.cameras[0]) if s.key == "halfway" and s.spot.y_m > 0]
    assert [s.refused for s in spots] == ["kept clear: benches and technical areas"]


def test_a_stand_makes_the_high_habit_possible_at_its_highest():
    stand = AllowedArea("stand", "stand", shapely.box(-20, -60, 20, -44), (3.0, 7.0))
    match = small_match(areas=(SIDE, stand))
    high = next(s for s in habit_spots(match, match.cameras[0]) if s.key == "halfway-high" and s.spot.y_m < 0)
    assert (high.spot.x_m, high.spot.y_m, high.spot.z_m, high.refused) == (0, -45, 7.0, "")
    low = small_match(areas=(SIDE,))
    refused = next(s for s in habit_spots(low, low.cameras[0]) if s.key == "halfway-high" and s.spot.y_m < 0)
    assert refused.refused == "no allowed area there lets the lens go 2.5 m up (highest: 1.6 m)"


def test_what_a_habit_covers_is_its_score_and_at_most_the_bound():
    match = small_match()
    bound = plan(match).upper_bound
    for habit in plain_habits(match, period_tasks(match)):
        scored = choice_score(match, habit.choice)
        assert (habit.coverage, habit.seen, habit.faces) == (scored.coverage, scored.seen, scored.faces)
        assert habit.refused or habit.coverage <= bound + 5e-4


def test_a_habit_moves_with_the_ends_when_one_side_matters():
    match = replace(FOOTBALL, cover="ours", other_side_weight=0.0)
    first, second = by_key(match)["corner"].choice
    assert first[0].spot.x_m > 0 > second[0].spot.x_m
    stays = by_key(replace(match, rules=replace(match.rules, moves="never")))["corner"].choice
    assert stays[0] == stays[1]


def test_two_cameras_take_the_best_two_habits():
    match = small_match(cameras=2, areas=(SIDE, EAST))
    habits = by_key(match)
    best = habits["best-set"]
    assert len(best.choice[0]) == 2
    assert not best.refused
    assert best.coverage >= max(h.coverage for h in habits.values() if h.key != "best-set" and not h.refused) - 1e-9
    # by hand: every pair of allowed habit spots with the lenses that suit them best covers no more
    spots = [s.spot for s in habit_spots(match, match.cameras[0]) if not s.refused]
    stations = [replace(best.choice[0][0], spot=spot) for spot in spots]
    other = [replace(best.choice[0][1], spot=spot) for spot in spots]
    apart = [(a, b) for a in stations for b in other if a.spot != b.spot]
    assert best.coverage >= max(choice_score(match, [pair] * 2).coverage for pair in apart) - 1e-6


@pytest.mark.parametrize("key", sport_keys())
def test_every_sport_has_its_habits(key):
    match = default_match(key)
    outline = match.sport.area.outline
    spots = habit_spots(match, match.cameras[0])
    assert {"halfway", "halfway-high", "behind-target"} <= {s.key for s in spots}
    for spot in spots:
        assert outline.distance(shapely.Point(spot.spot.x_m, spot.spot.y_m)) > 0
        assert spot.spot.z_m > 0
