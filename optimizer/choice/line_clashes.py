"""Pairs of rows that the line of action keeps apart, in the form that the search obeys."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.optimizer.search import Clashes
from standmark.optimizer.value.outfit import Rows
from standmark.optimizer.value.targets import Targets
from standmark.optimizer.work.line_of_action import (
    MOSTLY,
    TAKES,
    End,
    line_of_action_rad,
    moment_ends,
    sides_of_line,
)

SAFE = 1e-4  # more than single precision adds to a share: a pair in doubt is kept apart
WORD = 64  # moments in a word of bits


def line_clashes(targets: Sequence[Targets], *, xyz_m: Floats, rows: Rows, quality: Singles) -> Clashes:
    """Mark which rows would take a moment from opposite sides of its line of action.

    Parameters
    ----------
    targets : one for each period; `quality` holds their columns side by side
    xyz_m : shape (n_positions, 3)
    quality : shape (n_rows, all targets)
    """
    xy_m, place = np.unique(xyz_m[:, :2], axis=0, return_inverse=True)
    ends, first = [], 0
    for columns in targets:
        ends += [(columns, end, first) for end in moment_ends(columns) if end.is_ruled]
        first += len(columns.weight)
    row_place = np.tile(place.ravel(), len(rows.outfits))
    n_words = max(1, -(-len(ends) // WORD))
    mark = np.zeros((len(quality), n_words), np.uint64)
    between = np.zeros((len(xy_m), len(xy_m), n_words), np.uint64)
    for index, (columns, end, start) in enumerate(ends):
        word, bit = index // WORD, np.uint64(1) << np.uint64(index % WORD)
        worth = (columns.weight[end.own] / columns.weight[end.own].sum()).astype(np.float32)
        takers = _takers(quality, end.own + start, worth)
        mark[takers, word] |= bit
        first_place, second_place = _opposite(xy_m, np.unique(row_place[takers]), columns, end, worth)
        between[first_place, second_place, word] |= bit
    return Clashes(mark, row_place, between)


def _takers(quality: Singles, own: Indices, worth: Singles) -> Indices:
    """Rows that capture enough of a moment to count as taking it."""
    return np.flatnonzero(quality[:, own] @ worth >= TAKES - SAFE)


def _opposite(xy_m: Floats, places: Indices, targets: Targets, end: End, worth: Singles) -> tuple[Indices, Indices]:
    """Pairs among some places that see most of a moment from opposite sides."""
    side = sides_of_line(xy_m[places], targets.xyz_m[end.own], line_of_action_rad(targets)[end.own])
    left_right = ((side > 0) * worth) @ (side < 0).astype(np.float32).T
    share = left_right + left_right.T
    first, second = np.nonzero(share > MOSTLY - SAFE)
    return places[first], places[second]
