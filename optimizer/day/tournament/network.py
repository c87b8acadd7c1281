"""Ways of a person through the day as a network: every path from source to sink keeps all rules for people.

A node is a match filmed (slot, pitch, when the present work began, whether there was a meal, minutes filmed), or
being rested at the base from some time on. Like people are one flow of several units through one network.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise

from standmark.geometry.arrays import Floats
from standmark.optimizer.day.tournament.tournament import Member, Tournament, budget_min, needs_meal

Film = tuple[int, int]  # slot, pitch
Node = tuple[str, float, int, float, bool, float]
SOURCE: Node = ("source", 0.0, 0, 0.0, False, 0.0)
SINK: Node = ("sink", 0.0, 0, 0.0, False, 0.0)
EARLIEST = 1e-9


@dataclass
class Network:
    """Arcs of the ways that one kind of person can take; filled while it is built, then only read."""

    nodes: dict[Node, int] = field(default_factory=dict)
    tails: list[int] = field(default_factory=list)
    heads: list[int] = field(default_factory=list)
    films: list[Film | None] = field(default_factory=list)  # what is filmed at the head of each arc
    walks_min: list[float] = field(default_factory=list)

    def index(self, node: Node) -> int:
        """Number of a node, which is added where it is new."""
        return self.nodes.setdefault(node, len(self.nodes))

    def add(self, tail: Node, head: Node, film: Film | None, walk_min: float) -> None:
        """Add an arc."""
        self.tails.append(self.index(tail))
        self.heads.append(self.index(head))
        self.films.append(film)
        self.walks_min.append(walk_min)


def member_network(tournament: Tournament, member: Member, walks: Floats) -> Network:
    """Build the network of a person; without the meal where what lies behind leaves no time for one.

    Parameters
    ----------
    walks : as `walks_min`
    """
    network = _Builder(tournament, member, walks, has_meal=not needs_meal(tournament, member)).network()
    if _reaches_sink(network):
        return network
    return _Builder(tournament, member, walks, has_meal=True).network()


def _reaches_sink(network: Network) -> bool:
    reached = {network.nodes[SOURCE]}
    for tail, head in sorted(zip(network.tails, network.heads, strict=True)):
        if tail in reached:
            reached.add(head)
    waiting = True
    while waiting:
        further = {h for t, h in zip(network.tails, network.heads, strict=True) if t in reached} - reached
        reached |= further
        waiting = bool(further)
    return SINK in network.nodes and network.nodes[SINK] in reached


class _Builder:
    """Goes through the slots in order of time and adds every way into and out of each match."""

    def __init__(self, tournament: Tournament, member: Member, walks: Floats, *, has_meal: bool) -> None:
        self.tournament, self.member, self.walks, self.has_meal = tournament, member, walks, has_meal
        self.rules, self.base = tournament.rules, len(tournament.pitches)
        self.budget_min = budget_min(tournament, member)
        whole_min = sum(s.minutes for s in tournament.slots)
        self.counts_minutes = whole_min > self.budget_min
        self.net = Network()
        self.rested: dict[tuple[bool, float], list[float]] = {}  # meal, minutes filmed -> times of base nodes, rising
        self.filmed: list[Node] = []  # all nodes of matches so far

    def network(self) -> Network:
        """Build everything."""
        self.net.index(SOURCE)
        self._begin()
        now_min = self.tournament.from_min if self.tournament.from_min is not None else -1.0
        by_slot: dict[int, list[int]] = {}
        for fixture in self.tournament.fixtures:
            if self.tournament.slots[fixture.slot].start_min >= now_min:
                by_slot.setdefault(fixture.slot, []).append(fixture.pitch)
        for slot in sorted(by_slot):
            new = [node for pitch in sorted(by_slot[slot]) for node in self._enter(slot, pitch)]
            for node in new:
                self._leave(node)
            self.filmed += new
        self._wait()
        return self.net

    def _begin(self) -> None:
        if not self.member.filmed:
            self._rest_from(SOURCE, self.member.from_min, has_meal=self.has_meal, used_min=0.0, rest_min=0.0, walk=0.0)
            return
        node = replay(self.tournament, self.member, self.walks, has_meal=self.has_meal)
        self.net.add(SOURCE, node, None, 0.0)
        self._leave(node)
        self.filmed.append(node)

    def _enter(self, slot: int, pitch: int) -> list[Node]:
        """Add all ways into a match; return its new nodes."""
        own, rules = self.tournament.slots[slot], self.rules
        nodes: dict[Node, None] = {}
        if own.end_min + rules.overrun_min > self.member.to_min + EARLIEST:
            return []
        leaves_by = own.start_min - rules.changeover_min - self.walks[self.base, pitch]
        for (meal, used), times in list(self.rested.items()):
            place = bisect_right(times, leaves_by + EARLIEST)
            head = self._film(slot, pitch, own.start_min, meal, used)
            if place and head is not None:
                tail: Node = ("base", times[place - 1], 0, 0.0, meal, used)
                self.net.add(tail, head, (slot, pitch), float(self.walks[self.base, pitch]))
                nodes[head] = None
        for node in self.filmed:
            _, before, place, began_min, meal, used = node
            walk = direct_walk(self.tournament, self.walks, (int(before), place), (slot, pitch))
            if walk is None:
                continue
            head = self._film(slot, pitch, began_min, meal, used)
            if head is not None:
                self.net.add(node, head, (slot, pitch), walk)
                nodes[head] = None
        return list(nodes)

    def _film(self, slot: int, pitch: int, began_min: float, meal: bool, used_min: float) -> Node | None:
        """Node of a match filmed, if neither the longest work nor cards and batteries forbid it."""
        own = self.tournament.slots[slot]
        used = used_min + own.minutes if self.counts_minutes else 0.0
        if own.end_min - began_min > self.rules.longest_work_min + EARLIEST or used > self.budget_min + EARLIEST:
            return None
        return ("film", float(slot), pitch, began_min, meal, used)

    def _leave(self, node: Node) -> None:
        """Add the ways from a match to the base and to the end of the day."""
        _, slot, pitch, _, meal, used = node
        rules, walk = self.rules, float(self.walks[pitch, self.base])
        at_base = self.tournament.slots[int(slot)].end_min + rules.overrun_min + walk
        self._rest_from(node, at_base, has_meal=meal, used_min=used, rest_min=rules.rest_min, walk=walk)
        if meal:
            self.net.add(node, SINK, None, 0.0)

    def _rest_from(
        self, tail: Node, at_min: float, *, has_meal: bool, used_min: float, rest_min: float, walk: float
    ) -> None:
        """Add being rested after a break that begins at a time, with and without a meal in it."""
        self._add_base(tail, at_min + rest_min, has_meal, used_min, walk)
        if not has_meal:
            opens, closes = self.rules.meal_window_min
            eaten = max(at_min, opens) + self.rules.meal_min
            if eaten <= min(closes, self.member.to_min) + EARLIEST:
                self._add_base(tail, max(at_min + rest_min, eaten), True, used_min, walk)

    def _add_base(self, tail: Node, ready_min: float, meal: bool, used_min: float, walk: float) -> None:
        node: Node = ("base", ready_min, 0, 0.0, meal, used_min)
        self.net.add(tail, node, None, walk)
        times = self.rested.setdefault((meal, used_min), [])
        if ready_min not in times:
            times.insert(bisect_right(times, ready_min), ready_min)

    def _wait(self) -> None:
        """Who is rested may go on resting, and who has had a meal may stay to the end."""
        for (meal, used), times in self.rested.items():
            nodes: list[Node] = [("base", ready, 0, 0.0, meal, used) for ready in times]
            for here, there in pairwise(nodes):
                self.net.add(here, there, None, 0.0)
            if meal and nodes:
                self.net.add(nodes[-1], SINK, None, 0.0)


def direct_walk(tournament: Tournament, walks: Floats, before: Film, after: Film) -> float | None:
    """Minutes from one match to the next without a break; None where there is no time, or time for a break.

    Who has time for a break takes it: that is never worse for the rest of the day.
    """
    (slot, place), (next_slot, pitch) = before, after
    rules, base = tournament.rules, len(tournament.pitches)
    gap = tournament.slots[next_slot].start_min - tournament.slots[slot].end_min
    by_base = float(walks[place, base] + walks[base, pitch])
    if gap + EARLIEST >= rules.overrun_min + by_base + rules.rest_min + rules.changeover_min:
        return None
    walk = 0.0 if place == pitch else float(walks[place, pitch])
    needed = 0.0 if place == pitch else rules.overrun_min + walk + rules.changeover_min
    return walk if gap + EARLIEST >= needed else None


def replay(tournament: Tournament, member: Member, walks: Floats, *, has_meal: bool) -> Node:
    """Node in which what a person has filmed leaves him: breaks were taken where there was time for them."""
    rules, base = tournament.rules, len(tournament.pitches)
    opens, closes = rules.meal_window_min
    free_from, began_min, used, meal = member.from_min, 0.0, 0.0, has_meal
    last: Film | None = None
    for slot, pitch in sorted(member.filmed):
        own = tournament.slots[slot]
        free_to = own.start_min - rules.changeover_min - float(walks[base, pitch])
        if max(free_from, opens) + rules.meal_min <= min(free_to, closes) + EARLIEST:
            meal = True
        if last is None or free_to - free_from >= rules.rest_min - EARLIEST:
            began_min = own.start_min
        used += own.minutes
        free_from = own.end_min + rules.overrun_min + float(walks[pitch, base])
        last = (slot, pitch)
    assert last is not None, "only for somebody who has filmed"
    whole_min = sum(s.minutes for s in tournament.slots)
    counted = used if whole_min > budget_min(tournament, member) else 0.0
    return ("film", float(last[0]), last[1], began_min, meal, counted)
