"""A good choice at once: one person after the other takes the best way through the day that the others leave.

Not proven; it stands in where the exact choice has found nothing better in its time.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from graphlib import TopologicalSorter

from standmark.optimizer.day.tournament.network import SINK, SOURCE, Film, Network
from standmark.optimizer.day.tournament.tournament import Tournament
from standmark.optimizer.day.tournament.worth import Mix

MOST_ROUNDS = 6


def ways_in_turn(
    tournament: Tournament, networks: Sequence[Network], worth: Mapping[tuple[str, Mix], float]
) -> tuple[tuple[Film, ...], ...]:
    """Films of each person, what lies behind included; nobody can gain by changing their own way alone.

    Parameters
    ----------
    networks : of each person
    """
    films: list[tuple[Film, ...]] = [()] * len(networks)
    orders = [_order(network) for network in networks]
    for _ in range(MOST_ROUNDS):
        before = list(films)
        for member, network in enumerate(networks):
            others = Counter[tuple[Film, int]]()
            for other, own in enumerate(films):
                if other != member:
                    others.update((film, tournament.members[other].kit) for film in own)
            gains = _gains(tournament, others, tournament.members[member].kit, worth)
            films[member] = _best_way(network, orders[member], gains)
        if films == before:
            break
    return tuple(tuple(sorted((*member.filmed, *own))) for member, own in zip(tournament.members, films, strict=True))


def _gains(
    tournament: Tournament, others: Mapping[tuple[Film, int], int], kit: int, worth: Mapping[tuple[str, Mix], float]
) -> dict[Film, float]:
    """What one more person with a kit adds at each match."""
    gains = {}
    for fixture in tournament.fixtures:
        film = (fixture.slot, fixture.pitch)
        there = tuple(k for k in range(len(tournament.kits)) for _ in range(others.get((film, k), 0)))
        if len(there) >= fixture.most_cameras:
            gains[film] = 0.0
            continue
        now = worth[fixture.source, there] if there else 0.0
        gains[film] = fixture.worth * (worth[fixture.source, tuple(sorted((*there, kit)))] - now)
    return gains


def _order(network: Network) -> list[int]:
    """Nodes in an order in which every arc leads onward."""
    before: dict[int, set[int]] = {node: set() for node in range(len(network.nodes))}
    for tail, head in zip(network.tails, network.heads, strict=True):
        before[head].add(tail)
    return list(TopologicalSorter(before).static_order())


def _best_way(network: Network, order: Sequence[int], gains: Mapping[Film, float]) -> tuple[Film, ...]:
    """Longest way from source to sink, each film counted with its gain; films that add nothing are left out."""
    out: dict[int, list[int]] = {}
    for arc, tail in enumerate(network.tails):
        out.setdefault(tail, []).append(arc)
    best = {network.nodes[SOURCE]: 0.0}
    came: dict[int, int] = {}
    for node in order:
        if node not in best:
            continue
        for arc in out.get(node, ()):
            film = network.films[arc]
            value = best[node] + (gains[film] if film is not None else 0.0)
            if value > best.get(network.heads[arc], -1.0):
                best[network.heads[arc]], came[network.heads[arc]] = value, arc
    films = []
    node = network.nodes.get(SINK, -1)
    while node in came:
        film = network.films[came[node]]
        films += [] if film is None or gains[film] <= 0.0 else [film]
        node = network.tails[came[node]]
    return tuple(sorted(films))
