"""A policy as a person can remember it: a card of a few lines, each for a stretch of the area or a kind of play.

A card knows where the ball is and nothing else: for each state of play it names one place, and one walks toward
it as far as the break allows. A line holds for neighbouring zones of the main kind of play; other kinds follow
the zone they are in or have a line of their own. For the other side the card is the same, the other way round,
where the ground allows that.

Lines are found by what a walk toward each place is worth, by the values of the policy before (one step of policy
improvement, restricted to cards), and each card found is then evaluated exactly.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.optimizer.roam.plays import Plays
from standmark.optimizer.roam.process import Average, Policy, Process, average, goal_policy, policy_value, ways_toward

MOST_LINES = 7
LINE_WORTH = 0.003  # coverage that one more line must add: three tenths of a per cent
MOST_ROUNDS = 6
MIRROR_M = 4.0  # a place and the mirror image of another are the same within this
AHEAD_M = tuple(range(-10, 45, 5))  # offered distances ahead of the ball
SWEEPS = 60  # of values of a card's policy
GOOD_ENOUGH = 0.015  # a card that loses no more than this is not tried in a longer form


@dataclass(frozen=True)
class CardLine:
    """One line: when it holds and where to be."""

    kinds: tuple[str, ...]  # kinds of play it holds for
    low_m: float  # stretch of the ball, as the side that attacks sees it (toward +x)
    high_m: float
    attack_x: int  # +1, -1: only for attacks toward that end of the ground; 0: both, one the mirror of the other
    place: int  # station, for an attack toward +x where attack_x is 0
    mirror: int  # station for an attack toward -x
    ahead_m: float | None = None  # walk so far ahead of the ball on the side of the place; None: a fixed place


@dataclass(frozen=True, eq=False)
class Card:
    """The lines, and the place that they name for each state."""

    lines: tuple[CardLine, ...]
    goal: Indices  # shape (n_states,)
    policy: Policy
    average: Average

    @property
    def is_mirrored(self) -> bool:
        """Do lines hold for both sides, one the mirror of the other."""
        return any(line.attack_x == 0 and line.place != line.mirror for line in self.lines)

    @property
    def is_standing(self) -> bool:
        """Does it say to stay at one place."""
        return len(set(self.goal.tolist())) == 1


@dataclass(frozen=True, eq=False)
class _Rules:
    """What a line may say: for each rule the place for each state."""

    goal: Indices  # shape (n_rules, n_states)
    ahead_m: tuple[float | None, ...]


@dataclass(frozen=True, eq=False)
class _Unit:
    """States that a card cannot tell apart: a kind and zone, of both sides or of one."""

    kind: str
    attack_x: int  # 0: of both sides
    low_m: float
    high_m: float
    states: tuple[int, ...]

    @property
    def middle_m(self) -> float:
        """Middle of its stretch."""
        return round((self.low_m + self.high_m) / 2, 3)


Pick = list[tuple[tuple[int, ...], int]]  # for each line its units and its rule


@dataclass(frozen=True, eq=False)
class _Sheet:
    """A form of card: what it tells apart, what its lines may say, and how many there may be."""

    units: list[_Unit]
    rules: _Rules
    most: int


def best_card(
    process: Process,
    plays: Plays,
    xy_m: Floats,
    *,
    now: Average,
    value: Floats,
    most_lines: int = MOST_LINES,
) -> Card:
    """Find a card of few lines that keeps most of what a policy covers.

    Parameters
    ----------
    xy_m : shape (n_places, 2)
    now, value : averages and relative values of the best policy, to start from
    """
    ways = ways_toward(process)
    cards = [_standing_card(process, plays, ways)]
    for units, rules, spare in _forms(plays, xy_m):
        card = _improved(process, plays, _Sheet(units, rules, most_lines - spare), ways, now, value)
        cards.append(card)
        if now.reward - card.average.reward <= GOOD_ENOUGH:
            break
    return max(cards, key=lambda card: _score(process, card))


def turned_card(process: Process, plays: Plays, card: Card, xy_m: Floats) -> Card:
    """Turn a card round for the other direction of play: lines of one side become those of the same side there.

    Parameters
    ----------
    process : of the scene it is wanted for
    xy_m : shape (n_places, 2)
    """
    mirror = np.hypot(*((xy_m * [-1.0, 1.0])[:, None] - xy_m[None]).transpose(2, 0, 1)).argmin(axis=1)
    state = {(i, a): n for n, (i, a) in enumerate(zip(plays.index.tolist(), plays.attack_x.tolist(), strict=True))}
    goal = np.array([mirror[card.goal[state[key[0], -key[1]]]] for key in state])
    lines = tuple(
        replace(line, attack_x=-line.attack_x, place=int(mirror[line.mirror]), mirror=int(mirror[line.place]))
        for line in card.lines
    )
    return told_card(process, lines, goal)


def told_card(process: Process, lines: tuple[CardLine, ...], goal: Indices, *, ways: Indices | None = None) -> Card:
    """Work out what a card covers in a scene; `ways` as `ways_toward` gives them, where they are known."""
    policy = goal_policy(process, goal, ways=ways)
    return Card(lines, goal, policy, average(process, policy))


def _standing_card(process: Process, plays: Plays, ways: Indices) -> Card:
    """Stay at the best place of all."""
    place = int((plays.occupancy @ process.reward).argmax())
    low_m, high_m = min(s.low_m for s in plays.states), max(s.high_m for s in plays.states)
    line = CardLine(tuple(k.key for k in plays.flow.kinds), low_m, high_m, 0, place, place)
    return told_card(process, (line,), np.full(len(plays.index), place), ways=ways)


def _improved(process: Process, plays: Plays, sheet: _Sheet, ways: Indices, now: Average, value: Floats) -> Card:
    best: Card | None = None
    for _ in range(MOST_ROUNDS):
        cost = _loss(process, now, value, ways)
        pick = _cheapest(plays, sheet, cost)
        card = _evaluated(process, plays, sheet, pick, ways, now.share)
        if best is not None and _score(process, card) <= _score(process, best) + 1e-6:
            break
        best, now = card, card.average
        value = policy_value(process, card.policy, _net(process, card), value=value, sweeps=SWEEPS)
    assert best is not None
    return best


def _score(process: Process, card: Card) -> float:
    return _net(process, card) - LINE_WORTH * (len(card.lines) + (1 if card.is_mirrored else 0))


def _net(process: Process, card: Card) -> float:
    return card.average.reward - process.price_per_m * card.average.walked_m


def _forms(plays: Plays, xy_m: Floats) -> Iterator[tuple[list[_Unit], _Rules, int]]:
    """Ways to write a card: the same for both sides the other way round (one line says so), or each by itself."""
    away = np.hypot(*((xy_m * [-1.0, 1.0])[:, None] - xy_m[None]).transpose(2, 0, 1))
    fits = np.flatnonzero(away.min(axis=1) <= MIRROR_M)
    if len(set(plays.attack_x.tolist())) > 1 and len(fits):
        mirror = away.argmin(axis=1)
        goals = np.where(plays.attack_x[None] > 0, fits[:, None], mirror[fits][:, None])
        yield _units(plays, merged=True), _with_ahead(goals, plays, xy_m), 1
    stay = np.repeat(np.arange(len(xy_m))[:, None], len(plays.attack_x), axis=1)
    yield _units(plays, merged=False), _with_ahead(stay, plays, xy_m), 0


def _units(plays: Plays, *, merged: bool) -> list[_Unit]:
    states: dict[tuple[int, int], list[int]] = {}
    for state, (index, attack_x) in enumerate(zip(plays.index.tolist(), plays.attack_x.tolist(), strict=True)):
        states.setdefault((0 if merged else -attack_x, index), []).append(state)
    flow = plays.flow.states
    return [
        _Unit(flow[i].kind, -a, flow[i].low_m, flow[i].high_m, tuple(own)) for (a, i), own in sorted(states.items())
    ]


def _with_ahead(goals: Indices, plays: Plays, xy_m: Floats) -> _Rules:
    """Fixed places, and places so far ahead of the ball on either side of the ground."""
    rules = [goals]
    ahead: list[float | None] = [None] * len(goals)
    for side in (-1, 1) if len(plays.flow.states) > 1 else ():
        own = np.flatnonzero((xy_m[:, 1] * side > 0) & _along(xy_m))
        for ahead_m in AHEAD_M if len(own) > 1 else ():
            wanted_m = plays.ball_m + plays.attack_x * ahead_m
            rules.append(own[np.abs(xy_m[own, 0][None] - wanted_m[:, None]).argmin(axis=1)][None])
            ahead.append(float(ahead_m))
    return _Rules(np.concatenate(rules), tuple(ahead))


def _loss(process: Process, now: Average, value: Floats, ways: Indices) -> Floats:
    """Net worth lost a play by walking toward each place in each state, but for a constant of the state; (s, p)."""
    here = np.arange(len(process.distance_m))[:, None]
    gain = np.zeros_like(process.reward)
    for arriving, to in zip(now.arriving, ways, strict=True):
        for state, share in enumerate(arriving):
            own = np.flatnonzero(share > 1e-9)
            if len(own):
                gain[state] += share[own] @ (
                    value[state][to[own]] - process.price_per_m * process.distance_m[here[own], to[own]]
                )
    return -gain


def _cheapest(plays: Plays, sheet: _Sheet, cost: Floats) -> Pick:
    """Lines that lose least, each line having to earn its keep."""
    units = sheet.units
    own = np.array([sum(cost[s, sheet.rules.goal[:, s]] for s in unit.states) for unit in units])  # (n_units, n_rules)
    main = plays.main_kind
    others = [k.key for k in plays.flow.kinds if k.key != main and any(u.kind == k.key for u in units)]
    best: tuple[float, Pick] = (np.inf, [])
    for n_alone in range(min(len(others), 3) + 1):
        for alone in combinations(others, n_alone):
            total, pick = _split(units, own, alone, sheet.most)
            if total < best[0] - 1e-12:
                best = (total, pick)
    return best[1]


def _split(units: list[_Unit], own: Floats, alone: tuple[str, ...], most: int) -> tuple[float, Pick]:
    """Cards with lines for stretches of each side, and one line for each kind of play that stands alone."""
    fixed: Pick = []
    total = 0.0
    sides = sorted({u.attack_x for u in units}, reverse=True)
    for side in sides:
        for kind in alone:
            members = tuple(i for i, u in enumerate(units) if u.kind == kind and u.attack_x == side)
            if members:
                sums = own[list(members)].sum(axis=0)
                fixed.append((members, int(sums.argmin())))
                total += float(sums.min()) + LINE_WORTH
    ways: dict[int, tuple[float, Pick]] = {len(fixed): (total, [])}
    for side in sides:
        groups = _groups(units, [i for i, u in enumerate(units) if u.attack_x == side and u.kind not in alone])
        joined: dict[int, tuple[float, Pick]] = {}
        for n, (cost, lines) in ways.items():
            for k, (more, added) in _stretches(groups, own, most).items():
                if n + k <= most and (n + k not in joined or cost + more < joined[n + k][0]):
                    joined[n + k] = (cost + more, lines + added)
        ways = joined
    if not ways:
        return np.inf, []
    total, lines = min(ways.values(), key=lambda way: way[0])
    return total, lines + fixed


def _groups(units: list[_Unit], members: list[int]) -> list[tuple[int, ...]]:
    """Units that start at the same place, from one end of the area to the other."""
    places = sorted({units[i].middle_m for i in members})
    return [tuple(i for i in members if units[i].middle_m == place) for place in places]


def _stretches(groups: list[tuple[int, ...]], own: Floats, most: int) -> dict[int, tuple[float, Pick]]:
    """Cheapest cut of the area into so many stretches with one rule each, for each number of stretches."""
    n = len(groups)
    if not n:
        return {0: (0.0, [])}
    sums = np.vstack([np.zeros(own.shape[1]), np.array([own[list(g)].sum(axis=0) for g in groups]).cumsum(axis=0)])
    part = sums[None, :, :] - sums[:, None, :]  # (from, to, rule)
    rule = part.argmin(axis=2)
    cheapest = np.where(np.arange(n + 1)[:, None] < np.arange(n + 1)[None], part.min(axis=2) + LINE_WORTH, np.inf)
    cost = np.full((most + 1, n + 1), np.inf)
    cut = np.zeros((most + 1, n + 1), dtype=np.intp)
    cost[0, 0] = 0.0
    for k in range(1, most + 1):
        options = cost[k - 1][:, None] + cheapest
        cut[k], cost[k] = options.argmin(axis=0), options.min(axis=0)
    return {k: (float(cost[k, n]), _cut_lines(groups, rule, cut, k)) for k in range(1, min(most, n) + 1)}


def _cut_lines(groups: list[tuple[int, ...]], rule: Indices, cut: Indices, k: int) -> Pick:
    lines: Pick = []
    end = len(groups)
    for step in range(k, 0, -1):
        start = int(cut[step, end])
        lines.insert(0, (tuple(i for group in groups[start:end] for i in group), int(rule[start, end])))
        end = start
    return lines


def _evaluated(process: Process, plays: Plays, sheet: _Sheet, pick: Pick, ways: Indices, share: Floats) -> Card:
    goal = np.zeros(len(plays.attack_x), dtype=np.intp)
    for members, rule in pick:
        states = [s for i in members for s in sheet.units[i].states]
        goal[states] = sheet.rules.goal[rule, states]
    policy = goal_policy(process, goal, ways=ways)
    lines = tuple(_line(plays, [sheet.units[i] for i in members], sheet.rules, rule) for members, rule in pick)
    return Card(lines, goal, policy, average(process, policy, proof=1e-5, share=share))


def _line(plays: Plays, units: list[_Unit], rules: _Rules, rule: int) -> CardLine:
    states = [s for u in units for s in u.states]
    plus = next((s for s in states if plays.attack_x[s] > 0), states[0])
    minus = next((s for s in states if plays.attack_x[s] < 0), states[0])
    told = [u for u in units if u.kind == plays.main_kind] or units
    return CardLine(
        kinds=tuple(dict.fromkeys(u.kind for u in units)),
        low_m=min(u.low_m for u in told),
        high_m=max(u.high_m for u in told),
        attack_x=units[0].attack_x,
        place=int(rules.goal[rule, plus]),
        mirror=int(rules.goal[rule, minus]),
        ahead_m=rules.ahead_m[rule],
    )


def _along(xy_m: Floats) -> Flags:
    """Places beside the area rather than behind its ends."""
    return np.asarray(np.abs(xy_m[:, 1]) > 0.9 * np.abs(xy_m[:, 1]).max())
