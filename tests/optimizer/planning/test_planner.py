"""A planner plans again what changed, and the plan is the one from nothing."""

from dataclasses import fields, replace

import numpy as np
import pytest
import replan
from small_match import EAST, FAR_SIDE, SIDE, small_match

from standmark.geometry.errors import InputError, StandmarkError
from standmark.optimizer import Planner, Stopped, plan, score
from standmark.optimizer.advice.advice import Advice
from standmark.optimizer.choice import memory
from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.grid import match_tasks, spot_quality
from standmark.optimizer.choice.memory import Numbers, Shelf
from standmark.optimizer.planning import plan_match
from standmark.optimizer.value.outfit import camera_outfits

SPOT = (-20.0, -39.0, 1.6)


def outcome(work):
    try:
        return work()
    except StandmarkError as error:
        return str(error)


@pytest.mark.parametrize("seed", range(2))
def test_any_changes_in_a_row_end_in_the_plan_from_nothing(seed):
    match, rng = small_match(moments=("goal", "duel"), areas=(SIDE, EAST)), np.random.default_rng(seed)
    planner = Planner(match)
    for name in [*rng.permutation(list(replan.CHANGES)), "weight"]:
        match = replan.CHANGES[name](match, rng)
        planner.change(match)
        found = outcome(planner.plan)
        assert found == outcome(lambda: plan(match)), name  # noqa: B023


def test_of_what_is_asked_about_only_so_much_is_held():
    match, rng = small_match(moments=("goal",), areas=(EAST,)), np.random.default_rng(0)
    planner = Planner(match)
    for _ in range(memory.MOST_HELD):  # each change asks about targets of its own
        planner.change(replan.weight(match, rng))
        planner.plan()
        assert len(planner._memory._asked) <= memory.MOST_HELD


RULES = (
    {"second_angle_give": 0.02},
    {"move_cost": 0.03},
    {"same_side": "forbid"},
    {"separation_m": 9.0},
    {"eye_height_give": 0.0},
    {"moves": "never"},
    {"must_cover": {"goal": 0.4}},
    {"same_side": "off"},
)


def test_another_rule_does_again_only_what_asks_about_it(monkeypatch):
    match = small_match(moments=("goal", "duel"), cameras=2, areas=(SIDE, EAST), rules={"same_side": "warn"})
    planner, done = Planner(match), []
    for name in ("solve_stages", "with_paid_moves", "with_second_angles", "_period_plans"):
        work = getattr(plan_match, name)
        monkeypatch.setattr(plan_match, name, lambda *a, name=name, work=work, **k: done.append(name) or work(*a, **k))
    planner.plan()
    searched = []
    for rules in RULES:
        match = replace(match, rules=replace(match.rules, **rules))
        planner.change(match)
        done.clear()
        found = planner.plan()
        searched.append("solve_stages" in done)
        assert found == plan(match), rules
    assert searched == [False, False, True, True, False, False, True, True]  # both halves ask the same: moves or not
    done.clear()
    assert planner.plan() == found
    assert not done
    for moves in ("free", "never"):
        match = replace(match, cover="ours", first_attack="+x", rules=replace(match.rules, moves=moves, must_cover={}))
        planner.change(match)
        assert planner.plan() == plan(match), moves
        assert "solve_stages" in done
        done.clear()


def test_only_what_changed_is_valued_again(monkeypatch):
    valued = []

    def counted(positions_m, *arguments, **more):
        valued.append(len(positions_m))
        return known(positions_m, *arguments, **more)

    known = memory.quality_matrix
    monkeypatch.setattr(memory, "quality_matrix", counted)

    def again(match):
        valued.clear()
        planner.change(match)
        planner.plan()
        return sum(valued)

    match, rng = small_match(cameras=2, areas=(SIDE, FAR_SIDE, EAST)), np.random.default_rng(0)
    planner = Planner(match)
    whole = again(match)
    assert again(match) == 0
    assert again(replace(match, rules=replace(match.rules, second_angle_give=0.0))) == 0
    assert again(replan.weight(match, rng)) < whole / 2
    assert again(replace(match, cameras=match.cameras[:1])) < whole / 2
    assert again(replace(match, venue=replace(match.venue, allowed=(FAR_SIDE, EAST)))) < whole / 2
    assert again(replan.obstacle(match, rng)) > whole / 2


def test_what_is_kept_stays_within_its_bounds_and_nothing_wrong_is_kept():
    shelf = Shelf(100)
    for key in range(50):
        shelf.put(key, str(key), 30)
        assert shelf.n_bytes <= 100
    assert [shelf.get(key) for key in (46, 47, 48, 49)] == [None, "47", "48", "49"]
    shelf.get(47)
    shelf.put(47, "other", 40)
    shelf.put(50, "50", 30)
    assert [shelf.get(key) for key in (47, 48, 49, 50)] == ["other", None, "49", "50"]


def test_no_number_is_given_twice():
    numbers = Numbers(2)
    assert [numbers.of(thing) for thing in ("a", "b", "a", "c")] == [0, 1, 0, 2]
    assert [numbers.of(thing) for thing in ("a", "b")] == [0, 3]  # "b" was asked for the longest ago, and went


def test_a_stopped_plan_leaves_the_planner_as_it_was():
    match, asked = small_match(cameras=2), []
    planner = Planner(match)
    first = planner.plan()
    planner.change(replan.obstacle(match, np.random.default_rng(3)))

    def soon():
        asked.append(True)
        return len(asked) > 5

    with pytest.raises(Stopped):
        planner.plan(stopped=soon)
    assert planner.planned_worth("A").coverage > 0
    assert planner.plan() == plan(planner.match) != first
    with pytest.raises(Stopped):
        list(planner.advice_parts(stopped=lambda: True))


def test_advice_comes_part_by_part_and_is_the_advice_of_a_plan():
    match = small_match(cameras=2, areas=(SIDE, EAST))
    planner = Planner(match)
    assert planner.plan().advice is None
    parts = dict(planner.advice_parts())
    assert set(parts) == {field.name for field in fields(Advice)} - {"left_out"}
    whole = plan(match, advice="quick").advice
    alike = [
        "refusals",
        "kind_refusals",
        "lost",
        "ask",
        "one_side_loss",
        "height",
        "faces",
        "doubt",
        "bag",
        "intervals",
    ]
    assert [parts[name] for name in alike] == [getattr(whole, name) for name in alike]
    assert planner.with_advice().advice.lost == whole.lost


def test_a_spot_by_hand_is_worth_what_its_score_says():
    match = small_match(cameras=2, areas=(SIDE, EAST))
    planner = Planner(match)
    with pytest.raises(ValueError, match="no plan was made yet"):
        planner.worth("A", SPOT)
    found = planner.plan()
    places = {a.camera: (a.spot.x_m, a.spot.y_m, a.spot.z_m, a.lens.name) for a in found.periods[0].assignments}
    for lens in [lens.name for lens in match.cameras[0].lenses]:
        by_hand = score(match, places | {"A": (*SPOT, lens)})
        worth = planner.worth("A", SPOT, lens=lens)
        told = [by_hand.coverage, by_hand.seen, by_hand.faces]
        assert [worth.coverage, worth.seen, worth.faces] == pytest.approx(told, abs=1e-12)
    every = [planner.worth("A", SPOT, lens=lens.name) for lens in match.cameras[0].lenses]
    assert planner.worth("A", SPOT).coverage == pytest.approx(max(w.coverage for w in every), abs=1e-9)
    now = planner.planned_worth("A")
    assert [now.coverage, now.seen, now.faces] == pytest.approx([found.coverage, found.seen, found.faces], abs=1e-12)
    one = planner.worth("A", SPOT, period=match.sport.periods[0].key)
    assert min(worth.coverage, now.coverage) < one.coverage < max(worth.coverage, now.coverage)


def test_a_camera_that_the_plan_has_not_is_valued_beside_it_and_wrong_names_are_said():
    match = small_match(cameras=2)
    planner = Planner(replace(match, cameras=match.cameras[:1]))
    alone = planner.plan()
    planner.change(match)
    assert planner.planned_worth("B") is None
    assert planner.worth("B", SPOT).coverage >= alone.coverage
    for wrong in ({"camera": "Z"}, {"lens": "9-18"}, {"period": "third"}):
        with pytest.raises(InputError, match=str(next(iter(wrong.values())))):
            planner.worth(**({"camera": "A", "xyz_m": SPOT} | wrong))


def test_a_value_does_not_depend_on_what_is_valued_with_it():
    match = small_match(areas=(SIDE, EAST))
    task, xyz_m = match_tasks(match)[0], match_candidates(match).xyz_m
    outfits = camera_outfits(match, match.cameras[0])
    whole = spot_quality(match, task, xyz_m, outfits)
    rng = np.random.default_rng(0)
    for n in (1, 3, 17, len(xyz_m) - 1):
        some = rng.permutation(len(xyz_m))[:n]
        assert (spot_quality(match, task, xyz_m[some], outfits[-1:])[0] == whole[-1, some]).all()
