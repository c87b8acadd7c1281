"""Sums over rows and sets, in numpy and compiled, against double precision throughout."""

import numpy as np
import pytest
from engines import in_both
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

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
