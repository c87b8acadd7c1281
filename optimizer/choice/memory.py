"""What places are worth, kept from plan to plan by the content of all that it depends on.

A value depends on the place and the outfit, on the pictures asked for (targets without their weights), on what stands
in the way and the light, and on what the deliverable wants of a picture. It does not depend on what else is valued with
it, to the last bit, so a plan from kept values is the plan from nothing.
"""

from __future__ import annotations

import hashlib
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Generic, TypeVar, cast

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.optimizer.match.match import Deliverable
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.quality import Factors, Surroundings, quality_matrix, row_factors
from standmark.optimizer.value.targets import Targets

GRID_BYTES = 3 * 10**8  # of whole grids that are kept from plan to plan
SPOT_BYTES = 10**8  # of single spots
FACTOR_BYTES = 2 * 10**7  # of what makes up the value of a spot
MOST_NAMED = 256  # pictures, and as many outfits, whose numbers are kept
MOST_HELD = 32  # things asked about that are known again by identity: a third of a MB each in football

T = TypeVar("T")


class Stopped(Exception):
    """Work was given up because whoever asked for it no longer wants it."""


class OutOfTimeError(Exception):
    """The time limit ran out in the middle of something that is only whole or not at all."""


class Shelf(Generic[T]):
    """Things by key, up to a number of bytes; those not asked for the longest go first."""

    def __init__(self, most_bytes: float) -> None:
        self.most_bytes = most_bytes
        self.n_bytes = 0
        self._kept: OrderedDict[Hashable, tuple[T, int]] = OrderedDict()

    def get(self, key: Hashable) -> T | None:
        """Return what is kept under a key, None if nothing is."""
        if key not in self._kept:
            return None
        self._kept.move_to_end(key)
        return self._kept[key][0]

    def put(self, key: Hashable, thing: T, n_bytes: int) -> None:
        """Keep a thing in place of what the key had."""
        self.n_bytes += n_bytes - self._kept.pop(key, (None, 0))[1]
        self._kept[key] = thing, n_bytes
        while self.n_bytes > self.most_bytes:
            self.n_bytes -= self._kept.popitem(last=False)[1][1]

    def newest_first(self) -> list[tuple[Hashable, T]]:
        """List keys and things, the one asked for last at the front."""
        return [(key, thing) for key, (thing, _) in reversed(self._kept.items())]


class Numbers:
    """Numbers for things by their content, of which the last asked for are kept; no number is given twice."""

    def __init__(self, most: int) -> None:
        self._most, self._n_given = most, 0
        self._number: OrderedDict[Hashable, int] = OrderedDict()

    def of(self, thing: Hashable) -> int:
        """Return the number of a thing, a new one where it has none."""
        number = self._number.pop(thing, self._n_given)
        self._n_given += number == self._n_given
        self._number[thing] = number
        if len(self._number) > self._most:
            self._number.popitem(last=False)
        return number


@dataclass(frozen=True, eq=False)
class Sheet:
    """What each place of a grid is worth with each of some outfits for one picture."""

    xyz_m: Floats  # shape (n, 3)
    outfits: tuple[Outfit, ...]
    quality: Singles  # shape (n_outfits, n, n_targets)


class Memory:
    """Values of places, within a bounded number of bytes.

    Parameters
    ----------
    grid_bytes : of whole grids, kept for the next plan; 0 for a single plan, which holds its own
    stopped : asked at every checkpoint whether to give up
    """

    deadline: float = np.inf  # of `time.monotonic`: until when all of a plan is to be done

    def __init__(self, *, grid_bytes: float = 0, stopped: Callable[[], bool] = lambda: False) -> None:
        self.stopped = stopped
        self._sheets: Shelf[Sheet] = Shelf(grid_bytes)
        self._spots: Shelf[Singles] = Shelf(SPOT_BYTES)
        self._factors: Shelf[Factors] = Shelf(FACTOR_BYTES)
        self._pictures, self._outfits = Numbers(MOST_NAMED), Numbers(MOST_NAMED)
        self._steps: dict[str, tuple[object, object]] = {}
        self._asked: dict[tuple[int, int, int], tuple[object, int]] = {}  # by identity: content is slow to hash

    @property
    def n_bytes(self) -> int:
        """Bytes of all values that are kept."""
        return self._sheets.n_bytes + self._spots.n_bytes + self._factors.n_bytes

    def checkpoint(self) -> None:
        """Give up here if that was asked for.

        Raises
        ------
        Stopped
        """
        if self.stopped():
            raise Stopped

    def left_s(self) -> float | None:
        """Return the seconds until the deadline, at least a few thousandths; None for no limit."""
        return None if np.isinf(self.deadline) else max(self.deadline - time.monotonic(), 0.01)

    def in_time(self) -> None:
        """Go on only before the deadline.

        Raises
        ------
        OutOfTimeError
        """
        if time.monotonic() > self.deadline:
            raise OutOfTimeError

    def step(self, name: str, asked: object, work: Callable[[], T]) -> T:
        """Return what a step of the last plan gave where it asks the same again; else do the work.

        Where nothing is kept for a next plan, or the time is limited, the work is done.

        Parameters
        ----------
        asked : all that the work depends on
        """
        if not self._sheets.most_bytes or np.isfinite(self.deadline):
            return work()
        known = self._steps.get(name)
        if known is None or known[0] != asked:
            known = asked, work()
            self._steps[name] = known
        return cast(T, known[1])

    def grid(
        self, xyz_m: Floats, targets: Targets, outfits: tuple[Outfit, ...], *, wish: Deliverable, around: Surroundings
    ) -> Singles:
        """Quality of a whole grid with every outfit, shape (n_outfits, n, n_targets); not to be written to.

        Parameters
        ----------
        xyz_m : shape (n, 3)
        """
        self.checkpoint()
        xyz_m = xyz_m + 0.0  # no -0, which would be another key
        picture = self._picture(targets, around, wish)
        kept = self._sheets.get((picture, outfits))
        if kept is not None and np.array_equal(kept.xyz_m, xyz_m):
            return kept.quality
        quality, is_known = self._gathered(picture, xyz_m, outfits, len(targets.weight))
        quality = _completed(quality, is_known, xyz_m, targets, outfits, wish, around)
        if quality.nbytes <= self._sheets.most_bytes:
            self._sheets.put((picture, outfits), Sheet(xyz_m, outfits, quality), quality.nbytes)
        return quality

    def spots(
        self, xyz_m: Floats, targets: Targets, outfits: Sequence[Outfit], *, wish: Deliverable, around: Surroundings
    ) -> Singles:
        """Quality of single spots, which climbs pass again and again, shape (n_outfits, n, n_targets).

        Parameters
        ----------
        xyz_m : shape (n, 3)
        """
        self.checkpoint()
        xyz_m = xyz_m + 0.0
        picture, places = self._picture(targets, around, wish), [tuple(p) for p in xyz_m.tolist()]
        marks = [self._outfits.of(outfit) for outfit in outfits]  # an outfit is slow to hash
        known = [[self._spots.get((picture, mark, place)) for place in places] for mark in marks]
        is_known = np.array([[row is not None for row in rows] for rows in known]).reshape(len(outfits), len(places))
        quality = np.empty((*is_known.shape, len(targets.weight)), np.float32)
        for into, rows in zip(quality, known, strict=True):
            for i, row in enumerate(rows):
                if row is not None:
                    into[i] = row
        if is_known.all():
            return quality
        quality = _completed(quality, is_known, xyz_m, targets, outfits, wish, around)
        for o, n in zip(*np.nonzero(~is_known), strict=True):
            row = quality[o, n].copy()
            self._spots.put((picture, marks[int(o)], places[int(n)]), row, row.nbytes)
        return quality

    def factors(
        self, xyz_m: tuple[float, float, float], targets: Targets, outfit: Outfit, *, wish: Deliverable,
        around: Surroundings,
    ) -> Factors:  # fmt: skip
        """What makes up the value of one spot, as `row_factors` gives it."""
        key = self._picture(targets, around, wish), self._outfits.of(outfit), xyz_m
        known = self._factors.get(key)
        if known is None:
            known = row_factors(np.array(xyz_m), targets, outfit=outfit, deliverable=wish, around=around)
            self._factors.put(key, known, len(fields(Factors)) * known.size.nbytes)
        return known

    def _gathered(
        self, picture: int, xyz_m: Floats, outfits: tuple[Outfit, ...], n_targets: int
    ) -> tuple[Singles, Flags]:
        """What kept grids say of places and outfits, and of which they do."""
        quality = np.empty((len(outfits), len(xyz_m), n_targets), np.float32)
        is_known = np.zeros(quality.shape[:2], np.bool_)
        for key, sheet in self._sheets.newest_first():
            if isinstance(key, tuple) and key[0] == picture and not is_known.all():
                index = _places_among(sheet.xyz_m, xyz_m)
                for o, outfit in enumerate(outfits):
                    fresh = np.flatnonzero((index >= 0) & ~is_known[o])
                    if outfit in sheet.outfits and len(fresh):
                        quality[o, fresh] = sheet.quality[sheet.outfits.index(outfit), index[fresh]]
                        is_known[o, fresh] = True
        return quality, is_known

    def _picture(self, targets: Targets, around: Surroundings, wish: Deliverable) -> int:
        """Number of a picture: the same for the same content."""
        own = id(targets), id(around), id(wish)
        if own not in self._asked:
            number = self._pictures.of((_content(targets), around, _picture_wish(wish)))
            if len(self._asked) >= MOST_HELD:
                self._asked.clear()
            self._asked[own] = (targets, around, wish), number  # held, so that no other gets its id
        return self._asked[own][1]


def _content(targets: Targets) -> bytes:
    """Digest of all columns but the weights, which no picture depends on."""
    digest = hashlib.blake2b(digest_size=16)
    for field in fields(Targets):
        if field.name not in ("weight", "moment_keys"):
            digest.update(np.ascontiguousarray(getattr(targets, field.name)).tobytes())
    return digest.digest()


def _picture_wish(wish: Deliverable) -> Deliverable:
    """A deliverable without what only bears on weights and names."""
    return replace(wish, key="", name="", off_play_scale=1.0, evenness=0.0, min_fps=0.0)


def _places_among(known_m: Floats, wanted_m: Floats) -> Indices:
    """Index of each wanted place among the known ones, -1 where it is not, shape (n_wanted,)."""
    index = {tuple(place): i for i, place in enumerate(known_m.tolist())}
    return np.array([index.get(tuple(place), -1) for place in wanted_m.tolist()], dtype=np.intp)


def _completed(
    quality: Singles,
    is_known: Flags,
    xyz_m: Floats,
    targets: Targets,
    outfits: Sequence[Outfit],
    wish: Deliverable,
    around: Surroundings,
) -> Singles:
    """Work out what is not known yet."""
    places, own = np.flatnonzero(~is_known.all(axis=0)), np.flatnonzero(~is_known.all(axis=1))
    if not len(places):
        return quality
    rows = Rows(tuple(outfits[int(o)] for o in own), len(places), ())
    fresh = quality_matrix(xyz_m[places], targets, rows=rows, deliverable=wish, around=around)
    fresh = fresh.reshape(len(own), len(places), -1)
    if fresh.shape == quality.shape:
        return fresh
    quality[np.ix_(own, places)] = fresh
    return quality
