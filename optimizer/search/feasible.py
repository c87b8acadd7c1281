"""Can the limits be kept at all: separation, caps and clashes asked apart from what the rows see.

Rows with the same standing under caps, clashes and kinds of cameras form classes; a class is cut into ever smaller
discs. A tuple of discs, one for each camera, is dropped when two of them are nearer than the separation, or clash,
throughout, and is an answer when its discs' own middles stand apart.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, combinations_with_replacement, product

import numpy as np

from standmark.geometry.arrays import Flags
from standmark.optimizer.search.clash import clash_with_all
from standmark.optimizer.search.limits import allowed_sets, within_caps
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.slot import Domain


@dataclass(frozen=True, eq=False)
class Disc:
    """Rows of one class round a middle."""

    rows: Rows  # the first is the one nearest to the middle
    xy_m: tuple[float, float]
    radius_m: float


def some_set(model: Model, domain: Domain) -> tuple[tuple[int, int], ...] | None:
    """Find any set that keeps every limit but the floors; None is a proof that there is none.

    Parameters
    ----------
    domain : what is open to the cameras

    Returns
    -------
    kind and row of each camera
    """
    slots = domain.slots
    kinds = [slot.kind for slot in slots for _ in range(slot.count)]
    by_slot = [_discs_of(model, within_caps(model, model.caps, slot.rows)) for slot in slots]
    heap: list[tuple[float, int, tuple[Disc, ...]]] = []
    n_pushed = 0

    def push(discs: tuple[Disc, ...]) -> None:
        nonlocal n_pushed
        slack = _slack_m(model, discs)
        if slack >= 0 and not _clash_throughout(model, discs):
            heapq.heappush(heap, (-slack, n_pushed, discs))
            n_pushed += 1

    tuples = product(
        *(combinations_with_replacement(discs, slot.count) for discs, slot in zip(by_slot, slots, strict=True))
    )
    for parts in tuples:
        discs = tuple(disc for part in parts for disc in part)
        if _keeps_caps(model, discs):
            push(discs)
    while heap:
        discs = heapq.heappop(heap)[2]
        rows = _members(model, discs)
        if rows is not None:
            return tuple(zip(kinds, rows, strict=True))
        for children in _cut(model, discs):
            push(children)
    return None


def _discs_of(model: Model, rows: Rows) -> list[Disc]:
    """One disc for each class of rows; where cameras have to stand apart, one row at each place is enough."""
    traits = np.column_stack([model.groups, model.present])[rows]
    if model.clashes is not None:
        traits = np.column_stack([traits, model.clashes.mark[rows].view(np.int64)])
    _classes, which = np.unique(traits, axis=0, return_inverse=True)
    by_class = [rows[which == index] for index in range(len(_classes))]
    if model.separation_m > 0:
        assert model.xy_m is not None
        by_class = [own[np.sort(np.unique(model.xy_m[own], axis=0, return_index=True)[1])] for own in by_class]
    return [_disc(model, own) for own in by_class]


def _disc(model: Model, rows: Rows) -> Disc:
    if model.xy_m is None:
        return Disc(rows, (0.0, 0.0), 0.0)
    xy_m = model.xy_m[rows]
    middle = (xy_m.min(axis=0) + xy_m.max(axis=0)) / 2
    distance = np.hypot(*(xy_m - middle).T)
    nearest = int(distance.argmin())
    order = np.concatenate([[nearest], np.delete(np.arange(rows.size), nearest)])
    return Disc(rows[order], (float(middle[0]), float(middle[1])), float(distance.max()))


def _slack_m(model: Model, discs: tuple[Disc, ...]) -> float:
    """How much farther than the separation the closest two discs can stand at most; below 0 they cannot."""
    slack = np.inf
    for i, a in enumerate(discs):
        for b in discs[:i]:
            if model.xy_m is not None and _meet(model, a, b):
                apart = float(np.hypot(a.xy_m[0] - b.xy_m[0], a.xy_m[1] - b.xy_m[1])) if a is not b else 0.0
                slack = min(slack, apart + a.radius_m + b.radius_m - model.separation_m + 1e-9)
    return slack


def _clash_throughout(model: Model, discs: tuple[Disc, ...]) -> bool:
    """Whether every row of some disc clashes with every row of another."""
    if model.clashes is None:
        return False
    pairs = combinations(discs, 2)
    return any(bool(clash_with_all(model.clashes, a.rows, b.rows).all()) for a, b in pairs)


def _meet(model: Model, a: Disc, b: Disc) -> bool:
    return bool((model.present[a.rows[0]] & model.present[b.rows[0]]).any())


def _keeps_caps(model: Model, discs: tuple[Disc, ...]) -> bool:
    groups = np.array([model.groups[disc.rows[0]] for disc in discs])
    return all((groups == group).sum() <= cap for group, cap in enumerate(model.caps[1:], start=1))


def _members(model: Model, discs: tuple[Disc, ...]) -> tuple[int, ...] | None:
    """One row of each disc that keeps every limit, among the first few of each; exact where discs have no extent.

    Caps hold for all rows of the discs or for none, so the rest is asked of pairs: rows are taken disc by disc, and
    given up where a later disc has none left beside them.
    """
    few = [disc.rows[: len(discs)] for disc in discs]
    rows, disc_of = np.concatenate(few), np.repeat(np.arange(len(discs)), [len(own) for own in few])
    first, second = np.nonzero(disc_of[:, None] < disc_of)
    may_join = np.zeros((rows.size, rows.size), np.bool_)  # later ones beside earlier ones
    may_join[first, second] = allowed_sets(model, np.column_stack([rows[first], rows[second]]), ())
    where = _taken(may_join, disc_of, 0, np.ones(rows.size, np.bool_))
    return None if where is None else tuple(rows[where].tolist())


def _taken(may_join: Flags, disc_of: Rows, disc: int, is_left: Flags) -> list[int] | None:
    """Positions of the first rows, in their order, one of each disc from one on, that may all stand together."""
    own = np.flatnonzero(is_left & (disc_of == disc)).tolist()
    n_later = int(disc_of[-1]) - disc
    if not n_later:
        return own[:1] or None
    for position in own:
        left = is_left & may_join[position]
        if np.unique(disc_of[left]).size == n_later:
            later = _taken(may_join, disc_of, disc + 1, left)
            if later is not None:
                return [position, *later]
    return None


def _cut(model: Model, discs: tuple[Disc, ...]) -> Iterator[tuple[Disc, ...]]:
    """Cut the largest disc in two, wherever it stands in the tuple."""
    largest = max(discs, key=lambda disc: disc.radius_m)
    if model.xy_m is None or largest.radius_m <= 0:
        return
    xy_m = model.xy_m[largest.rows]
    axis = int(np.ptp(xy_m, axis=0).argmax())
    is_low = xy_m[:, axis] < (xy_m[:, axis].min() + xy_m[:, axis].max()) / 2
    halves = _disc(model, largest.rows[is_low]), _disc(model, largest.rows[~is_low])
    n_copies = sum(disc is largest for disc in discs)
    for chosen in combinations_with_replacement(halves, n_copies):
        replaced = iter(chosen)
        yield tuple(next(replaced) if disc is largest else disc for disc in discs)
