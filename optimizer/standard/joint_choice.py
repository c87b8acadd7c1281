"""One place for each position at the least total cost, with positions kept apart: exact, on plain arrays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.apart import stand_apart
from standmark.geometry.arrays import Flags, Floats

CLOSE = 1e-9  # costs nearer than this are the same
MOST_NODES = 20_000  # some seconds; positions that get in each other's way take dozens

Cost = tuple[float, float]  # what counts, then what breaks ties


@dataclass(frozen=True, eq=False)
class Choices:
    """What one position may take, cheapest first."""

    cost: Floats  # shape (n, 2): what counts, then what breaks ties
    xy_m: Floats  # shape (n, 2)
    without: Cost  # of leaving the position unfilled


@dataclass(frozen=True)
class JointChoice:
    """The choice for all positions."""

    rows: tuple[int | None, ...]  # one index into each position's rows; None: unfilled
    is_exact: bool  # False: stopped after MOST_NODES, another choice might cost less


def choose_jointly(choices: Sequence[Choices], *, separation_m: float, most_nodes: int = MOST_NODES) -> JointChoice:
    """Choose one row for each position, or none, so that the summed cost is least and no two are too close.

    Depth first over the positions, rows in the order of their cost; a branch ends when its cost so far and the
    least that the others can still reach is no better than the best found. The tie-break is summed likewise and
    looked at only where what counts is equal.
    """
    if (rows := _first_of_all(choices, separation_m)) is not None:
        return JointChoice(rows, True)
    search = _Search(choices, separation_m, most_nodes)
    search.descend((), (0.0, 0.0), tuple(np.ones(len(c.cost), dtype=bool) for c in choices))
    return JointChoice(search.best, search.n_nodes <= most_nodes)


def _first_of_all(choices: Sequence[Choices], separation_m: float) -> tuple[int | None, ...] | None:
    """Cheapest row of every position that has one worth taking, if these stand apart as they are."""
    is_worth = [len(c.cost) > 0 and _pair(c.cost[0]) < c.without for c in choices]
    xy_m = np.array([c.xy_m[0] for c, worth in zip(choices, is_worth, strict=True) if worth]).reshape(-1, 2)
    first, second = np.triu_indices(len(xy_m), 1)
    if not stand_apart(xy_m[first], xy_m[second], separation_m).all():
        return None
    return tuple(0 if worth else None for worth in is_worth)


class _Search:
    """The best choice so far, and the way down from a partial one."""

    def __init__(self, choices: Sequence[Choices], separation_m: float, most_nodes: int) -> None:
        self.choices, self.separation_m, self.most_nodes = choices, separation_m, most_nodes
        self.best: tuple[int | None, ...] = tuple(None for _ in choices)
        self.best_cost: Cost = (np.inf, np.inf)
        self.n_nodes = 0

    def descend(self, chosen: tuple[int | None, ...], cost: Cost, open_rows: tuple[Flags, ...]) -> None:
        """Try everything that a partial choice leaves open."""
        self.n_nodes += 1
        depth = len(chosen)
        if depth == len(self.choices):
            if _is_less(cost, self.best_cost):
                self.best, self.best_cost = chosen, cost
            return
        rest = [self._least(i, open_rows[i]) for i in range(depth + 1, len(self.choices))]
        bound = _sum([cost, *rest])
        for row, own in self._options(depth, open_rows[depth]):
            if self.n_nodes > self.most_nodes or not _is_less(_sum([bound, own]), self.best_cost):
                break
            left = open_rows if row is None else self._apart(depth, row, open_rows)
            self.descend((*chosen, row), _sum([cost, own]), left)

    def _options(self, index: int, is_open: Flags) -> Iterator[tuple[int | None, Cost]]:
        choice = self.choices[index]
        for row in np.flatnonzero(is_open):
            own = _pair(choice.cost[row])
            if own >= choice.without:
                break
            yield int(row), own
        yield None, choice.without

    def _least(self, index: int, is_open: Flags) -> Cost:
        choice = self.choices[index]
        return min(_pair(choice.cost[int(np.argmax(is_open))]), choice.without) if is_open.any() else choice.without

    def _apart(self, index: int, row: int, open_rows: tuple[Flags, ...]) -> tuple[Flags, ...]:
        here = self.choices[index].xy_m[row]
        return tuple(
            flags if i <= index else flags & stand_apart(choice.xy_m, here, self.separation_m)
            for i, (choice, flags) in enumerate(zip(self.choices, open_rows, strict=True))
        )


def _pair(cost: Floats) -> Cost:
    return float(cost[0]), float(cost[1])


def _sum(costs: Sequence[Cost]) -> Cost:
    return sum(c[0] for c in costs), sum(c[1] for c in costs)


def _is_less(first: Cost, second: Cost) -> bool:
    if first[0] < second[0] - CLOSE:
        return True
    return first[0] <= second[0] + CLOSE and first[1] < second[1] - CLOSE
