"""What rows share: bounds from below, and sets listed with it against all sets."""

from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.optimizer.search import overlap
from standmark.optimizer.search.listing import rows_beyond_overlap, sets_beyond_overlap
from standmark.optimizer.search.overlap import most_shared_on_a_tree, shared_at_least
from standmark.optimizer.search.slot import Domain, Slot


def scene(seed, n_rows=12, n_targets=70):
    """Quality, prices and weights."""
    rng = np.random.default_rng(seed)
    quality = (rng.random((n_rows, n_targets)) * rng.integers(0, 2, (n_rows, n_targets))).astype(np.float32)
    return quality, (rng.random(n_targets) * 0.6).astype(np.float32), rng.random(n_targets)


def shared_exactly(quality, price, weight):
    above = np.maximum(quality.astype(float) - price, 0)
    return np.minimum(above[:, None], above[None]) @ weight


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from([2_000, 10**9]), st.sampled_from([0, 10**9]))
def test_what_rows_share_is_never_overstated(seed, most_products, one_thread):
    quality, price, weight = scene(seed)
    rows = np.arange(1, len(quality))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(overlap, "MOST_PRODUCTS", most_products)
        patch.setattr(overlap, "ONE_THREAD_PRODUCTS", one_thread)
        shared = shared_at_least(quality, price, weight, rows)
    exact = shared_exactly(quality, price, weight)[1:, 1:]
    assert (shared <= exact * (1 + 1e-9) + 1e-12).all()
    assert (shared == shared.T).all()
    if most_products > 2_000:
        above = np.maximum(quality[rows].astype(float) - price, 0)
        most = above.max(axis=0)
        by_product = (above * np.divide(weight, most, out=np.zeros_like(weight), where=most > 0)) @ above.T
        assert shared == pytest.approx(by_product, rel=1e-4, abs=1e-7)


def test_rows_that_see_the_same_share_all_of_it():
    quality, price, weight = scene(3, n_rows=1)
    shared = shared_at_least(np.repeat(quality, 2, axis=0), price, weight, np.arange(2))
    assert shared[0, 1] == pytest.approx(np.maximum(quality[0].astype(float) - price, 0) @ weight, rel=1e-4)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
def test_the_tree_shares_most_of_all_trees(seed, n_members):
    rng = np.random.default_rng(seed)
    shared = rng.random((8, 8)).astype(np.float32)
    shared = np.minimum(shared, shared.T)
    sets = np.array([rng.permutation(8)[:n_members] for _ in range(5)])
    for members, found in zip(sets, most_shared_on_a_tree(shared, sets), strict=True):
        edges = list(combinations(members, 2))
        trees = [tree for tree in combinations(edges, n_members - 1) if is_tree(tree, members)]
        assert found == pytest.approx(max(sum(float(shared[edge]) for edge in tree) for tree in trees))


def is_tree(edges, members):
    reached, grown = {members[0]}, True
    while grown:
        more = {b for pair in edges for a, b in (pair, pair[::-1]) if a in reached} - reached
        reached, grown = reached | more, bool(more)
    return reached == set(members)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from([(2,), (3,), (4,), (1, 1), (1, 2), (2, 2), (1, 1, 1)]))
def test_no_set_above_the_goal_is_left_out(seed, counts):
    quality, price, weight = scene(seed)
    rng = np.random.default_rng(seed)
    rows = np.arange(len(quality))
    slots = tuple(
        Slot(np.sort(rng.permutation(rows)[: rng.integers(count, 9)]), count, kind) for kind, count in enumerate(counts)
    )
    added = np.maximum(quality.astype(float) - price, 0) @ weight
    rho = tuple(added[slot.rows] for slot in slots)
    shared = shared_at_least(quality, price, weight, rows)
    every = [sum(way, ()) for way in product(*(combinations(slot.rows.tolist(), slot.count) for slot in slots))]
    level = float(weight @ price)
    worth = np.array([weight @ np.maximum(quality[list(rows)].max(axis=0), price) for rows in every])
    least = float(np.quantile(worth, rng.random())) - level
    wanted = {rows for rows, value in zip(every, worth, strict=True) if value - level > least * (1 + 1e-9)}
    few, few_rho = rows_beyond_overlap(Domain(slots, (sum(counts),)), rho, shared, least=least)
    if few.is_empty:
        assert not wanted
        return
    found = sets_beyond_overlap(few, few_rho, shared, least=least, most_sets=10**6)
    ends = np.cumsum(counts)
    parts = [np.sort(found[:, end - count : end], axis=1) for count, end in zip(counts, ends, strict=True)]
    listed = {tuple(members) for members in np.concatenate(parts, axis=1).tolist()}
    assert len(listed) == len(found)
    assert wanted <= listed
    along_a_tree = {rows for rows in every if added[list(rows)].sum() - tree_of(shared, rows) > least + 1e-9}
    assert along_a_tree <= listed
    assert listed <= {rows for rows in every if added[list(rows)].sum() - tree_of(shared, rows) > least - 1e-9}


def tree_of(shared, rows):
    return float(most_shared_on_a_tree(shared, np.array([rows]))[0])


def test_too_many_sets_are_not_listed():
    quality, price, weight = scene(1)
    rows = np.arange(len(quality))
    rho = np.maximum(quality.astype(float) - price, 0) @ weight
    shared = shared_at_least(quality, price, weight, rows)
    assert sets_beyond_overlap(Domain((Slot(rows, 3, 0),), (3,)), (rho,), shared, least=-1.0, most_sets=20) is None
