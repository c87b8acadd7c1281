"""How far off a fit to a walked track may be: the error of a phone drifts, by an amount and over a time unknown.

    error in each of the two directions: standard deviation s, correlation over a time t of (1 - w) exp(-t / T),
    w the share that is new with each point

Neither s nor T nor w can be read off one walk: what all its points are off by together does not show. So all that a
phone may do is tried, each weighed by how likely it makes the misses that are left (restricted likelihood: the fit's
own part taken out), and the uncertainty is the mean. A short walk thus rests on what phones do, a long one on itself.
"""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import cholesky, solve_triangular

Floats = NDArray[np.float64]
ERRORS_M = tuple(np.linspace(0.5, 6.0, 12))  # s of phones under open sky, any as likely; our assumption
DRIFTS_S = tuple(np.geomspace(5.0, 400.0, 9))  # T, any as likely; our assumption
NEW_SHARES = (0.001, 0.1)  # w: filtered as most phones do, or barely; our assumption
MOST_MISSES = 120  # of a track: more say nothing new about an error that drifts


def drift_correlation(times_s: ArrayLike, *, drift_s: float) -> Floats:
    """Correlation of errors that drift, exp(-|t - t'| / drift), shape (n, n): a first-order Gauss-Markov process."""
    times = np.asarray(times_s, float)
    return np.asarray(np.exp(-np.abs(times[:, None] - times[None, :]) / drift_s))


def drifting_covariance(left_m: Floats, slopes: Floats, times_s: Floats, *, counts: Floats) -> Floats:
    """Covariance of a robust fit to a track whose errors drift.

    Parameters
    ----------
    left_m : shape (n,), misses left by the fit
    slopes : shape (n, k), of the misses; the first two along the axes, which are the normal of the outline there
    times_s : shape (n,), of the points
    counts : shape (n,), how much each miss counts in the fit, 0 to 1
    """
    some = np.unique(np.linspace(0, len(left_m) - 1, min(MOST_MISSES, len(left_m))).astype(int))
    left, slopes, times, counts = left_m[some], slopes[some], times_s[some], counts[some]
    facing = slopes[:, :2] @ slopes[:, :2].T
    rank = np.linalg.matrix_rank(slopes)
    unmoved = np.linalg.svd(slopes)[0][:, rank:]  # directions of the misses that no placing makes
    seen = unmoved.T @ left
    pull = np.linalg.pinv(slopes.T * counts @ slopes) @ slopes.T * counts
    variances = np.square(ERRORS_M)
    logs, means = [], []
    for drift_s, share in product(DRIFTS_S, NEW_SHARES):
        alike = ((1.0 - share) * drift_correlation(times, drift_s=drift_s) + share * np.eye(len(times))) * facing
        root = cholesky(unmoved.T @ alike @ unmoved + 1e-9 * np.eye(len(seen)), lower=True)
        white = solve_triangular(root, seen, lower=True)
        logs.append(
            -np.log(np.diag(root)).sum() - 0.5 * len(seen) * np.log(variances) - 0.5 * (white @ white) / variances
        )
        means.append(pull @ alike @ pull.T)
    weights = np.exp(np.array(logs) - np.max(logs))
    scale = (weights @ variances) / weights.sum()
    return np.asarray(np.tensordot(scale, np.array(means), axes=1))
