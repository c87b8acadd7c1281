"""What must hold for any instance, and a general mixed-integer solver as a second opinion on larger ones."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import csr_array, eye_array, hstack, kron, vstack
from search_cases import problems

from standmark.optimizer.search import Clashes, SearchProblem, branch, kernel, search, set_value, verify
from standmark.optimizer.search.kernel import exact_gains, gains_of_sets, gains_within

NO_CLASHES = Clashes(np.zeros((3, 1), np.uint64), np.zeros(3, int), np.zeros((1, 1, 1), np.uint64))


def strip(n_rows, n_targets, seed, **limits):
    """Rows along a line beside targets on a field: neighbours see nearly the same."""
    rng = np.random.default_rng(seed)
    xy_m = np.column_stack([np.linspace(0, 100, n_rows), rng.choice([-3.0, 3.0], n_rows)])
    target = rng.uniform([0, -20], [100, 20], (n_targets, 2))
    distance = np.hypot(*(xy_m[:, None] - target).transpose(2, 0, 1))
    quality = (np.exp(-distance / 15) * rng.uniform(0.8, 1, (n_rows, n_targets))).astype(np.float32)
    return SearchProblem(quality, np.full(n_targets, 1 / n_targets), (np.arange(n_rows),) * 3, xy_m=xy_m, **limits)


@settings(max_examples=50, deadline=None)
@given(problems(limits=False), st.data())
def test_value_is_monotone_and_submodular(problem, data):
    n_rows = len(problem.quality)
    rows = st.lists(st.integers(0, n_rows - 1), min_size=1, max_size=4)
    small, more, extra = data.draw(rows), data.draw(rows), data.draw(st.integers(0, n_rows - 1))
    large = small + more
    assert set_value(problem, large) >= set_value(problem, small)
    gain_small = set_value(problem, [*small, extra]) - set_value(problem, small)
    gain_large = set_value(problem, [*large, extra]) - set_value(problem, large)
    assert gain_large <= gain_small + 1e-12


@pytest.mark.parametrize("factor", [1e-6, 3.7, 1e9])
def test_scaled_weights_keep_the_set(factor):
    problem = strip(300, 150, 0, separation_m=5.0)
    plain, scaled = search(problem), search(replace(problem, weight=problem.weight * factor))
    assert scaled.rows == plain.rows
    assert scaled.value == pytest.approx(plain.value * factor)


def test_permuted_rows_permute_the_answer():
    problem = strip(300, 150, 1, separation_m=5.0)
    order = np.random.default_rng(0).permutation(300)
    permuted = replace(problem, quality=problem.quality[order], xy_m=problem.xy_m[order])
    assert sorted(order[list(search(permuted).rows)]) == sorted(search(problem).rows)


def test_of_equal_rows_the_lowest_is_taken():
    problem = strip(120, 60, 2)
    doubled = replace(
        problem, quality=np.tile(problem.quality, (2, 1)), rows_by_camera=(np.arange(240),) * 3, xy_m=None
    )
    assert search(doubled).rows == search(problem).rows


@settings(max_examples=40, deadline=None)
@given(problems())
def test_more_rows_or_fewer_limits_never_cost(problem):
    result = search(problem)
    assume(result.rows)
    everything = np.arange(len(problem.quality))
    wider = replace(
        problem,
        rows_by_camera=(everything,) * len(problem.rows_by_camera),
        separation_m=0.0,
        group=None,
        clashes=None,
        floors=(),
    )
    assert search(wider).value >= result.value * (1 - 2e-6)


@pytest.mark.parametrize(
    ("n_rows", "n_targets", "limits"),
    [
        (60, 50, {}),
        (60, 50, {"separation_m": 30.0}),
        (60, 50, {"floors": ((np.arange(12), 0.434),)}),
        (160, 120, {}),
        (160, 120, {"separation_m": 20.0}),
    ],
)
def test_agrees_with_a_mixed_integer_solver(n_rows, n_targets, limits):
    problem = strip(n_rows, n_targets, 3, **limits)
    result = search(problem)
    assert result.value == pytest.approx(best_by_mixed_integer_solver(problem), rel=2e-6)
    assert verify(problem, result).is_proven


def best_by_mixed_integer_solver(problem):
    """HiGHS on the assignment model: a variable for each row, and for each row and target."""
    n_rows, n_targets = problem.quality.shape
    worth = (problem.quality.astype(float) * problem.weight).ravel()
    pairs = n_rows * n_targets
    blocks = [
        hstack([csr_array((n_targets, n_rows)), kron(np.ones((1, n_rows)), eye_array(n_targets))]),
        hstack([-kron(eye_array(n_rows), np.ones((n_targets, 1))), eye_array(pairs)]),
        csr_array(np.concatenate([np.ones(n_rows), np.zeros(pairs)])[None]),
    ]
    high = [np.ones(n_targets), np.zeros(pairs), [3.0]]
    if problem.separation_m:
        close = np.hypot(*(problem.xy_m[:, None] - problem.xy_m).transpose(2, 0, 1)) < problem.separation_m
        a, b = np.nonzero(np.triu(close, 1))
        clash = np.zeros((len(a), n_rows))
        clash[np.arange(len(a)), a] = clash[np.arange(len(a)), b] = 1
        blocks.append(hstack([csr_array(clash), csr_array((len(a), pairs))]))
        high.append(np.ones(len(a)))
    for targets, share in problem.floors:
        kept = np.zeros(n_targets)
        kept[targets] = 1
        blocks.append(csr_array(np.concatenate([np.zeros(n_rows), -worth * np.tile(kept, n_rows)])[None]))
        high.append([-share * problem.weight[targets].sum()])
    answer = milp(
        -np.concatenate([np.zeros(n_rows), worth]),
        constraints=LinearConstraint(vstack(blocks).tocsr(), -np.inf, np.concatenate(high)),
        integrality=np.concatenate([np.ones(n_rows), np.zeros(pairs)]),
        bounds=(0, 1),
        options={"mip_rel_gap": 1e-7},
    )
    assert answer.status == 0
    return -answer.fun


def test_a_time_limit_leaves_an_honest_gap(monkeypatch):
    problem = strip(400, 200, 4, separation_m=20.0)
    monkeypatch.setattr(branch, "sets_worth_listing", lambda n_targets: 1)
    stopped, proven = search(problem, time_limit_s=0.0), search(problem)
    assert stopped.status == "time limit"
    assert "below the best" in stopped.message
    assert stopped.value <= proven.value <= stopped.upper_bound
    assert stopped.gap == pytest.approx(stopped.upper_bound - stopped.value)


def test_progress_closes_in():
    seen = []
    result = search(strip(400, 200, 4), on_progress=lambda value, bound, n_nodes: seen.append((value, bound, n_nodes)))
    values, bounds, nodes = np.array(seen).T
    assert (np.diff(values) >= 0).all()
    assert (np.diff(bounds) <= 0).all()
    assert nodes.tolist() == list(range(1, len(seen) + 1))
    assert len(seen) == result.n_nodes


def test_a_tampered_result_is_not_proven():
    problem = strip(200, 100, 5, separation_m=5.0)
    result = search(problem)
    second = replace(result, rows=(*tuple(sorted(result.rows)[:2]), 199))
    worse = replace(result, upper_bound=set_value(problem, second.rows))
    assert verify(problem, result).is_proven
    assert not verify(problem, worse).is_proven
    assert not verify(problem, replace(result, rows=(0, 0, 1))).is_allowed
    low = replace(result.certificate, target_price=np.zeros_like(result.certificate.target_price))
    assert not verify(problem, replace(result, certificate=low), most_sets=50).is_proven


FORGED_PRICES = (0.0, 1.0, -1.0, 2.0, np.nan, np.inf, -np.inf)


def forged(rng, result):
    """A result that claims less than the best as its bound, with a certificate that was tampered with."""
    target_price, floor_price = result.certificate.target_price.copy(), result.certificate.floor_price.copy()
    for prices in (target_price, floor_price):
        if len(prices) and rng.random() < 0.6:
            prices[rng.random(len(prices)) < 0.5] = rng.choice([*FORGED_PRICES, 1e30, -1e30, -0.01])
    if rng.random() < 0.1:
        target_price = target_price[:-1]
    if rng.random() < 0.1:
        floor_price = np.append(floor_price, 1.0)
    bound = result.value - rng.choice([1e-6, 1e-3, 0.1, result.value, np.inf, np.nan])
    certificate = replace(result.certificate, target_price=target_price, floor_price=floor_price)
    return replace(result, certificate=certificate, upper_bound=float(bound))


def test_no_forged_certificate_is_accepted():
    rng, n_forged = np.random.default_rng(23), 0
    while n_forged < 10_000:
        n_rows, n_targets, n_cameras = int(rng.integers(3, 9)), int(rng.integers(1, 7)), int(rng.integers(1, 4))
        problem = SearchProblem(
            quality=rng.random((n_rows, n_targets)).astype(np.float32),
            weight=rng.random(n_targets) + 0.01,
            rows_by_camera=(np.arange(n_rows),) * n_cameras,
            floors=((np.arange(n_targets), float(0.3 * rng.random())),) if rng.random() < 0.5 else (),
            period_mask=rng.integers(1, 4, n_rows) if rng.random() < 0.5 else None,
        )
        result = search(problem)
        if result.status != "optimal":
            continue
        assert verify(problem, result).is_proven
        for _ in range(40):
            assert not verify(problem, forged(rng, result)).is_proven
            n_forged += 1
    assert not verify(problem, replace(result, value=result.value + 0.1)).is_proven


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from([1, 7, 63, 64, 65, 5000]))
def test_sums_stay_within_their_error(seed, n_targets):
    rng = np.random.default_rng(seed)
    quality, level = rng.random((5, n_targets)).astype(np.float32), rng.random(n_targets).astype(np.float32)
    weight = rng.random(n_targets) ** 8
    exact = exact_gains(quality, level, weight, np.arange(5))
    pairs = np.array([[0, 1], [3, 2], [4, 4]])
    joined = np.maximum(quality[pairs[:, 0]], quality[pairs[:, 1]])
    together = exact_gains(joined, level, weight, np.arange(3))
    for fine_values in (10**9, 0):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(kernel, "FINE_VALUES", fine_values)
            found, error = gains_within(quality, level, weight)
            assert np.abs(found - exact).max() <= error
            found, error = gains_of_sets(quality, level, weight, pairs)
            assert np.abs(found - together).max() <= error


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"weight": np.ones(3)}, "one for each target"),
        ({"weight": -np.ones(100)}, "at least 0"),
        ({"rows_by_camera": ()}, "no camera"),
        ({"rows_by_camera": (np.array([999]),)}, r"rows_by_camera\[0\]"),
        ({"xy_m": None, "separation_m": 5.0}, "needs the place of every row"),
        ({"clashes": NO_CLASHES}, "clashes.mark: 3 rows"),
        ({"clashes": NO_CLASHES, "xy_m": None}, "clashes need the place of every row"),
        ({"floors": ((np.arange(3), 1.5),)}, r"floors\[0\]: share 1.5"),
        ({"quality": np.ones(100, np.float32)}, "2 "),
    ],
)
def test_wrong_input_is_named(change, words):
    with pytest.raises(ValueError, match=words):
        search(replace(strip(50, 100, 6), **change))
