"""One stage as arrays: weights by length, rows and places outfit by outfit, and when each rule is asked at all."""

from dataclasses import replace

import numpy as np
import pytest
from small_match import EAST, SIDE, WEST, small_match

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.grid import stage_task
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.choice.rules import area_caps, floors, keeps_floors, open_rows, rows_beside, stage_problem
from standmark.optimizer.match.match import FixedSpot
from standmark.optimizer.search import Clashes, SearchProblem
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets

OURS = {"cover": "ours", "first_attack": "+x"}  # ends change, and with them what each half asks for


def stage(match, *, minutes=(30.0, 60.0)):
    """Rows that capture everything, of two periods of different length."""
    match = replace(
        match,
        sport=replace(
            match.sport,
            periods=tuple(replace(p, minutes=m) for p, m in zip(match.sport.periods, minutes, strict=True)),
        ),
    )
    kit = match.cameras[0].lenses
    cameras = tuple(replace(c, lenses=(*kit[:1], Lens("prime", (300.0, 300.0)))) for c in match.cameras)
    match = replace(match, cameras=cameras)
    periods, candidates = match.sport.periods, match_candidates(match)
    rows = match_rows(match, candidates)
    around = period_surroundings(match, periods[0])
    task = stage_task((period, period_targets(match, period, cells=1), around) for period in periods)
    quality = np.ones((len(rows.outfits) * rows.n_positions, sum(len(t.weight) for t in task.targets)), np.float32)
    return match, candidates, rows, task, stage_problem(match, task, candidates=candidates, rows=rows, quality=quality)


def test_a_period_weighs_as_long_as_it_lasts_and_rows_run_outfit_by_outfit():
    match, candidates, rows, task, problem = stage(small_match(cameras=2, areas=(SIDE, EAST), **OURS))
    targets = task.targets
    n = len(targets[0].weight)
    assert problem.weight[:n].tolist() == pytest.approx((targets[0].weight / 3).tolist())
    assert problem.weight[n:].tolist() == pytest.approx((targets[1].weight * 2 / 3).tolist())
    assert len(rows.outfits) == 2
    assert problem.xy_m.tolist() == candidates.xyz_m[:, :2].tolist() * 2
    assert problem.group.tolist() == candidates.area.tolist() * 2
    assert problem.group_cap.tolist() == area_caps(match).tolist() == [2, 2]
    assert len(problem.rows_by_camera) == 2


def test_periods_that_ask_the_same_ask_once_for_as_long_as_they_last_together():
    rules = {"must_cover": {"goal": 0.6}}
    match, *_, task, problem = stage(small_match(rules=rules))
    assert (task.asks, task.shares.tolist()) == ((0, 0), [1.0])
    assert problem.weight.tolist() == task.targets[0].weight.tolist()
    assert [targets for _, targets, _ in task.by_period] == [task.targets[0]] * 2
    ((periods, *_),) = floors(match, task)
    assert periods == match.sport.periods
    match, *_, apart, _ = stage(small_match(rules=rules, **OURS))
    assert (apart.asks, apart.shares.tolist()) == ((0, 1), pytest.approx([1 / 3, 2 / 3]))
    assert [periods for periods, *_ in floors(match, apart)] == [(p,) for p in match.sport.periods]


@pytest.mark.parametrize(
    ("cameras", "same_side", "separation_m", "is_line_kept"),
    [(1, "forbid", 0.0, False), (2, "forbid", 7.0, True), (3, "forbid", 7.0, True), (2, "warn", 7.0, False)],
)
def test_rules_between_cameras_are_asked_where_there_are_two(cameras, same_side, separation_m, is_line_kept):
    rules = {"separation_m": 7.0, "same_side": "".join(same_side)}
    problem = stage(small_match(cameras=cameras, areas=(EAST, WEST), moments=("goal",), rules=rules))[-1]
    assert problem.separation_m == separation_m
    assert (problem.clashes is not None) is is_line_kept


def test_least_coverages_hold_in_each_period_with_its_own_columns():
    rules = {"must_cover": {"goal": 0.6, "duel": 0.0, "save": 0.25}}
    match, *_, task, problem = stage(small_match(rules=rules, **OURS))
    periods, targets = match.sport.periods, task.targets
    found = floors(match, task)
    assert [(p.key, key, share) for (p,), key, _, share in found] == [
        (p.key, key, share) for p in periods for key, share in (("goal", 0.6), ("save", 0.25))
    ]
    n = len(targets[0].weight)
    for (period,), key, columns, _ in found:
        start = n * periods.index(period)
        own = targets[periods.index(period)]
        assert columns.tolist() == [
            start + i for i, moment in enumerate(own.moment.tolist()) if own.moment_keys[moment] == key
        ]
    assert [share for _, share in problem.floors] == [0.6, 0.25, 0.6, 0.25]
    best = np.ones(len(problem.weight), np.float32)
    assert keeps_floors(problem, best)
    best[found[-1][2]] = 0.2  # the very last one falls short
    assert not keeps_floors(problem, best)
    best[found[-1][2]] = 0.25  # reaches its share exactly
    assert keeps_floors(problem, best)


def test_a_moment_that_does_not_occur_asks_nothing():
    match, *_, task, _ = stage(small_match(**OURS))
    targets = task.targets
    own = targets[0].moment_keys.index("goal")
    kept = np.flatnonzero(targets[0].moment != own)
    without = replace(targets[0], moment=targets[0].moment[kept], weight=targets[0].weight[kept])
    asked = replace(match, rules=replace(match.rules, must_cover={"goal": 0.5}))
    (only,) = floors(asked, replace(task, targets=(without, targets[1])))
    assert only[0] == match.sport.periods[1:]
    assert only[2].min() == len(kept) + np.flatnonzero(targets[1].moment == own).min()


def test_a_fixed_place_counts_as_open():
    first, second = small_match().sport.periods
    match = small_match(cameras=2, areas=(replace(EAST, periods=(first.key,)), replace(WEST, periods=())))
    fixed = replace(match.cameras[0], fixed=FixedSpot(57.0, -10.0, 1.2))
    match = replace(match, cameras=(fixed, match.cameras[1]))
    candidates = match_candidates(match)
    rows = match_rows(match, candidates)
    for periods, areas in (((first,), {0}), ((second,), set()), ((first, second), set())):
        own, other = open_rows(match, periods, candidates, rows)
        assert own.tolist() == rows.by_camera[0].tolist()
        assert set(candidates.area[other % rows.n_positions].tolist()) == areas


@pytest.mark.parametrize(
    ("others", "own", "free"),
    [
        ((), [0, 1, 2, 3], [0, 1, 2, 3]),
        ((0,), [0, 1, 2, 3], [2, 3]),  # 0 itself, and 1, which lies across the line
        ((1,), [0, 1, 2, 3], [2, 3]),
        ((2,), [0, 1, 2, 3], [0, 1, 3]),
        ((0, 2), [0, 1, 3], [3]),
        ((2, 0), [3, 1], [3]),
    ],
)
def test_rows_across_the_line_of_a_row_that_is_taken_are_left_out(others, own, free):
    between = np.zeros((4, 4, 1), np.uint64)
    between[0, 1] = between[1, 0] = between[0, 2] = between[2, 0] = 1
    mark = np.array([[1], [1], [2], [1]], np.uint64)  # 2 takes another moment than 0 and 1
    problem = SearchProblem(
        np.eye(4, dtype=np.float32), np.ones(4), (np.arange(4), np.array(own)),
        clashes=Clashes(mark, np.arange(4), between),
    )  # fmt: skip
    assert rows_beside(problem, 1, others).tolist() == free
