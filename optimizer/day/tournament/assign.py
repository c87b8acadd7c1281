"""Who films which match: the exact choice, a mixed-integer program solved by HiGHS.

Like people (same kit, hours, cards, batteries and past) are one integer flow through their network; a binary for
every match and choice of kits says who is there. The worth of the matches is maximised; ways on foot break ties.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array, csr_array, vstack

from standmark.geometry.arrays import Floats
from standmark.optimizer.day.tournament.in_turn import ways_in_turn
from standmark.optimizer.day.tournament.network import SINK, SOURCE, Film, Network, member_network
from standmark.optimizer.day.tournament.tournament import Fixture, Member, Tournament, walks_min
from standmark.optimizer.day.tournament.worth import Mix, mixes_of

WALK_WEIGHT = 1e-7  # of a minute on foot, against the worth of a match: breaks ties, and no more
SOLVER_GAP = 1e-6  # relative, asked of the solver
CLOSE_ENOUGH = 1e-4  # relative gap that counts as proven, the ties broken by ways on foot included

WorthTable = Mapping[tuple[str, Mix], float]


@dataclass(frozen=True)
class Assignment:
    """Who films what; worths are sums over matches of worth times the share captured."""

    films: tuple[tuple[Film, ...], ...]  # for each person, in order of time; what lies behind included
    value: float
    upper_bound: float
    most: float  # worth of all matches, if all of each were captured
    proven: bool

    @property
    def gap(self) -> float:
        """What the best choice could gain at most, as a share of the value."""
        return max(self.upper_bound - self.value, 0.0) / max(self.value, 1e-12)


@dataclass(frozen=True)
class _Group:
    members: tuple[int, ...]
    network: Network
    first_column: int


def assign(tournament: Tournament, worth: WorthTable, *, time_limit_s: float | None = None) -> Assignment:
    """Find the choice that captures most, or the best found and its bound when the time is over.

    Parameters
    ----------
    worth : share captured of a match, by source and kits
    """
    groups, n_arcs = _groups(tournament)
    exact, upper_bound = _solved(tournament, groups, n_arcs, worth, time_limit_s)
    by_member = {member: group.network for group in groups for member in group.members}
    networks = [by_member[member] for member in range(len(tournament.members))]
    films = max(
        (answer for answer in (exact, ways_in_turn(tournament, networks, worth)) if answer is not None),
        key=lambda answer: _value(tournament, answer, worth),
    )
    value = _value(tournament, films, worth)
    upper_bound = max(upper_bound, value)
    return Assignment(
        films=films,
        value=value,
        upper_bound=upper_bound,
        most=sum(f.worth for f in tournament.fixtures),
        proven=upper_bound - value <= CLOSE_ENOUGH * max(value, 1.0),
    )


def _solved(
    tournament: Tournament, groups: Sequence[_Group], n_arcs: int, worth: WorthTable, time_limit_s: float | None
) -> tuple[tuple[tuple[Film, ...], ...] | None, float]:
    """Solve the mixed-integer program.

    Returns
    -------
    the films of each person (None if none were found in time), and the most that all matches could be worth
    """
    now_min = tournament.from_min if tournament.from_min is not None else -1.0
    ahead = [f for f in tournament.fixtures if tournament.slots[f.slot].start_min >= now_min]
    choices = [(index, mix) for index, f in enumerate(ahead) for mix in mixes_of(tournament, f)]
    gains = np.array([ahead[index].worth * worth[ahead[index].source, mix] for index, mix in choices])
    walks = np.concatenate([np.array(group.network.walks_min) for group in groups])
    problem = vstack([_flows(groups, n_arcs, len(choices)), *_couplings(tournament, groups, ahead, choices, n_arcs)])
    most_members = [np.full(len(group.network.tails), float(len(group.members))) for group in groups]
    films, bound = None, 0.0
    for whole_arcs in (False, True):  # the flows are whole by themselves as a rule
        solution = milp(
            np.concatenate([WALK_WEIGHT * walks, -gains]),
            integrality=np.concatenate([np.full(n_arcs, int(whole_arcs)), np.ones(len(choices))]),
            bounds=Bounds(0.0, np.concatenate([*most_members, np.ones(len(choices))])),
            constraints=LinearConstraint(csr_array(problem), *_sides(groups, tournament, ahead)),
            options={"mip_rel_gap": SOLVER_GAP, **({} if time_limit_s is None else {"time_limit": time_limit_s})},
        )
        lowest = solution.mip_dual_bound
        bound = sum(f.worth for f in ahead) if lowest is None or not np.isfinite(lowest) else -float(lowest)
        flow = None if solution.x is None else solution.x[:n_arcs]
        if flow is None or np.abs(flow - flow.round()).max(initial=0.0) < 1e-6:
            films = None if flow is None else _films(tournament, groups, flow)
            break
    behind = _value(tournament, [member.filmed for member in tournament.members], worth)
    return films, behind + bound + WALK_WEIGHT * _most_walking_min(tournament)


def _most_walking_min(tournament: Tournament) -> float:
    """More minutes on foot than everybody together can need."""
    return len(tournament.members) * (len(tournament.slots) + 1) * 2.0 * float(walks_min(tournament).max())


def with_one_more(tournament: Tournament, kit: int) -> Tournament:
    """The same day with one more person of a kit, at work as long as anybody is."""
    like = next(member for member in tournament.members if member.kit == kit)
    new = replace(
        like,
        name="one more",
        from_min=min(member.from_min for member in tournament.members),
        to_min=max(member.to_min for member in tournament.members),
        filmed=(),
    )
    return replace(tournament, members=(*tournament.members, new))


def _groups(tournament: Tournament) -> tuple[list[_Group], int]:
    walks = walks_min(tournament)
    like: dict[Member, list[int]] = {}
    for index, member in enumerate(tournament.members):
        like.setdefault(replace(member, name="", phone="", is_lead=False), []).append(index)
    groups, column = [], 0
    for member, indices in like.items():
        network = member_network(tournament, member, walks)
        groups.append(_Group(tuple(indices), network, column))
        column += len(network.tails)
    return groups, column


def _flows(groups: Sequence[_Group], n_arcs: int, n_choices: int) -> coo_array:
    """One row for every node but the sinks: what flows out less what flows in."""
    rows, columns, values, row = [], [], [], 0
    for group in groups:
        net = group.network
        sink = net.nodes.get(SINK, -1)
        at = np.arange(len(net.nodes)) + row
        tails, heads = np.array(net.tails), np.array(net.heads)
        arcs = np.arange(len(tails)) + group.first_column
        inside = heads != sink
        rows += [at[tails], at[heads[inside]]]
        columns += [arcs, arcs[inside]]
        values += [np.ones(len(arcs)), -np.ones(int(inside.sum()))]
        row += len(net.nodes)
    shape = (row, n_arcs + n_choices)
    return coo_array((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=shape)


def _couplings(
    tournament: Tournament,
    groups: Sequence[_Group],
    ahead: Sequence[Fixture],
    choices: Sequence[tuple[int, Mix]],
    n_arcs: int,
) -> tuple[coo_array, coo_array]:
    """Rows of (match, kit): people who come less people whom the choice of kits has; rows of matches: one choice."""
    place = {(f.slot, f.pitch): index for index, f in enumerate(ahead)}
    n_kits = len(tournament.kits)
    entries = [
        (place[film] * n_kits + tournament.members[group.members[0]].kit, group.first_column + arc, 1.0)
        for group in groups
        for arc, film in enumerate(group.network.films)
        if film is not None
    ]
    entries += [
        (index * n_kits + kit, n_arcs + column, -float(count))
        for column, (index, mix) in enumerate(choices)
        for kit, count in Counter(mix).items()
    ]
    width = n_arcs + len(choices)
    rows, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
    people = coo_array((values, (rows, columns)), shape=(len(ahead) * n_kits, width))
    one = coo_array(
        (np.ones(len(choices)), ([i for i, _ in choices], n_arcs + np.arange(len(choices)))), shape=(len(ahead), width)
    )
    return people, one


def _sides(groups: Sequence[_Group], tournament: Tournament, ahead: Sequence[Fixture]) -> tuple[Floats, Floats]:
    flows = []
    for group in groups:
        own = np.zeros(len(group.network.nodes))
        own[group.network.nodes[SOURCE]] = len(group.members)
        if SINK in group.network.nodes:
            own[group.network.nodes[SINK]] = 0.0
        flows.append(own)
    equal = np.concatenate([*flows, np.zeros(len(ahead) * len(tournament.kits))])
    low = np.concatenate([equal, np.zeros(len(ahead))])
    high = np.concatenate([equal, np.ones(len(ahead))])
    return low, high


def _films(tournament: Tournament, groups: Sequence[_Group], flow: Floats) -> tuple[tuple[Film, ...], ...]:
    """Take the flows apart into one way for each person."""
    films: list[tuple[Film, ...]] = [()] * len(tournament.members)
    for group in groups:
        net = group.network
        left = flow[group.first_column : group.first_column + len(net.tails)].round().astype(int)
        out: dict[int, list[int]] = {}
        for arc, tail in enumerate(net.tails):
            if left[arc] > 0:
                out.setdefault(tail, []).append(arc)
        for member in group.members:
            own = list(tournament.members[member].filmed)
            node = net.nodes[SOURCE]
            while node != net.nodes.get(SINK):
                arc = next(a for a in out[node] if left[a] > 0)
                left[arc] -= 1
                film = net.films[arc]
                own += [] if film is None else [film]
                node = net.heads[arc]
            films[member] = tuple(sorted(own))
    return tuple(films)


def crews(tournament: Tournament, films: Sequence[Sequence[Film]]) -> dict[Film, tuple[int, ...]]:
    """People at each match that is filmed, by kit and then by name."""
    members: dict[Film, list[int]] = {}
    for member, own in enumerate(films):
        for film in own:
            members.setdefault(film, []).append(member)
    return {film: tuple(sorted(own, key=lambda m: tournament.members[m].kit)) for film, own in members.items()}


def _value(
    tournament: Tournament,
    films: Sequence[Sequence[Film]],
    worth: WorthTable,
) -> float:
    """Worth of the matches that are filmed."""
    at = crews(tournament, films)
    value = 0.0
    for fixture in tournament.fixtures:
        own = at.get((fixture.slot, fixture.pitch), ())
        mix = tuple(sorted(tournament.members[m].kit for m in own))[: fixture.most_cameras]
        if mix:
            value += fixture.worth * worth[fixture.source, mix]
    return value
