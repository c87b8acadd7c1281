"""The search against trying every set."""

import pytest
from hypothesis import given, settings
from search_cases import brute_force, is_allowed, problems

from standmark.optimizer.search import branch, root, search, verify


def check_against_brute_force(problem):
    result = search(problem)
    best = brute_force(problem)
    if best is None:
        assert result.status == "infeasible"
    else:
        assert result.status == "optimal"
        assert result.value == pytest.approx(best, rel=1e-6, abs=1e-9)
        assert result.upper_bound >= best - 1e-9
        assert is_allowed(problem, result.rows)
        assert all(row in rows for row, rows in zip(result.rows, problem.rows_by_camera, strict=True))
        found = verify(problem, result)
        assert found.is_allowed
        assert found.is_proven
        assert found.value == result.value


@settings(max_examples=100, deadline=None)
@given(problems())
def test_equals_brute_force(problem):
    check_against_brute_force(problem)


@settings(max_examples=100, deadline=None)
@given(problems())
def test_equals_brute_force_when_little_is_listed_and_rows_are_sampled(problem):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(branch, "sets_worth_listing", lambda n_targets: 1)
        patch.setattr(root, "SAMPLE_ROWS", 2)
        patch.setattr(root, "LEAST_PER_SLOT", 2)
        check_against_brute_force(problem)
