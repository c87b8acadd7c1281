"""The search against trying every set."""

import time
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from search_cases import all_allowed, brute_force, is_allowed, problems

from standmark.optimizer.search import (
    Certificate,
    Clashes,
    SearchProblem,
    Start,
    branch,
    dual,
    exact,
    kernel,
    overlap,
    root,
    search,
    set_value,
    verify,
)
from standmark.optimizer.search.stop import NODE_FIGURES


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


@settings(max_examples=1000, deadline=None)
@given(problems())
def test_equals_brute_force(problem):
    check_against_brute_force(problem)


@settings(max_examples=150, deadline=None)
@given(problems(), st.integers(0, 2**32 - 1), st.booleans())
def test_any_start_leads_to_the_best(problem, seed, is_large):
    rng, allowed = np.random.default_rng(seed), all_allowed(problem)
    assume(allowed)
    prices = rng.random(problem.quality.shape[1]).astype(np.float32)
    start = Start(tuple(allowed[rng.integers(len(allowed))]), Certificate(prices, rng.random(len(problem.floors))))
    check_best_from(start, problem, is_large=is_large)


@settings(max_examples=80, deadline=None)
@given(problems(), st.integers(0, 2**32 - 1), st.booleans())
def test_with_fresh_rows_only_sets_that_hold_one_are_looked_at_and_none_is_lost(problem, seed, is_large):
    is_fresh = np.random.default_rng(seed).random(len(problem.quality)) < 0.4
    old = replace(problem, rows_by_camera=tuple(own[~is_fresh[own]] for own in problem.rows_by_camera))
    assume(all(len(own) for own in old.rows_by_camera))
    before = search(old)
    assume(before.rows)
    start = Start(before.rows, before.certificate, before.upper_bound, is_fresh)
    check_best_from(start, problem, is_large=is_large)


def check_best_from(start, problem, *, is_large):
    """Hold a search that begins somewhere to the best of all sets, and to its proof."""
    with pytest.MonkeyPatch.context() as patch:
        if is_large:
            as_if_large(patch)
        result = search(problem, start=start)
    assert result.status == "optimal"
    assert result.value == pytest.approx(brute_force(problem), rel=1e-6, abs=1e-9)
    assert verify(problem, result).is_proven


def as_if_large(patch):
    """Make small problems take every way that large ones take: samples, branches, two threads, coarse sums."""
    patch.setattr(branch, "sets_worth_listing", lambda n_targets: 1)
    patch.setattr(root, "SAMPLE_ROWS", 2)
    patch.setattr(root, "WIDE_ROWS", 3)
    patch.setattr(root, "LEAST_PER_SLOT", 2)
    patch.setattr(root, "CORE_SETS", 2)
    patch.setattr(dual, "NEAR_ROWS", 1)
    patch.setattr(overlap, "MOST_PRODUCTS", 300)
    patch.setattr(overlap, "ONE_THREAD_PRODUCTS", 0)
    patch.setattr(overlap, "TILE", 4)
    patch.setattr(kernel, "ONE_THREAD_VALUES", 0)
    patch.setattr(kernel, "FINE_VALUES", 0)


@settings(max_examples=1000, deadline=None)
@given(problems())
def test_equals_brute_force_when_all_goes_as_if_it_were_large(problem):
    with pytest.MonkeyPatch.context() as patch:
        as_if_large(patch)
        check_against_brute_force(problem)


def flat_strip(seed, n_cameras):
    """Rows that see nearly alike, so that the tree grows."""
    rng = np.random.default_rng(seed)
    n_rows, n_targets = 26, 40
    along, target = np.sort(rng.random(n_rows)), rng.random(n_targets)
    quality = np.exp(-(((along[:, None] - target) / 0.15) ** 2)) * rng.uniform(0.7, 1, (n_rows, n_targets))
    return SearchProblem(quality.astype(np.float32), rng.random(n_targets) + 0.1, (np.arange(n_rows),) * n_cameras)


@settings(max_examples=300, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from([2, 3, 4]))
def test_trees_of_like_rows_end_at_the_best_set(seed, n_cameras):
    problem = flat_strip(seed, n_cameras)
    with pytest.MonkeyPatch.context() as patch:
        as_if_large(patch)
        result = search(problem)
    sets = np.array(list(combinations(range(len(problem.quality)), n_cameras)))
    values = problem.quality[sets].max(axis=1).astype(float) @ problem.weight
    assert result.value == pytest.approx(values.max(), rel=1e-6)
    assert result.upper_bound >= values.max() - 1e-12
    assert result.value == set_value(problem, result.rows)


def test_a_search_ends_at_its_work_whatever_the_clock_says(monkeypatch):
    as_if_large(monkeypatch)
    rng = np.random.default_rng(1)
    problem = SearchProblem(rng.random((26, 40)).astype(np.float32), rng.random(40) + 0.1, (np.arange(26),) * 4)
    whole = search(problem)
    assert 4 < whole.n_nodes < 100
    stopped = [search(problem, most_work=n * NODE_FIGURES) for n in (0, 3)]
    assert [(result.n_nodes, result.status) for result in stopped] == [(1, "time limit"), (3, "time limit")]
    assert all(result.value <= whole.value <= result.upper_bound for result in stopped)
    monkeypatch.setattr(time, "monotonic", iter(range(0, 10**9, 10**3)).__next__)
    again = search(problem, most_work=3 * NODE_FIGURES)
    assert (again.rows, again.upper_bound) == (stopped[1].rows, stopped[1].upper_bound)


def test_threads_never_change_the_answer():
    with pytest.MonkeyPatch.context() as patch:
        as_if_large(patch)
        for seed in range(20):
            first, *others = (search(flat_strip(seed, 4)) for _ in range(3))
            assert all((r.rows, r.value, r.n_nodes) == (first.rows, first.value, first.n_nodes) for r in others)


def hard_floors(seed):
    """A strip of like rows with floors that few sets keep, or none; all sets and which of them keep the floors."""
    rng = np.random.default_rng(seed)
    n_cameras = int(rng.integers(2, 5))
    problem = flat_strip(seed, n_cameras)
    sets = np.array(list(combinations(range(len(problem.quality)), n_cameras)))
    reached = problem.quality[sets].max(axis=1).astype(float)
    floors, kept = [], np.ones(len(sets), dtype=bool)
    for _ in range(int(rng.integers(1, 4))):
        targets = np.flatnonzero(rng.random(problem.weight.size) < 0.4)
        covered = reached[:, targets] @ problem.weight[targets] / problem.weight[targets].sum()
        among = covered[kept] if kept.any() else covered
        share = min(1.0, float(np.quantile(among, rng.choice([0.9, 0.99, 0.999])) + rng.choice([0, 0, 1e-3])))
        floors.append((targets, share))
        kept &= covered >= share
    return replace(problem, floors=tuple(floors)), reached @ problem.weight, kept


@pytest.mark.parametrize("seed", [47, 123, 189, 234, 359, 375, *range(40)])
def test_floors_hold_where_no_quick_way_finds_a_set(seed):
    problem, values, kept = hard_floors(seed)
    quick = exact.floor_root
    with pytest.MonkeyPatch.context() as patch:
        as_if_large(patch)
        patch.setattr(
            exact, "floor_root", lambda model, slots, kinds, best: (best, quick(model, slots, kinds, best)[1])
        )
        result = search(problem)
    if kept.any():
        assert result.value == pytest.approx(values[kept].max(), rel=1e-5)
    else:
        assert result.status == "infeasible"


def test_sides_that_clash_are_parted_first():
    """Rows along two sides, every pair across clashing: the search must not go through mixtures of both."""
    rng = np.random.default_rng(7)
    at_m = rng.random((300, 2)) * (100.0, 5.0) + np.repeat([(0.0, 0.0), (0.0, 65.0)], 150, axis=0)
    seen_m = rng.random((120, 2)) * (100.0, 65.0)
    away_m = np.hypot(*(at_m[:, None] - seen_m).transpose(2, 0, 1))
    rows, is_far = np.arange(300), np.arange(300) >= 150
    across = (is_far[:, None] != is_far)[..., None].astype(np.uint64)
    problem = SearchProblem(
        np.exp(-((away_m / 35.0) ** 2)).astype(np.float32),
        rng.random(120),
        (rows,) * 3,
        xy_m=at_m,
        clashes=Clashes(np.ones((300, 1), np.uint64), rows, across),
    )
    found = search(problem)
    sides = [search(replace(problem, clashes=None, rows_by_camera=(own,) * 3)) for own in (rows[:150], rows[150:])]
    assert found.value == pytest.approx(max(side.value for side in sides), rel=1e-6)
    assert found.n_nodes <= 8  # 13 where clusters are those of like rows
