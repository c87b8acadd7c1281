"""Chosen positions: the same numbers as a plan, weighed by hand, and the rules they break."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from small_match import EAST, SIDE, small_match, station_at

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.planning import plan
from standmark.optimizer.scoring.breach import breaches
from standmark.optimizer.scoring.choice import (
    best_lenses,
    choice_score,
    choice_stages,
    period_tasks,
    plan_choice,
    station_quality,
)


@pytest.mark.parametrize("cameras", [1, 2])
def test_a_plan_scores_its_own_coverage(cameras):
    match = small_match(cameras=cameras, cover="ours")
    planned = plan(match)
    scored = choice_score(match, plan_choice(planned))
    assert scored.coverage == pytest.approx(planned.coverage, abs=1e-12)
    assert scored.periods == planned.periods
    assert breaches(match, plan_choice(planned), scored.periods) == ()


def test_no_choice_of_allowed_places_beats_the_bound():
    match = small_match(cameras=2)
    planned = plan(match)
    rng = np.random.default_rng(5)
    for _ in range(20):
        choice = [
            (station_at(match, rng.uniform(-40, 40), -38), station_at(match, 57, rng.uniform(-30, -6), 1.2, camera=1))
        ] * 2
        # candidates lie 0.25 m apart round the best: what lies between them may add a few hundredths of a point
        assert choice_score(match, choice).coverage <= planned.upper_bound + 5e-4


def test_coverage_is_the_weighted_best_of_the_cameras_by_hand():
    match = small_match(cameras=2)
    first, second = station_at(match, 0, -38), station_at(match, 57, -12, 1.2, camera=1)
    tasks = period_tasks(match)
    by_hand = []
    for task in tasks:
        quality = [station_quality(match, s, task) for s in (first, second)]
        pairs = zip(task.targets.weight, *quality, strict=True)
        by_hand.append(sum(float(w * max(a, b)) for w, a, b in pairs))
    minutes = [p.minutes for p in match.sport.periods]
    expected = (by_hand[0] * minutes[0] + by_hand[1] * minutes[1]) / sum(minutes)
    assert choice_score(match, [(first, second)] * 2).coverage == pytest.approx(expected, abs=1e-12)


def test_a_camera_more_never_covers_less():
    alone, both = small_match(), small_match(cameras=2)
    rng = np.random.default_rng(2)
    for _ in range(10):
        first = station_at(both, rng.uniform(-40, 40), -38)
        second = station_at(both, rng.uniform(-80, 80), rng.uniform(40, 60), rng.uniform(1, 9), camera=1)
        assert choice_score(both, [(first, second)] * 2).coverage >= choice_score(alone, [(first,)] * 2).coverage


def test_the_best_lens_is_chosen_for_all_cameras_together():
    match = small_match(cameras=2)
    tasks = period_tasks(match)
    spots = [(0, -38, 1.6), (57, -12, 1.2)]
    options = [
        [station_at(match, *spot, camera=i, lens=lens) for lens in ("24-70", "70-200")] for i, spot in enumerate(spots)
    ]  # fmt: skip
    chosen = best_lenses(match, tasks[0], options)
    worth = {
        (a.outfit.lens.name, b.outfit.lens.name): choice_score(match, [(a, b)] * 2).periods[0].coverage
        for a in options[0]
        for b in options[1]
    }
    assert worth[tuple(s.outfit.lens.name for s in chosen)] == max(worth.values())


def test_stages_follow_the_breaks_and_the_choice():
    match = small_match()
    here, there = station_at(match, 0, -38), station_at(match, 10, -38)
    assert choice_stages(match, [(here,), (here,)]) == [[0], [1]]
    never = small_match(rules={"moves": "never"})
    assert choice_stages(never, [(here,), (here,)]) == [[0, 1]]
    assert choice_stages(never, [(here,), (there,)]) == [[0], [1]]


def texts(match, choice):
    return [breach.text for breach in breaches(match, choice, choice_score(match, choice).periods)]


def test_rules_that_are_broken_are_named():
    match = small_match(cameras=2, rules={"separation_m": 5.0, "moves": "never", "must_cover": {"goal": 0.99}})
    near = (station_at(match, 0, -38), station_at(match, 3, -38, camera=1))
    moved = (near[0], station_at(match, 20, -38, camera=1))
    found = texts(match, [near, moved])
    assert any("A and B stand 3.0 m apart, the match asks for 5 m" in text for text in found)
    assert any("goal is covered" in text and "asks for 99 %" in text for text in found)
    assert "moves where the match lets nobody move" in found


def test_places_that_are_not_allowed_are_named():
    match = small_match()
    assert texts(match, [(station_at(match, 10, -45),)] * 2)[0] == (
        "stands where nobody may (nearest place allowed: south touchline, 7.0 m away)"
    )
    assert texts(match, [(station_at(match, 10, -38, 4.0),)] * 2)[0] == "lens 4 m up, allowed there: 1.6 to 1.6 m"
    assert texts(match, [(station_at(match, 0, 0),)] * 2)[0] == "stands on ground that is kept clear (playing area)"


def test_sides_caps_supports_and_closed_areas_are_named():
    north = AllowedArea("north", "north", shapely.box(-40, 37, 40, 39), (1.0, 2.0), periods=("first-half",))
    south = replace(SIDE, max_cameras=1)
    match = small_match(cameras=2, areas=(south, EAST, north), rules={"same_side": "forbid"})
    match = replace(match, cameras=tuple(replace(c, lens_height_m=(1.0, 1.5)) for c in match.cameras))
    across = texts(match, [(station_at(match, 0, -38), station_at(match, 5, 38, camera=1))] * 2)
    assert any("from opposite sides of the line of action, the match forbids it" in text for text in across)
    assert "stands in an area that is closed in this period" in across
    assert "lens 1.6 m up, its support reaches 1 to 1.5 m" in across
    crowded = texts(match, [(station_at(match, 0, -38), station_at(match, 9, -38, camera=1))] * 2)
    assert "2 cameras in south touchline, allowed: 1" in crowded


def test_a_choice_may_use_any_lens_of_the_kit():
    match = small_match()
    long = Lens("300", (300.0, 300.0), (4.0, 4.0))
    match = replace(match, cameras=tuple(replace(c, lenses=(*c.lenses, long)) for c in match.cameras))
    near, far = (choice_score(match, [(station_at(match, 0, -38, lens=name),)] * 2) for name in ("24-70", "300"))
    assert near.periods[0].assignments[0].lens.name == "24-70"
    assert near.coverage != far.coverage


@settings(max_examples=12, deadline=None)
@given(st.floats(-60, 60), st.floats(36, 60), st.floats(0.5, 12))
def test_turning_a_place_by_half_a_circle_changes_nothing_when_both_sides_count(x_m, y_m, z_m):
    match = small_match()
    here, there = (choice_score(match, [(station_at(match, s * x_m, s * y_m, z_m),)] * 2).coverage for s in (1, -1))
    assert here == pytest.approx(there, abs=1e-9)


@settings(max_examples=12, deadline=None)
@given(st.floats(-60, 60), st.floats(36, 60), st.floats(0.5, 12))
def test_our_side_swaps_ends_with_the_halves(x_m, y_m, z_m):
    match = small_match(cover="ours", other_side_weight=0.1)
    place, turned = (station_at(match, s * x_m, s * y_m, z_m) for s in (1, -1))
    follows = choice_score(match, [(place,), (turned,)])
    assert follows.periods[0].coverage == pytest.approx(follows.periods[1].coverage, abs=1e-9)
