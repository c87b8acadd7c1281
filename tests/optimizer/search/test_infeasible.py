"""Clashing limits and the nearest feasible problem, against trying every set."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from search_cases import all_allowed, brute_force, problems
from search_limits import limits_of

from standmark.optimizer.search import (
    Clashes,
    SearchProblem,
    clashing_limits,
    is_feasible,
    largest_separation_m,
    largest_share,
    nearest,
    relaxed,
    search,
    with_share,
)
from standmark.optimizer.search.infeasible import Budget


def clashing_of(problem):
    return clashing_limits(problem, limits_of(problem))


def names_of(problem):
    return tuple(limit.name for limit in clashing_of(problem))


@settings(max_examples=60, deadline=None)
@given(problems())
def test_clashing_limits_are_a_least_set(problem):
    best = brute_force(problem)
    assert is_feasible(problem) == (best is not None)
    assume(best is None)
    limits = limits_of(problem)
    clashing = clashing_limits(problem, limits)
    others = [limit for limit in limits if limit not in clashing]
    assert brute_force(relaxed(problem, others)) is None
    for limit in clashing:
        assert brute_force(relaxed(problem, [*others, limit])) is not None


@settings(max_examples=60, deadline=None)
@given(problems())
def test_largest_share_is_what_the_best_set_covers(problem):
    assume(problem.floors and len(problem.floors[0][0]))
    targets = problem.floors[0][0]
    allowed = all_allowed(with_share(problem, 0, 0.0))
    weight = problem.weight[targets]
    covered = [
        problem.quality[list(rows)].max(axis=0)[targets].astype(float) @ weight / weight.sum() for rows in allowed
    ]
    share = largest_share(problem, 0)
    assert share == (None if not allowed else pytest.approx(max(covered), abs=1e-5))


@settings(max_examples=60, deadline=None)
@given(problems())
def test_largest_separation_is_the_widest_set(problem):
    assume(problem.xy_m is not None and len(problem.rows_by_camera) > 1)
    together = replace(problem, separation_m=0.0, period_mask=None)
    allowed = all_allowed(together)
    widest = [min(np.hypot(*(problem.xy_m[a] - problem.xy_m[b])) for a, b in combinations(rows, 2)) for rows in allowed]
    most_m = largest_separation_m(replace(together, separation_m=problem.separation_m))
    if not allowed:
        assert most_m is None
    elif max(widest) < problem.separation_m - 0.01:
        assert max(widest) - 0.01 <= most_m <= max(widest)


def line_of_cameras(**limits):
    """Four rows on a line, 10 m apart, each sees one target fully."""
    return SearchProblem(
        quality=np.eye(4, dtype=np.float32),
        weight=np.ones(4),
        rows_by_camera=(np.arange(4),) * 2,
        xy_m=np.column_stack([np.arange(4) * 10.0, np.zeros(4)]),
        **limits,
    )


def test_a_separation_too_wide_is_named_and_mended():
    result = search(line_of_cameras(separation_m=35.0))
    assert result.status == "infeasible"
    problem = line_of_cameras(separation_m=35.0)
    assert names_of(problem) == ("separation",)
    (change,) = nearest(problem, clashing_of(problem))
    assert change.problem.separation_m == pytest.approx(30.0)
    assert change.result.rows == (0, 3)


def test_a_floor_and_a_separation_clash():
    problem = line_of_cameras(separation_m=25.0, floors=((np.array([1]), 0.5),))
    assert names_of(problem) == ("floor 0", "separation")
    by_limit = {change.limit.name: change for change in nearest(problem, clashing_of(problem))}
    assert by_limit["floor 0"].name == "floor 0: share 0"
    assert by_limit["separation"].problem.separation_m == pytest.approx(20.0)


def test_caps_and_clashes_are_named():
    group = {"group": np.array([0, 0, 1, 1]), "group_cap": np.array([1, 0])}
    assert names_of(line_of_cameras(**group)) == ("caps",)
    across = np.array([[0, 1], [1, 0]], np.uint64)[:, :, None]
    clashes = Clashes(np.ones((4, 1), np.uint64), np.array([0, 1, 0, 1]), across)
    sides = {"clashes": clashes, "floors": ((np.array([0, 1]), 0.9),)}
    assert names_of(line_of_cameras(**sides)) == ("floor 0", "clashes")


def test_too_few_rows_are_no_limit():
    problem = SearchProblem(np.ones((2, 1), np.float32), np.ones(1), (np.array([0]), np.array([0])))
    assert search(problem).status == "infeasible"
    assert clashing_of(problem) == ()


def test_an_analysis_without_time_names_every_limit_and_ends():
    problem = line_of_cameras(separation_m=25.0, floors=((np.array([1]), 0.5), (np.array([3]), 0.0)))
    limits = limits_of(problem)
    over = Budget(deadline=0.0)
    assert clashing_limits(problem, limits, over) == limits
    assert nearest(problem, limits, over) == ()
