"""Sets near the best, against trying every set."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from search_cases import all_allowed, problems

from standmark.optimizer.search import Clashes, SearchProblem, branch, near_best, near_blocks, search, set_value
from standmark.optimizer.search import near as near_module
from standmark.optimizer.search.descent import Prices
from standmark.optimizer.search.dual import Bound
from standmark.optimizer.search.model import kinds_of, model_of
from standmark.optimizer.search.slot import Domain, Slot


def settled(problem, rows):
    """Rows by camera, ascending among interchangeable cameras."""
    rows = list(rows)
    for kind in kinds_of(problem.rows_by_camera):
        own = sorted(rows[camera] for camera in kind.cameras)
        for camera, row in zip(kind.cameras, own, strict=True):
            rows[camera] = row
    return tuple(rows)


@settings(max_examples=60, deadline=None)
@given(problems(), st.sampled_from([0.0, 0.05, 0.3]), st.sampled_from([1, 1000]))
def test_blocks_hold_every_near_set_once(problem, within, listed):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(branch, "sets_worth_listing", lambda n_targets: listed)
        result = search(problem)
        assume(result.rows)
        met = [
            tuple(map(int, rows)) for block, _values in near_blocks(problem, result, within=within) for rows in block
        ]
    values = {settled(problem, rows): set_value(problem, rows) for rows in all_allowed(problem)}
    near = {rows for rows, value in values.items() if value >= result.value - within}
    borderline = {rows for rows in near if values[rows] < result.value - within + 1e-7}
    assert len(met) == len(set(met))
    assert near - borderline <= set(met)
    assert all(values[rows] >= result.value - within - 1e-7 for rows in met)


def scattered(n_rows=40, n_targets=30):
    rng = np.random.default_rng(3)
    return SearchProblem(
        rng.random((n_rows, n_targets)).astype(np.float32), np.full(n_targets, 1 / n_targets), (np.arange(n_rows),) * 2
    )


def test_the_score_chooses_among_near_sets():
    problem = scattered()
    result = search(problem)

    def distance(rows):
        return np.abs(rows[:, 0] - rows[:, 1]).astype(float)

    near = near_best(problem, result, within=0.05, score=distance, keep=5)
    every = [rows for rows in all_allowed(problem) if set_value(problem, rows) >= result.value - 0.05]
    assert near.is_complete
    assert near.score[0] == max(abs(a - b) for a, b in every)
    assert (np.diff(near.score) <= 0).all()
    assert (near.value >= result.value - 0.05 - 1e-9).all()
    assert len(near.rows) == 5


def test_sets_that_cannot_score_enough_are_passed_over():
    problem = scattered()
    result, scored = search(problem), []

    def distance(rows):
        scored.append(len(rows))
        return np.abs(rows[:, 0] - rows[:, 1]).astype(float)

    def most(rows, _values):
        return 1.0 + np.maximum(rows[:, 1] - rows[:, 0], rows[:, 0] - rows[:, 1])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(near_module, "SCORED", 4)
        plain = near_best(problem, result, within=0.05, score=distance, keep=5)
        n_plain = sum(scored)
        scored.clear()
        quick = near_best(problem, result, within=0.05, score=distance, most_score=most, keep=5)
    assert np.array_equal(quick.rows, plain.rows)
    assert np.array_equal(quick.score, plain.score)
    assert quick.n_met == plain.n_met == n_plain
    assert sum(scored) < n_plain / 2


def test_a_node_is_not_split_on_a_row_it_has_dropped():
    rows, side = np.arange(6), np.arange(6) < 3
    across = (side[:, None] != side)[..., None].astype(np.uint64)
    problem = SearchProblem(
        np.eye(6, dtype=np.float32), np.ones(6), (rows,) * 2,
        xy_m=np.zeros((6, 2)), clashes=Clashes(np.ones((6, 1), np.uint64), rows, across),
    )  # fmt: skip
    open_rows = np.array([1, 2, 3, 4])  # 0 and 5, picked most often, are gone
    bound = Bound(
        1.0, Prices(np.zeros(6, np.float32), np.zeros(0)), Domain((Slot(open_rows, 2, 0),), np.zeros(0, np.intp)),
        (np.ones(4),), 0.0, 0.0, active=rows, frequency=np.array([0.9, 0.3, 0.2, 0.3, 0.2, 0.9]),
    )  # fmt: skip
    which, is_inside = branch._side(model_of(problem), bound)
    assert which == 0
    assert is_inside.tolist() in ([True, True, False, False], [False, False, True, True])


def test_a_cut_short_list_says_so():
    problem = scattered()
    near = near_best(problem, search(problem), within=1.0, most_sets=10)
    assert not near.is_complete
    assert near.n_met >= 10


def test_near_best_needs_a_set():
    problem = SearchProblem(np.ones((1, 1), np.float32), np.ones(1), (np.array([0]), np.array([0])))
    with pytest.raises(ValueError, match="without rows"):
        near_best(problem, search(problem), within=0.1)
