"""The joint choice against trying every combination."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.optimizer.standard.joint_choice import Choices, choose_jointly


def brute_force(choices, separation_m):
    best = None
    for rows in product(*[[*range(len(c.cost)), None] for c in choices]):
        places = [c.xy_m[r] for c, r in zip(choices, rows, strict=True) if r is not None]
        gaps = [np.hypot(*(a - b)) for i, a in enumerate(places) for b in places[:i]]
        if any(gap < separation_m - 1e-9 for gap in gaps):
            continue
        costs = [c.without if r is None else tuple(c.cost[r]) for c, r in zip(choices, rows, strict=True)]
        total = (sum(c[0] for c in costs), sum(c[1] for c in costs))
        if best is None or total < best:
            best = total
    return best


def total_cost(choices, rows):
    costs = [c.without if r is None else tuple(c.cost[r]) for c, r in zip(choices, rows, strict=True)]
    return sum(c[0] for c in costs), sum(c[1] for c in costs)


def table(entries, without):
    entries = sorted(entries, key=lambda e: (e[0], e[1]))
    cost = np.array([[float(a), float(b)] for a, b, _ in entries]).reshape(-1, 2)
    return Choices(cost, np.array([[float(x), 0.0] for _, _, x in entries]).reshape(-1, 2), without)


entry = st.tuples(st.integers(0, 6), st.integers(0, 3), st.integers(0, 5))
position = st.builds(table, st.lists(entry, max_size=4), st.sampled_from([(1000.0, 0.0), (5.0, 0.0)]))


@settings(max_examples=150, deadline=None)
@given(st.lists(position, min_size=1, max_size=4), st.integers(0, 3))
def test_least_cost_of_all_combinations(choices, separation_m):
    found = choose_jointly(choices, separation_m=separation_m)
    assert found.is_exact
    assert total_cost(choices, found.rows) == pytest.approx(brute_force(choices, separation_m))
    places = [c.xy_m[r, 0] for c, r in zip(choices, found.rows, strict=True) if r is not None]
    assert all(abs(a - b) >= separation_m for i, a in enumerate(places) for b in places[:i])


def test_stopped_early_says_so():
    rng = np.random.default_rng(3)
    crowded = [
        Choices(np.sort(rng.random((60, 2)), axis=0), rng.random((60, 2)) * 4, (1e6, 0.0)) for _ in range(8)
    ]  # fmt: skip
    assert not choose_jointly(crowded, separation_m=3.0, most_nodes=200).is_exact
