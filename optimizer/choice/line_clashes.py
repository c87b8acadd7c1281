"""Pairs of rows that the line of action keeps apart, in the form that the search obeys."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Singles
from standmark.optimizer.search import Clashes
from standmark.optimizer.search.kernel import products
from standmark.optimizer.value.targets import Targets
from standmark.optimizer.work.line_of_action import (
    MOSTLY,
    TAKES,
    End,
    line_of_action_rad,
    moment_ends,
    sides_of_line,
)

# clashing(places (n, 3), quality (n_outfits, n, t)) -> (n_outfits, n)
Clash = Callable[[Floats, Singles], Flags]
SAFE = 1e-4  # more than single precision adds to a share: a pair in doubt is kept apart
WORD = 64  # moments in a word of bits
AT_ONCE = 64  # places held against these and those after them at a time


def line_clashes(targets: Sequence[Targets], *, xy_m: Floats, quality: Singles) -> Clashes:
    """Mark which rows would take a moment from opposite sides of its line of action.

    Parameters
    ----------
    targets : one for each period; `quality` holds their columns side by side
    xy_m : shape (n_rows, 2), place of each row
    quality : shape (n_rows, all targets)
    """
    places, row_place = np.unique(xy_m[:, 0] + 1j * xy_m[:, 1], return_inverse=True)
    xy_m = np.column_stack([places.real, places.imag])
    ends = _ruled_ends(targets)
    n_words = max(1, -(-len(ends) // WORD))
    mark = np.zeros((len(quality), n_words), np.uint64)
    between = np.zeros((len(xy_m), len(xy_m), n_words), np.uint64)
    is_taken = products(quality, _all_shares(targets, ends)) >= TAKES - SAFE
    for index, (columns, end, _) in enumerate(ends):
        word, bit = index // WORD, np.uint64(1) << np.uint64(index % WORD)
        mark[is_taken[:, index], word] |= bit
        is_taken_from = np.bincount(row_place[is_taken[:, index]], minlength=len(xy_m)) > 0
        for own, rest, is_opposite in _opposite(xy_m, is_taken_from, columns, end):
            between[own, rest, word] |= bit * is_opposite
            between[rest, own, word] |= bit * is_opposite.T
    return Clashes(mark, row_place, between)


def clash_beside(targets: Sequence[Targets], *, others_m: Floats, others_quality: Singles) -> Clash:
    """Ready the question where a camera would take a moment from the opposite side of some other camera.

    Parameters
    ----------
    others_m : shape (m, 3)
    others_quality : shape (m, all targets)

    Returns
    -------
    takes places of shape (n, 3) and their quality of shape (n_outfits, n, all targets), gives shape (n_outfits, n)
    """
    ends = _ruled_ends(targets)
    share = _all_shares(targets, ends)
    at_m = np.vstack([t.xyz_m for t in targets])
    line_rad = np.concatenate([line_of_action_rad(t) for t in targets])
    theirs = products(others_quality, share) >= TAKES - SAFE
    there = sides_of_line(others_m, at_m, line_rad)

    def clashing(xyz_m: Floats, quality: Singles) -> Flags:
        here = sides_of_line(xyz_m, at_m, line_rad)
        opposite = (here[:, None] * there < 0).astype(np.float32).reshape(-1, share.shape[1])
        crossed = (products(opposite, share).reshape(len(here), len(there), -1) > MOSTLY - SAFE) & theirs
        takes = products(quality.reshape(-1, share.shape[1]), share).reshape(*quality.shape[:2], -1) >= TAKES - SAFE
        return np.asarray((crossed.any(axis=1) & takes).any(axis=-1))

    return clashing


def _ruled_ends(targets: Sequence[Targets]) -> list[tuple[Targets, End, int]]:
    """Moments that the rule asks about, each with its period's targets and the first column of these."""
    ends, first = [], 0
    for columns in targets:
        ends += [(columns, end, first) for end in moment_ends(columns) if end.is_ruled]
        first += len(columns.weight)
    return ends


def _shares(targets: Targets, end: End) -> Singles:
    return np.asarray((targets.weight[end.own] / targets.weight[end.own].sum()).astype(np.float32))


def _all_shares(targets: Sequence[Targets], ends: Sequence[tuple[Targets, End, int]]) -> Singles:
    """Share of each moment that each target is, shape (n_ends, all targets)."""
    share = np.zeros((len(ends), sum(len(t.weight) for t in targets)), np.float32)
    for own, (columns, end, start) in zip(share, ends, strict=True):
        own[end.own + start] = _shares(columns, end)
    return share


def _opposite(xy_m: Floats, is_taken_from: Flags, targets: Targets, end: End) -> Iterator[tuple[slice, slice, Flags]]:
    """Pairs of places from which a moment is taken that see most of it from opposite sides, some places at a time.

    Yields
    ------
    some places, these and all after them, which pairs of the two; each pair comes once
    """
    side = sides_of_line(xy_m, targets.xyz_m[end.own], line_of_action_rad(targets)[end.own])
    left, right = ((is_so & is_taken_from[:, None]).astype(np.float32) for is_so in (side > 0, side < 0))
    worth = _shares(targets, end)
    weighed, across = np.hstack([left * worth, right * worth]), np.hstack([right, left])
    for start in range(0, len(xy_m), AT_ONCE):
        own, rest = slice(start, start + AT_ONCE), slice(start, None)
        yield own, rest, products(weighed[own], across[rest]) > MOSTLY - SAFE
