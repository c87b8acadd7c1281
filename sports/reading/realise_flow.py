"""`[play_flow]` of a definition at an actual size: states, steps between them, ties of moments."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from standmark.sports.play_flow import ANYWHERE, FlowKind, FlowState, FlowStep, PlayFlow, Tie, WalkingHabit
from standmark.sports.reading.flow_schema import FlowKindTable, FlowTable, ThenTable, TieTable
from standmark.sports.reading.split_zones import split_moves
from standmark.sports.shapes.expression import evaluate
from standmark.sports.toml.file import KeyFaultError

Floats = NDArray[np.float64]


def realise_flow(table: FlowTable, sizes_m: Mapping[str, float]) -> PlayFlow:
    """Build the chain of plays at an actual size.

    Raises
    ------
    KeyError : a size is not known
    ValueError : what follows a play is not complete
    """
    low_m, high_m = (evaluate(v, sizes_m) for v in table.span)
    if low_m >= high_m:
        raise KeyFaultError(f"lowest first: {low_m:g} m is not below {high_m:g} m", "span")
    edges_m = np.linspace(low_m, high_m, table.zones * table.split + 1)
    work = _Work(table, sizes_m, edges_m)
    exits: dict[str, NDArray[np.float64]] = {}
    steps = [step for kind in table.kind for step in work.kind_steps(kind, exits)]
    return PlayFlow(
        follows=table.follows,
        turn_name=table.turn_name,
        kinds=tuple(FlowKind(k.key, k.name) for k in table.kind),
        states=tuple(work.states),
        steps=tuple(steps),
        exits={key: tuple(map(float, chance)) for key, chance in exits.items()},
        ties={key: work.tie(key, tie) for key, tie in table.moments.items()},
        plays_per_match=table.plays_per_match,
        habit=None if table.habit is None else WalkingHabit(**table.habit.model_dump()),
        source=table.source,
        walk_source=table.walk_source,
        tie_source=table.tie_source,
    )


class _Work:
    """One realisation: the zones, the states of every kind, and where each kind's states begin."""

    def __init__(self, table: FlowTable, sizes_m: Mapping[str, float], edges_m: Floats) -> None:
        self.table, self.sizes_m, self.edges_m = table, sizes_m, edges_m
        self.states: list[FlowState] = []
        self.first: dict[str, int] = {}
        self.fixed: set[str] = set()
        for kind in table.kind:
            self.first[kind.key] = len(self.states)
            if kind.at is None:
                self.states += [FlowState(kind.key, a, b) for a, b in pairwise(edges_m.tolist())]
            else:
                at_m, half_m = evaluate(kind.at, sizes_m), float(edges_m[1] - edges_m[0]) / 2
                self.states.append(FlowState(kind.key, at_m - half_m, at_m + half_m))
                self.fixed.add(kind.key)

    def own_states(self, kind: FlowKindTable) -> list[int]:
        """States of a kind."""
        return [i for i, s in enumerate(self.states) if s.kind == kind.key]

    def kind_steps(self, kind: FlowKindTable, exits: dict[str, Floats]) -> list[FlowStep]:
        """All steps from plays of one kind; adds its exits to those of all states."""
        own = self.own_states(kind)
        stay, columns = self._shares(kind, len(own))
        steps = []
        for row, state in enumerate(own):
            for key, share in columns.items():
                exits.setdefault(key, np.zeros(len(self.states)))[state] = share[row]
            tables = [
                FlowStep(state, self.first[kind.key] + zone, False, float(chance), kind.walk_s)
                for zone, chance in enumerate(stay[row])
                if chance > 0
            ]
            tables += list(self._then_steps(kind, state, {key: float(share[row]) for key, share in columns.items()}))
            total = sum(step.chance for step in tables)
            if abs(total - 1.0) > 1e-6:
                place = f"{self.states[state].low_m:.1f} to {self.states[state].high_m:.1f} m"
                message = f"what follows a play at {place} sums to {total:g}; it must sum to 1"
                raise self._fault(kind, message, "then")
            steps += tables
        return steps

    def _shares(self, kind: FlowKindTable, n: int) -> tuple[Floats, dict[str, Floats]]:
        """Chances to stay in the kind, zone by zone, and of each exit."""
        if kind.counts:
            return self._counted(kind)
        if kind.shift:
            return self._shifted(kind, n), {}
        return np.zeros((n, n)), {}

    def _counted(self, kind: FlowKindTable) -> tuple[Floats, dict[str, Floats]]:
        zones, parts = self.table.zones, self.table.split
        counts = np.array(kind.counts, dtype=float) if len({len(r) for r in kind.counts}) == 1 else np.empty((0, 0))
        if counts.shape != (zones, zones + len(kind.exits)) or kind.at is not None:
            message = (
                f"needs {zones} rows of {zones} + {len(kind.exits)} numbers, one row for each zone, one column for "
                "each zone and each exit"
            )
            raise self._fault(kind, message, "counts")
        if (counts.sum(axis=1) <= 0).any():
            raise self._fault(kind, "each zone needs a play that started in it", "counts")
        if kind.beyond is not None and kind.beyond not in kind.exits:
            message = f'not one of exits (got "{kind.beyond}"); allowed: {", ".join(kind.exits)}'
            raise self._fault(kind, message, "beyond")
        total = counts.sum(axis=1)
        past = np.zeros(zones) if kind.beyond is None else counts[:, zones + kind.exits.index(kind.beyond)]
        moved = split_moves(np.column_stack([counts[:, :zones], past]) + 1e-12, parts=parts)
        share = np.repeat((counts[:, :zones].sum(axis=1) + past) / total, parts)
        columns = {key: np.repeat(counts[:, zones + i] / total, parts) for i, key in enumerate(kind.exits)}
        if kind.beyond is not None:
            columns[kind.beyond] = share * moved[:, -1]
            stay = share[:, None] * moved[:, :-1]
        else:
            stay = share[:, None] * moved[:, :-1] / moved[:, :-1].sum(axis=1, keepdims=True)
        return stay, columns

    def _shifted(self, kind: FlowKindTable, n: int) -> Floats:
        if len(kind.shift) % 2 == 0 or abs(sum(kind.shift) - 1.0) > 1e-6:
            message = "needs an odd number of shares that sum to 1, no move in the middle"
            raise self._fault(kind, message, "shift")
        stay, middle = np.zeros((n, n)), len(kind.shift) // 2
        for row, state in enumerate(self.own_states(kind)):
            left = 1.0 - sum(t.share for t in kind.then if self._applies(t, state))
            for index, share in enumerate(kind.shift):
                stay[row, np.clip(row + index - middle, 0, n - 1)] += share * left
        return stay

    def _then_steps(self, kind: FlowKindTable, state: int, columns: dict[str, float]) -> Iterator[FlowStep]:
        for index, then in enumerate(kind.then):
            if then.next not in self.first:
                message = f'not a kind of play (got "{then.next}"); allowed: {", ".join(self.first)}'
                raise self._fault(kind, message, "then", index, "next")
            if then.after is not None and then.after not in columns:
                message = f'not one of exits (got "{then.after}"); allowed: {", ".join(columns) or "none"}'
                raise self._fault(kind, message, "then", index, "after")
            chance = then.share * (1.0 if then.after is None else columns[then.after])
            if chance > 0 and self._applies(then, state):
                walk_s = kind.walk_s if then.walk_s is None else then.walk_s
                for after, part in self._landing(then, state):
                    yield FlowStep(state, after, then.side == "other", chance * part, walk_s)

    def _fault(self, kind: FlowKindTable, message: str, *key: str | int) -> KeyFaultError:
        return KeyFaultError(message, "kind", self.table.kind.index(kind), *key)

    def _applies(self, then: ThenTable, state: int) -> bool:
        if then.near is None:
            return True
        low_m, high_m = (evaluate(v, self.sizes_m) for v in then.near)
        return low_m <= self.states[state].middle_m <= high_m

    def _landing(self, then: ThenTable, state: int) -> list[tuple[int, float]]:
        """States in which the next play may start, each with its share."""
        first = self.first[then.next]
        if then.next in self.fixed:
            return [(first, 1.0)]
        if then.at is not None:
            spots_m = [evaluate(then.at, self.sizes_m)]
        else:
            low_m, high_m = (evaluate(v, self.sizes_m) for v in then.move_m)
            sign = -1.0 if then.side == "other" and self.table.follows == "ball" else 1.0
            spots_m = [
                sign * (self.states[state].middle_m + move)
                for move in np.linspace(low_m, high_m, 5 if high_m > low_m else 1)
            ]
        zones = [
            int(np.clip(np.searchsorted(self.edges_m, spot, side="right") - 1, 0, len(self.edges_m) - 2))
            for spot in spots_m
        ]
        return [(first + zone, zones.count(zone) / len(zones)) for zone in sorted(set(zones))]

    def tie(self, key: str, table: TieTable) -> Tie:
        """Tie of a kind of moment; all kinds where none is named."""
        for index, kind in enumerate(table.kinds):
            if kind not in self.first:
                message = f'not a kind of play (got "{kind}"); allowed: {", ".join(self.first)}'
                raise KeyFaultError(message, "moments", key, "kinds", index)
        known = {e for k in self.table.kind for e in k.exits}
        if table.exit is not None and table.exit not in known:
            message = f'not an exit (got "{table.exit}"); allowed: {", ".join(sorted(known)) or "none"}'
            raise KeyFaultError(message, "moments", key, "exit")
        low_m, high_m = (evaluate(v, self.sizes_m) for v in table.ahead_m)
        ahead_m = ANYWHERE if table.anywhere or table.exit is not None else (min(low_m, high_m), max(low_m, high_m))
        return Tie(table.kinds or tuple(self.first), ahead_m, table.exit, table.side == "other")
