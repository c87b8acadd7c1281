"""Sets near the best, against trying every set."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from search_cases import all_allowed, problems

from standmark.optimizer.search import SearchProblem, branch, near_best, near_blocks, search, set_value
from standmark.optimizer.search.model import kinds_of


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


def test_a_cut_short_list_says_so():
    problem = scattered()
    near = near_best(problem, search(problem), within=1.0, most_sets=10)
    assert not near.is_complete
    assert near.n_met >= 10


def test_near_best_needs_a_set():
    problem = SearchProblem(np.ones((1, 1), np.float32), np.ones(1), (np.array([0]), np.array([0])))
    with pytest.raises(ValueError, match="without rows"):
        near_best(problem, search(problem), within=0.1)
