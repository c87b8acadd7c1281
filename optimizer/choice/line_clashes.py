"""Pairs of rows that the line of action keeps apart, in the form that the search obeys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.optimizer.search import Clashes, opposed
from standmark.optimizer.value.targets import Targets
from standmark.optimizer.work.line_of_action import MOSTLY, TAKES, line_of_action_rad, moment_ends, sides_of_line

# clashing(places (n, 3), quality (n_outfits, n, t)) -> (n_outfits, n)
Clash = Callable[[Floats, Singles], Flags]
SAFE = 1e-4  # more than single precision adds to a share: a pair in doubt is kept apart
WHOLE = 2**23  # shares are whole multiples of one in so many, rounded up: sums are exact, in single precision too
MOST = int((MOSTLY - SAFE) * WHOLE)
ROWS = 64  # rows at a time


@dataclass(frozen=True, eq=False)
class _Asked:
    """Targets of all moments that the rule asks about, those of a moment side by side."""

    column: Indices  # shape (n,), of each among all targets
    ends: Indices  # shape (n_moments + 1,), where the targets of each moment begin, and where the last ones end
    share: NDArray[np.int32]  # shape (n,), of its moment, times WHOLE
    at_m: Floats  # shape (n, 2)
    line_rad: Floats  # shape (n,)

    def sides(self, xy_m: Floats) -> NDArray[np.int8]:
        """Side of each line on which places lie: 1 left of it, 2 right, 0 near it, shape (n_places, n)."""
        sides = np.empty((len(xy_m), len(self.at_m)), np.int8)
        for start in range(0, len(xy_m), ROWS):
            sides[start : start + ROWS] = sides_of_line(xy_m[start : start + ROWS], self.at_m, self.line_rad)
        sides[sides < 0] = 2
        return sides

    def taken(self, quality: Singles) -> Flags:
        """Which moments rows take, shape (n_rows, n_moments)."""
        is_taken = np.zeros((len(quality), len(self.ends) - 1), np.bool_)
        weight = self.share.astype(np.float32) / WHOLE
        for start in range(0, len(quality) if len(weight) else 0, ROWS):
            worth = quality[start : start + ROWS, self.column] * weight
            is_taken[start : start + ROWS] = np.add.reduceat(worth, self.ends[:-1], axis=1) >= TAKES - SAFE
        return is_taken


def line_clashes(
    targets: Sequence[Targets],
    *,
    xy_m: Floats,
    quality: Singles,
    is_fresh: Flags | None = None,
    known: Clashes | None = None,
) -> Clashes:
    """Mark which rows would take a moment from opposite sides of its line of action.

    Parameters
    ----------
    targets : all of a stage; `quality` holds their columns side by side
    xy_m : shape (n_rows, 2), place of each row
    quality : shape (n_rows, all targets)
    is_fresh : shape (n_rows,), rows that `known` lacks; None for all
    known : of the same targets and some of the rows, in their order; its places are the first to come up in `xy_m`
    """
    _, first, row_place = np.unique(xy_m[:, 0] + 1j * xy_m[:, 1], return_index=True, return_inverse=True)
    order = np.argsort(first)
    places_m, row_place = xy_m[first[order]], np.argsort(order)[row_place]
    asked = _asked(targets)
    if known is None or is_fresh is None:
        mark = _bits(asked.taken(quality))
    else:
        mark = np.empty((len(quality), known.mark.shape[1]), np.uint64)
        mark[~is_fresh], mark[is_fresh] = known.mark, _bits(asked.taken(quality[is_fresh]))
    between = opposed(
        asked.sides(places_m), asked.share, asked.ends, above=MOST, known=None if known is None else known.between
    )
    return Clashes(mark, row_place, between)


def _bits(flags: Flags) -> NDArray[np.uint64]:
    """Pack the flags of each row into words."""
    packed = np.zeros((len(flags), 8 * max(1, -(-flags.shape[1] // 64))), np.uint8)
    packed[:, : -(-flags.shape[1] // 8)] = np.packbits(flags, axis=1, bitorder="little")
    return packed.view("<u8")


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
    asked = _asked(targets)
    theirs, there = asked.taken(others_quality), asked.sides(others_m)

    def clashing(xyz_m: Floats, quality: Singles) -> Flags:
        if not len(asked.share):
            return np.zeros(quality.shape[:2], np.bool_)
        opposite = ((asked.sides(xyz_m)[:, None] | there) == 3) * asked.share
        crossed = (np.add.reduceat(opposite, asked.ends[:-1], axis=2) > MOST) & theirs
        takes = asked.taken(quality.reshape(-1, quality.shape[2])).reshape(*quality.shape[:2], -1)
        return np.asarray((crossed.any(axis=1) & takes).any(axis=-1))

    return clashing


def _asked(targets: Sequence[Targets]) -> _Asked:
    columns, shares, first = [], [], 0
    for own in targets:
        for end in moment_ends(own):
            if end.is_ruled:
                columns.append(end.own + first)
                shares.append(np.ceil(own.weight[end.own] / own.weight[end.own].sum() * WHOLE))
        first += len(own.weight)
    column = np.concatenate([np.zeros(0, np.intp), *columns])
    at_m, line_rad = np.vstack([t.xyz_m for t in targets]), np.concatenate([line_of_action_rad(t) for t in targets])
    return _Asked(
        column,
        np.cumsum([0, *map(len, columns)]),
        np.concatenate([np.zeros(0), *shares]).astype(np.int32),
        at_m[column, :2],
        line_rad[column],
    )
