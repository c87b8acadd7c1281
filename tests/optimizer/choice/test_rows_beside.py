"""Rules as plain arrays: caps to the very camera, separation to the very metre, least coverages to the very share."""

from dataclasses import replace

import numpy as np
import pytest
from small_match import EAST, SIDE, WEST, small_match

from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.paid_moves import PRICED_M, move_price
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.choice.rules import area_caps, keeps_floors, open_rows, rows_beside
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.search import SearchProblem


def problem(**limits):
    """Four rows on a line, 10 m apart, in two areas."""
    return SearchProblem(
        np.eye(4, dtype=np.float32), np.array([4.0, 3.0, 2.0, 1.0]), (np.arange(4),) * 3,
        xy_m=np.column_stack([np.arange(4) * 10.0, np.zeros(4)]),
        group=np.array([0, 0, 1, 1]), **limits,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("caps", "others", "rows"),
    [
        ((3, 3), (0,), [1, 2, 3]),
        ((1, 3), (0,), [2, 3]),
        ((2, 3), (0,), [1, 2, 3]),
        ((2, 3), (0, 1), [2, 3]),
        ((1, 1), (0, 2), []),
        ((0, 3), (), [2, 3]),
    ],
)
def test_an_area_takes_as_many_cameras_as_its_cap_says(caps, others, rows):
    assert rows_beside(problem(group_cap=np.array(caps)), 0, others).tolist() == rows


@pytest.mark.parametrize(("separation_m", "rows"), [(10.0, [0, 2, 3]), (10.1, [3]), (0.0, [0, 2, 3])])
def test_separation_is_a_least_distance(separation_m, rows):
    assert rows_beside(problem(separation_m=separation_m), 0, (1,)).tolist() == rows


def test_caps_are_those_of_the_areas():
    match = small_match(cameras=3, areas=(replace(SIDE, max_cameras=1), EAST, replace(WEST, max_cameras=2)))
    assert area_caps(match).tolist() == [1, 3, 2]


@pytest.mark.parametrize(("share", "is_kept"), [(0.57, True), (0.58, False)])
def test_a_least_coverage_is_weighed_over_its_own_targets(share, is_kept):
    # of targets 0 and 1, weighing 4 and 3, the first is covered wholly: 4/7
    assert keeps_floors(problem(floors=((np.array([0, 1]), share),)), np.eye(4, dtype=np.float32)[0]) is is_kept


def test_a_short_walk_has_the_price_that_the_match_file_gives(tmp_path):
    file = tmp_path / "match.toml"
    file.write_text('match = { sport = "football" }\nrules = { move_cost_points = 0.5 }\n')
    match = read_match(file)
    here = np.array([0.0, -38.0, 1.6])
    assert move_price(match, here, here) == 0.0
    assert move_price(match, here, here + np.array([20.0, 0.0, 0.0])) == pytest.approx(0.005)
    long = move_price(match, here - np.array([25.0, 0, 0]), here + np.array([25.0 + PRICED_M, 0.0, 0.0]))
    assert long == pytest.approx(0.005 * (50.0 + PRICED_M) / PRICED_M, rel=0.02)


def test_an_area_is_open_in_its_periods_only_whichever_lens():
    first, second = small_match().sport.periods
    match = small_match(areas=(replace(SIDE, periods=(first.key,)), EAST))
    candidates = match_candidates(match)
    rows = match_rows(match, candidates)
    every = rows.by_camera[0]
    assert len(rows.outfits) > 1
    (own,) = open_rows(match, (first,), candidates, rows)
    assert own.tolist() == every.tolist()
    for periods in ((second,), (first, second)):
        (own,) = open_rows(match, periods, candidates, rows)
        assert 0 < len(own) < len(every)
        assert set(candidates.area[own % rows.n_positions].tolist()) == {1}
        assert len(own) == len(rows.outfits) * int((candidates.area == 1).sum())
