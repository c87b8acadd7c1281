"""Counts of moves between wide zones, told for narrower ones."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SPREAD_ZONES = 1.0  # of the first guess of how far play moves
MOST_ROUNDS = 2000
SETTLED = 1e-10


def split_moves(counts: Floats, *, parts: int) -> Floats:
    """Chances of moves between parts of zones, from counts of moves between whole zones.

    All parts of a zone are taken to share one distribution of moves, in whole parts; it is the likeliest one for
    the row of counts (expectation and maximisation from a smooth guess: Dempster, Laird and Rubin 1977). So a play
    at the front of a zone leaves it more often than one at its back.

    Parameters
    ----------
    counts : shape (n, n + 1): from each zone to each zone, and in the last column past the last one

    Returns
    -------
    shape (n * parts, n * parts + 1), rows sum to 1; the mean of the rows of a zone fits its counts
    """
    n = len(counts)
    last = n * parts
    moves = np.arange(-last, last + 1)
    split = np.zeros((last, last + 1))
    for zone, row in enumerate(counts):
        ends = np.clip(zone * parts + np.arange(parts)[:, None] + moves[None], 0, last)
        zones = np.minimum(ends // parts, n)  # shape (parts, n_moves): the wide zone each move leads to
        guess = np.exp(-np.abs(moves) / (SPREAD_ZONES * parts))
        share = _likeliest(row / row.sum(), zones, guess / guess.sum())
        for part in range(parts):
            np.add.at(split[zone * parts + part], ends[part], share)
    return np.asarray(split / split.sum(axis=1, keepdims=True))


def _likeliest(row: Floats, zones: NDArray[np.intp], share: Floats) -> Floats:
    leads = np.zeros((len(row), len(share)))  # chance of each wide zone for each move, over the parts
    for part in zones:
        leads[part, np.arange(len(share))] += 1 / len(zones)
    for _ in range(MOST_ROUNDS):
        told = leads @ share
        next_share = share * (leads.T @ np.divide(row, told, out=np.zeros_like(row), where=told > 0))
        next_share /= next_share.sum()
        if np.abs(next_share - share).sum() < SETTLED:
            break
        share = next_share
    return share
