"""Sets near the best, against trying every set."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from search_cases import all_allowed, problems

from standmark.optimizer.search import (
    Clashes,
    SearchProblem,
    best_pair,
    branch,
    near_problem,
    search,
    set_value,
)
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
@given(problems(), st.sampled_from([0.0, 0.05, 0.3]))
def test_no_near_set_is_lost(problem, within):
    result = search(problem)
    assume(result.rows)
    near = near_problem(problem, result, within=within)
    assert near.outside(near.inside(result.rows)) == result.rows
    assert set_value(near.problem, near.inside(result.rows)) == set_value(problem, result.rows)
    kept = {near.outside(rows) for rows in all_allowed(near.problem)}
    for rows in all_allowed(problem):
        if set_value(problem, rows) >= result.value - within + 1e-7:
            assert tuple(rows) in kept


def scattered(n_rows=40, n_targets=30):
    rng = np.random.default_rng(3)
    return SearchProblem(
        rng.random((n_rows, n_targets)).astype(np.float32), np.full(n_targets, 1 / n_targets), (np.arange(n_rows),) * 2
    )


def distance(rows):
    return np.abs(rows[:, 0] - rows[:, 1]).astype(float)


@settings(max_examples=60, deadline=None)
@given(problems(cameras=(2, 2)), st.sampled_from([0.0, 0.1, 0.5]), st.sampled_from([1, 4_096]))
def test_the_best_pair_is_the_best_of_all_near_pairs(problem, within, at_once):
    result = search(problem)
    assume(result.rows)
    least = result.value - within
    values = {settled(problem, rows): set_value(problem, rows) for rows in all_allowed(problem)}
    near = {rows for rows, value in values.items() if value >= least + 1e-7} | {result.rows}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(near_module, "LOOKED_AT", at_once)
        patch.setattr(near_module, "SCORED", at_once)
        found = best_pair(
            problem, result.certificate, result.rows, least=least, score=distance,
            most_score=lambda rows, most: distance(rows), most_valued=10**6,
        )  # fmt: skip
    assert found.is_complete
    assert found.score == distance(np.array([found.rows]))[0] >= max(abs(a - b) for a, b in near)
    assert values[found.rows] == pytest.approx(found.value, abs=1e-6)
    assert found.value >= max((values[a, b] for a, b in near if abs(a - b) == found.score), default=least) - 1e-6


def test_pairs_that_cannot_score_enough_are_passed_over():
    problem = scattered()
    result, scored = search(problem), []

    def counted(rows):
        scored.append(len(rows))
        return distance(rows)

    def asked(most_score):
        scored.clear()
        return best_pair(
            problem, result.certificate, result.rows, least=result.value - 0.05, score=counted,
            most_score=most_score, most_valued=10**6,
        )  # fmt: skip

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(near_module, "SCORED", 4)
        plain = asked(lambda rows, _most: np.full(len(rows), 99.0))
        n_plain = sum(scored)
        quick = asked(lambda rows, _most: 1.0 + distance(rows))
    assert quick.rows == plain.rows
    assert quick.score == plain.score
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


def test_a_cut_short_look_says_so(monkeypatch):
    problem = scattered()
    result = search(problem)
    monkeypatch.setattr(near_module, "LOOKED_AT", 5)

    def found(most_valued):
        return best_pair(
            problem, result.certificate, result.rows, least=0.0, score=distance,
            most_score=lambda rows, _most: np.full(len(rows), 99.0), most_valued=most_valued,
        )  # fmt: skip

    assert not found(10).is_complete
    assert found(10).n_valued == 10
    assert found(10**6).is_complete
    monkeypatch.setattr(near_module, "MOST_LISTED", 100)
    few = found(10**6)
    assert not few.is_complete
    assert 0 < few.n_valued <= 100


def test_near_sets_need_one_to_start_from():
    problem = SearchProblem(np.ones((1, 1), np.float32), np.ones(1), (np.array([0]), np.array([0])))
    with pytest.raises(ValueError, match="without rows"):
        near_problem(problem, search(problem), within=0.1)
