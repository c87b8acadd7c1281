"""What plans are worth with their second angles: coverage, and half of what two cameras get in clearly different views.

What a row shows (its direction and size at every target) is worked out when it first comes up, in single precision.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.geometry.compiled import kernel
from standmark.geometry.optics.camera import RecordingMode, subject_fraction
from standmark.optimizer.choice.line_clashes import line_clashes
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import Near, clash
from standmark.optimizer.search.kernel import NAME, gains
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.size import WantedSize, focal_in_use_mm, framed_extent_m, wanted_size
from standmark.optimizer.work.second_angle import LEAST_ANGLE_DEG, LEAST_RATIO

SECOND_WORTH = 0.5  # of one point of second angles, in points of coverage (common practice, no source)
BLOCK = 64  # rows at a time: what they need stays in a core's own cache
PAIRS = 128  # pairs at a time
MOST_AHEAD = 256  # rows for whose looks room is made ahead
ROUNDING = 1e-5  # more than single precision adds to a score
LEAST_COSINE = math.cos(math.radians(LEAST_ANGLE_DEG))
LEAST_OCTAVES = math.log2(LEAST_RATIO)


class AngleScore:
    """Scores of rows near the best; under `same_side` = "warn" crossing the line costs more than anything gains.

    Parameters
    ----------
    stage : whose places and tasks these are
    near : its rows that come into question, which are asked about
    """

    def __init__(self, match: Match, stage: Stage, near: Near) -> None:
        self.match, self.stage, self.rows = match, stage, near.rows
        self.quality = near.problem.quality
        self.weight = near.problem.weight.astype(np.float32)
        self.targets_m = np.vstack([t.xyz_m for t in stage.task.targets])
        self.subject_m = np.concatenate([t.subject_m for t in stage.task.targets])
        extent_m = np.vstack([t.extent_m for t in stage.task.targets])
        self.extent_m = framed_extent_m(extent_m, match.deliverable)
        self.clashes = near.problem.clashes  # under "forbid"; under "warn" as if it were
        if match.rules.same_side == "warn":
            at_m = stage.grid.candidates.xyz_m[near.rows % stage.grid.rows.n_positions]
            self.clashes = line_clashes(stage.task.targets, xy_m=at_m[:, :2], quality=self.quality)
        self.alone = gains(self.quality, np.zeros_like(self.weight), near.problem.weight)
        self.wanted: dict[RecordingMode, WantedSize] = {}
        self.kept = np.empty((0, 5, len(self.weight)), np.float32)  # unit vector x, y, z, log2 of the size, quality
        self.place = np.full(len(self.rows), -1, np.intp)  # of each row among those that are kept
        self.n_kept = 0

    def of(self, rows: Sequence[int]) -> float:
        """Score of one set of rows."""
        return float(self.beside(np.array(rows[-1:]), rows[:-1])[0])

    def beside(self, rows: Indices, others: Sequence[int]) -> Floats:
        """Score of the other rows with each of some rows, shape (n,)."""
        there = self._looks(np.array(others, dtype=np.intp))
        twice = self._twice(there)
        parts = [self._block(rows[i : i + BLOCK], there, twice) for i in range(0, len(rows), BLOCK)]
        return np.concatenate(parts) - self._fines(rows, others) if parts else np.empty(0)

    def best_beside(self, rows: Indices, others: Sequence[int], *, above: float) -> tuple[float, int]:
        """Best score over some rows beside the others and its row; (`above`, -1) where none is better than that.

        No row gets more from two views than it shares with the best of the others, so most need no closer look.
        """
        there = self._looks(np.array(others, dtype=np.intp))
        twice, best = self._twice(there), there[:, 4].max(axis=0)
        most = np.empty(len(rows))
        for first in range(0, len(rows), BLOCK):
            own = self.quality[rows[first : first + BLOCK]]
            level = SECOND_WORTH * np.maximum(np.minimum(own, best), twice)
            level += np.maximum(own, best)
            most[first : first + BLOCK] = np.vecdot(level, self.weight)
        most -= self._fines(rows, others)
        highest = above, -1
        order = np.argsort(-most, kind="stable")
        for first in range(0, len(order), BLOCK):
            some = np.sort(order[first : first + BLOCK][most[order[first : first + BLOCK]] + ROUNDING > highest[0]])
            if not len(some):
                break
            scores = self.beside(rows[some], others)
            if scores.max() > highest[0]:
                highest = float(scores.max()), int(rows[some[int(scores.argmax())]])
        return highest

    def of_pairs(self, pairs: Indices) -> Floats:
        """Score of pairs of rows, shape (n, 2), of which there may be many; shape (n,)."""
        parts = []
        for first in range(0, len(pairs), PAIRS):
            some = pairs[first : first + PAIRS]
            parts.append(np.vecdot(self._levels(some), self.weight).astype(np.float64))
        return (np.concatenate(parts) if parts else np.empty(0)) - self._pair_fines(pairs)

    def most_of_pairs(self, pairs: Indices, values: Floats) -> Floats:
        """Most that pairs of rows, shape (n, 2), can score that are worth no more than some values, shape (n,).

        Two views get no more than what both rows see: what the rows get alone, less what they get together.
        """
        shared = self.alone[pairs].sum(axis=1) - values
        return np.asarray(values + SECOND_WORTH * shared + ROUNDING - self._pair_fines(pairs))

    def crosses(self, rows: Sequence[int]) -> bool:
        """Does a set take some moment from opposite sides of its line of action."""
        return bool(self._crosses(np.array(rows[-1:]), rows[:-1])[0])

    def _levels(self, pairs: Indices) -> Singles:
        """What pairs of rows get at each target, and half of what both get in two views, shape (n, n_targets)."""
        compiled = kernel(NAME)
        if compiled is None:
            a, b = (self._looks(rows).transpose(1, 0, 2) for rows in pairs.T)
            level: Singles = SECOND_WORTH * _both(a, b)
            level += np.maximum(a[4], b[4])
            return level
        at = self._kept(pairs.ravel())
        level = np.empty((len(pairs), len(self.weight)), np.float32)
        limits = np.array([LEAST_COSINE, LEAST_OCTAVES, SECOND_WORTH], np.float32)
        compiled.pair_levels(level, self.kept, np.ascontiguousarray(at), limits)
        return level

    def _twice(self, looks: Singles) -> Singles:
        """What some rows get in two clearly different views."""
        twice = np.zeros(len(self.weight), np.float32)
        for i, j in combinations(range(len(looks)), 2):
            np.maximum(twice, _both(looks[i], looks[j]), out=twice)
        return twice

    def _block(self, rows: Indices, there: Singles, twice: Singles) -> Floats:
        here = self._looks(rows).transpose(1, 0, 2)
        level = np.repeat(twice[None], len(rows), axis=0)
        for other in there:
            np.maximum(level, _both(here, other[:, None]), out=level)
        level *= SECOND_WORTH
        level += np.maximum(here[4], there[:, 4].max(axis=0))
        return np.asarray(np.vecdot(level, self.weight), np.float64)

    def _fines(self, rows: Indices, others: Sequence[int]) -> Floats:
        """What is taken off for crossing the line of action, where that is warned of, shape (n,)."""
        return (
            self._crosses(rows, others).astype(float) if self.match.rules.same_side == "warn" else np.zeros(len(rows))
        )

    def _pair_fines(self, pairs: Indices) -> Floats:
        """The same for pairs of rows, shape (n, 2)."""
        if self.match.rules.same_side != "warn":
            return np.zeros(len(pairs))
        assert self.clashes is not None
        return clash(self.clashes, *pairs.T).astype(float)

    def _crosses(self, rows: Indices, others: Sequence[int]) -> Flags:
        """Is some moment taken from opposite sides, with each of some rows beside the others."""
        assert self.clashes is not None
        pairs = [(np.array([a]), np.array([b])) for a, b in combinations(others, 2)]
        pairs += [(rows, np.array([other])) for other in others]
        return np.asarray(np.any([np.broadcast_to(clash(self.clashes, *p), len(rows)) for p in pairs], axis=0))

    def _looks(self, rows: Indices) -> Singles:
        """Direction, size and quality of rows for every target, shape (n, 5, n_targets)."""
        at = self._kept(rows)
        return np.asarray(self.kept[at])

    def _kept(self, rows: Indices) -> Indices:
        """Where the looks of rows are kept, worked out where they are not yet, shape (n,)."""
        fresh = np.unique(rows[self.place[rows] < 0])
        kit, end = self.stage.grid.rows, self.n_kept + len(fresh)
        if end > len(self.kept):
            more = max(end - len(self.kept), min(end, MOST_AHEAD))
            self.kept = np.concatenate([self.kept, np.empty((more, *self.kept.shape[1:]), np.float32)])
        own, at = np.divmod(self.rows[fresh], kit.n_positions)
        for index in dict.fromkeys(own.tolist()):
            some = own == index
            looks = self._fresh_looks(self.stage.grid.candidates.xyz_m[at[some]], kit.outfits[index])
            looks[:, 4] = self.quality[fresh[some]]
            self.kept[self.n_kept : self.n_kept + len(looks)] = looks
            self.place[fresh[some]] = np.arange(self.n_kept, self.n_kept + len(looks))
            self.n_kept += len(looks)
        return np.asarray(self.place[rows])

    def _fresh_looks(self, xyz_m: Floats, outfit: Outfit) -> Singles:
        """Direction and size from some places with an outfit, room for quality left, shape (n, 5, n_targets)."""
        if outfit.mode not in self.wanted:
            self.wanted[outfit.mode] = wanted_size(
                self.subject_m, self.extent_m, mode=outfit.mode, deliverable=self.match.deliverable
            )
        looks = np.empty((len(xyz_m), 5, len(self.weight)), np.float32)
        looks[:, :3] = xyz_m[:, :, None] - self.targets_m.T
        distance_m = np.sqrt((looks[:, :3] ** 2).sum(axis=1))
        looks[:, :3] /= distance_m[:, None]
        focal_mm = focal_in_use_mm(distance_m, self.wanted[outfit.mode], outfit.lens)
        looks[:, 3] = np.log2(subject_fraction(self.subject_m, distance_m, focal_mm=focal_mm, mode=outfit.mode))
        return looks


def _both(first: Singles, second: Singles) -> Singles:
    """What two rows both get in clearly different views; the first axis holds direction, size and quality."""
    cosine = first[0] * second[0]
    cosine += first[1] * second[1]
    cosine += first[2] * second[2]
    differs: Flags = cosine <= LEAST_COSINE
    differs |= np.abs(first[3] - second[3]) >= LEAST_OCTAVES
    both: Singles = np.minimum(first[4], second[4])
    both *= differs
    return both
