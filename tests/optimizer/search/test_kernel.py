"""Sums over rows and sets, in numpy and compiled, against double precision throughout."""

from itertools import pairwise

import numpy as np
import pytest
from engines import in_both
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standmark.optimizer.search import opposed
from standmark.optimizer.search.descent import DEFLECTION, turned
from standmark.optimizer.search.kernel import exact_gains, gains_of_sets, gains_within


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 2**32 - 1), st.sampled_from([1, 63, 64, 200, 2000]), st.integers(1, 4))
def test_both_engines_are_within_the_error_they_state(monkeypatch, seed, n_targets, n_members):
    rng = np.random.default_rng(seed)
    quality = rng.random((30, n_targets), np.float32) ** 3
    level = (rng.random(n_targets) * rng.choice([0.0, 1.0])).astype(np.float32)
    weight, rows = rng.random(n_targets), rng.integers(0, 30, 50)
    sets = rng.integers(0, 30, (50, n_members))
    best = quality[sets].max(axis=1)
    for of_all, of_rows, of_sets in in_both(
        lambda: (
            gains_within(quality, level, weight),
            gains_within(quality, level, weight, rows),
            gains_of_sets(quality, level, weight, sets),
        ),
        monkeypatch,
    ):
        for (told, error), right in (
            (of_all, exact_gains(quality, level, weight, np.arange(30))),
            (of_rows, exact_gains(quality, level, weight, rows)),
            (of_sets, exact_gains(best, level, weight, np.arange(50))),
        ):
            assert np.abs(told - right).max() <= error
            assert error <= 1e-5 * right.max()


@pytest.mark.parametrize("n_targets", [1, 63, 64, 200])
def test_both_engines_turn_a_direction_alike(monkeypatch, n_targets):
    rng = np.random.default_rng(n_targets)
    quality = rng.integers(0, 4, (9, n_targets)).astype(np.float32) / 3
    before, prices = (rng.choice(quality.ravel(), n_targets) for _ in range(2))
    weight, picked = rng.random(n_targets, np.float32), np.array([0, 4, 8])
    wanted = DEFLECTION * before + 1 - (quality[picked] > prices).sum(axis=0)

    def turn():
        drift = before.copy()
        return turned(drift, quality, picked, prices=prices, weight=weight), drift

    for square, drift in in_both(turn, monkeypatch):
        assert square == pytest.approx(float(weight @ wanted**2), rel=1e-5)
        np.testing.assert_allclose(drift, wanted, atol=1e-6)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 2**32 - 1), st.sampled_from([(), (1,), (3, 40, 17), (2,) * 70]), st.integers(0, 12))
def test_both_engines_see_the_same_places_on_opposite_sides(monkeypatch, seed, sizes, n_known):
    rng, ends = np.random.default_rng(seed), np.cumsum([0, *sizes])
    side = rng.choice(3, (12, sum(sizes)), p=rng.dirichlet([1, 1, 1])).astype(np.int8)
    share = rng.integers(1, 9, sum(sizes)).astype(np.int32)
    above = int(rng.integers(0, 40))
    wanted = np.zeros((12, 12, max(1, -(-len(sizes) // 64))), np.uint64)
    for index, (start, stop) in enumerate(pairwise(ends)):
        is_opposite = (side[:, None, start:stop] + side[None, :, start:stop] == 3) & (side[None, :, start:stop] % 3 > 0)
        is_opposite &= side[:, None, start:stop] > 0
        worth = (is_opposite * share[start:stop]).sum(axis=2)
        wanted[:, :, index // 64] |= (worth > above).astype(np.uint64) << np.uint64(index % 64)
    for found in in_both(lambda: opposed(side, share, ends, above=above), monkeypatch):
        assert (found == wanted).all()
        known = opposed(side, share, ends, above=above, known=found[:n_known, :n_known])
        assert (known == wanted).all()


def test_the_kernel_refuses_what_does_not_fit():
    from standmark.optimizer.search import search_kernel

    out, quality, level = np.empty(2), np.ones((3, 4), np.float32), np.zeros(4, np.float32)
    assert search_kernel.gains(out, quality, level, level, np.array([0, 2])) == 2
    for rows in ([0, 3], [-1, 0], [0]):
        with pytest.raises(ValueError, match="do not fit"):
            search_kernel.gains(out, quality, level, level, np.array(rows))
    with pytest.raises(ValueError, match="do not fit"):
        search_kernel.gains(out, quality[:, :3].copy(), level, level, np.array([0, 2]))
    square, drift, kept = np.empty(1), np.zeros(4, np.float32), np.ones(1, np.float32)
    assert search_kernel.turned(square, drift, quality, level, level, np.array([0, 2]), kept) == 2
    for rows in ([0, 3], [-1, 0]):
        with pytest.raises(ValueError, match="do not fit"):
            search_kernel.turned(square, drift, quality, level, level, np.array(rows), kept)
    with pytest.raises(ValueError, match="do not fit"):
        search_kernel.turned(square, drift[:3].copy(), quality, level, level, np.array([0, 2]), kept)
    levels, looks, limits = np.empty((1, 4), np.float32), np.ones((3, 5, 4), np.float32), np.zeros(3, np.float32)
    assert search_kernel.pair_levels(levels, looks, np.array([[0, 2]]), limits) == 1
    for wrong in (
        (levels, looks, np.array([[0, 3]]), limits),
        (levels, looks[:, :4].copy(), np.array([[0, 2]]), limits),
    ):
        with pytest.raises(ValueError, match="do not fit"):
            search_kernel.pair_levels(*wrong)
    between, side, share = np.zeros((2, 2, 1), np.uint64), np.ones((2, 4), np.int8), np.ones(4, np.int32)
    sums, whole = np.zeros((2, 1, 2), np.int32), np.full(1, 4, np.int32)
    assert search_kernel.opposed(between, side, share, np.array([0, 4]), sums, whole, np.array([0, 2, 2])) == 2
    for ends, span in (([0, 5], [0, 2, 2]), ([4, 4], [0, 3, 2]), ([0, 4], [-1, 2, 2]), ([5, 4], [0, 2, 2])):
        with pytest.raises(ValueError, match="do not fit"):
            search_kernel.opposed(between, side, share, np.array(ends), sums, whole, np.array(span))
