"""The single change that gains most: its gain is real, and there is none at the best plan."""

import numpy as np
import pytest
from small_match import SIDE, small_match, station_at

from standmark.optimizer.planning import plan
from standmark.optimizer.scoring.change import best_changes
from standmark.optimizer.scoring.choice import choice_score, period_tasks, plan_choice


def changed(choice, change, match):
    return [
        tuple(change.station if period in change.periods and s == change.before else s for s in stations)
        for period, stations in zip(match.sport.periods, choice, strict=True)
    ]


def test_gains_are_what_scoring_the_changed_choice_says():
    match = small_match(cameras=2, cover="ours")
    choice = [(station_at(match, -35, -38, lens="24-70"), station_at(match, 57, -28, 1.2, camera=1))] * 2
    found = best_changes(match, choice, period_tasks(match))
    before = choice_score(match, choice).coverage
    assert {change.kind for change in found} == {"place", "lens"}  # the areas leave no choice of height
    assert [change.gain for change in found] == sorted((change.gain for change in found), reverse=True)
    for change in found:
        after = choice_score(match, changed(choice, change, match)).coverage
        assert after - before == pytest.approx(change.gain, abs=1e-9)


def test_the_best_place_is_the_best_of_a_fine_walk():
    match = small_match(areas=(SIDE,))
    choice = [(station_at(match, -39, -38),)] * 2
    place = next(c for c in best_changes(match, choice, period_tasks(match)) if c.kind == "place")
    walk = [choice_score(match, [(station_at(match, x, -38),)] * 2).coverage for x in np.arange(-40, 40.5, 4)]
    assert choice_score(match, changed(choice, place, match)).coverage >= max(walk) - 1e-6


def test_the_best_plan_has_nothing_to_change():
    match = small_match()
    choice = plan_choice(plan(match))
    assert best_changes(match, choice, period_tasks(match)) == ()


def test_a_change_that_is_the_same_in_both_halves_is_told_once():
    match = small_match()
    found = best_changes(match, [(station_at(match, 0, -38, lens="24-70"),)] * 2, period_tasks(match))
    assert [len(change.periods) for change in found if change.kind == "lens"] == [2]


def test_a_height_is_tried_where_the_area_has_a_range():
    tall = SIDE.__class__("stand", "stand", SIDE.shape, (1.0, 6.0))
    match = small_match(areas=(tall,))
    choice = [(station_at(match, -30, -38, 1.0),)] * 2
    found = {change.kind: change for change in best_changes(match, choice, period_tasks(match))}
    assert found["height"].station.spot.z_m > 1.0
    assert (found["height"].station.spot.x_m, found["height"].station.spot.y_m) == (-30, -38)
    assert found["place"].station.spot.z_m == 1.0


def test_changes_keep_away_from_other_cameras_and_their_side():
    match = small_match(cameras=2, areas=(SIDE,), rules={"separation_m": 30.0})
    choice = [(station_at(match, 0, -38), station_at(match, 35, -38, camera=1))] * 2
    for change in best_changes(match, choice, period_tasks(match)):
        after = changed(choice, change, match)[0]
        assert abs(after[0].spot.x_m - after[1].spot.x_m) >= 30 - 1e-9


def test_a_change_does_not_break_a_least_coverage():
    free = small_match(
        moments=("goal", "warm-up"), cover="ours"
    )  # who goes to the end that is attacked leaves the other
    choice = [(station_at(free, -30, -38),)] * 2
    tasks = period_tasks(free)
    place = next(c for c in best_changes(free, choice, tasks) if c.kind == "place")
    before = choice_score(free, choice).periods[0].by_moment
    after = choice_score(free, changed(choice, place, free)).periods[0].by_moment
    lost = min(before, key=lambda key: after[key] - before[key])
    assert after[lost] < before[lost]
    bound = small_match(moments=("goal", "warm-up"), cover="ours", rules={"must_cover": {lost: before[lost] - 1e-3}})
    assert not any(c.station == place.station for c in best_changes(bound, choice, tasks))
