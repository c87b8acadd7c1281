"""A Markov decision process of someone who walks while play moves: plain arrays, no sport.

Play is a Markov chain. Before each play everyone sees where it starts; the operator then walks for the
seconds that the break gives and films from where the walk ends. So a decision is taken for a play that is
about to start, at the place where the last one was filmed. The aim is the largest long-run average per
play of what is filmed, less a price for every metre. Servers that move on a network whose states form a
Markov chain: O. Berman, R. C. Larson and A. R. Odoni, European Journal of Operational Research 6 (1981), a
reference from memory.

Bounds: for any values V of (play, place), with T the operator of one play, no policy averages more than
max(T V - V), and the policy that is best against V averages at least min(T V - V): T is monotone and
T(V + c) = T V + c. M. L. Puterman, Markov Decision Processes, Wiley 1994, section 8.5. Where walks join
places in several groups, each group has its own bounds, and the best group counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from standmark.geometry.arrays import Flags, Floats
from standmark.geometry.arrays import Indices as Places

DAMPING = 0.9  # share of a sweep that is taken over, so that chains with a rhythm converge too
MOST_SWEEPS = 4000
EVALUATIONS = 8  # plays for which chosen walks are followed between two sweeps over all walks
SETTLED = 1e-6  # change of all shares together in one play
UNREACHABLE_M = 1e9
PROOF = 1e-4  # bounds nearer than this are called the same: a hundredth of a per cent


@dataclass(frozen=True, eq=False)
class Process:
    """What plays are worth from each place, how they follow each other, how far one gets in between."""

    reward: Floats  # shape (n_states, n_places), worth of one play filmed from a place
    chance: Floats  # shape (n_breaks, n_states, n_states), a state, then a kind of break, then the next state
    reach_m: Floats  # shape (n_breaks,), how far one can walk in each kind of break
    distance_m: Floats  # shape (n_places, n_places), shortest walks; inf where there is none
    price_per_m: float = 0.0  # worth that each metre must earn

    @property
    def occupancy(self) -> Floats:
        """Share of plays in each state in the long run, shape (n_states,)."""
        return stationary(self.chance.sum(axis=0))


@dataclass(frozen=True, eq=False)
class Policy:
    """Where to walk: for each break, next state and place (n_breaks, n_states, n_places), the place to film from."""

    to: Places
    start: int  # place of the first play


@dataclass(frozen=True, eq=False)
class Solution:
    """The best policy found and the proof: no policy's average lies above `upper`, its own is at least `lower`."""

    policy: Policy
    value: Floats  # shape (n_states, n_places), relative values
    lower: float  # both less the price of the metres walked
    upper: float
    sweeps: int


@dataclass(frozen=True, eq=False)
class Average:
    """Long-run averages of a policy, per play."""

    reward: float  # of what is filmed, nothing taken off
    walked_m: float
    longest_m: float  # longest walk in one break
    share: Floats  # shape (n_states, n_places), of plays filmed
    arriving: Floats  # shape (n_breaks, n_states, n_places), of breaks, by the next state and the place before the walk


def stationary(step: Floats) -> Floats:
    """Long-run shares of a Markov chain with one closed class, shape (n,).

    Parameters
    ----------
    step : shape (n, n), rows sum to 1
    """
    n = len(step)
    share = np.linalg.solve((np.eye(n) - step + 1.0).T, np.ones(n))
    share = np.maximum(share, 0.0)
    return np.asarray(share / share.sum())


def within_reach(process: Process) -> list[Flags]:
    """Which places can be reached from which, for each kind of break; standing still is always possible."""
    here = np.eye(len(process.distance_m), dtype=bool)
    return [(process.distance_m <= reach_m + 1e-9) | here for reach_m in process.reach_m]


def free_bound(process: Process) -> float:
    """Average of someone who is always at the best place for the play that starts: no policy has more."""
    return float(process.occupancy @ process.reward.max(axis=1))


def solve(
    process: Process, *, proof: float = PROOF, most_sweeps: int = MOST_SWEEPS, value: Floats | None = None
) -> Solution:
    """Find the best policy by value iteration, until its bounds meet.

    Between two sweeps over all walks the walks chosen are followed for a few plays (modified policy iteration:
    Puterman 1994, section 8.7); the bounds are those of the sweeps over all walks.

    Parameters
    ----------
    proof : stop when the bounds are this near
    value : relative values to start from, shape (n_states, n_places)
    """
    moves = [_Moves(process, kind) for kind in range(len(process.reach_m))]
    group = _groups(moves)
    value = process.reward.copy() if value is None else value.copy()
    lower, upper, sweeps = -np.inf, np.inf, 0
    while sweeps < most_sweeps:
        sweeps += 1
        walks = [own.best(value) for own in moves]
        rise = _ahead(process, moves, [net for net, _ in walks]) - value
        low, high = _group_bounds(rise, group)
        best = int(low.argmax())
        lower, upper = max(lower, float(low[best])), min(upper, float(high.max()))
        if upper - lower <= proof:
            break
        value += DAMPING * rise
        for _ in range(EVALUATIONS):
            told = [own.of_choice(value, pick) for own, (_, pick) in zip(moves, walks, strict=True)]
            value += DAMPING * (_ahead(process, moves, told) - value)
        value -= value[0, 0]
    return Solution(_greedy(process, moves, value, group), value, lower, upper, sweeps)


def ways_toward(process: Process) -> Places:
    """Place reached on the way from each place to each goal in one break, shape (n_breaks, n_places, n_places).

    Of the places within reach it is the one with the shortest walk left; of equals the nearest one.
    """
    n = len(process.distance_m)
    left_m = np.where(np.isfinite(process.distance_m), process.distance_m, UNREACHABLE_M)
    to = np.empty((len(process.reach_m), n, n), dtype=np.intp)
    for kind, reachable in enumerate(within_reach(process)):
        cost = np.where(reachable, process.distance_m * 1e-6, np.inf)
        for place in range(n):
            to[kind, place] = (cost[place][:, None] + left_m).argmin(axis=0)
    return to


def goal_policy(process: Process, goal: Places, *, ways: Places | None = None) -> Policy:
    """Policy of someone who knows one place for each state and walks toward it as far as the break allows.

    Parameters
    ----------
    goal : shape (n_states,), place to make for
    ways : as `ways_toward` gives them, where they are known
    """
    ways = ways_toward(process) if ways is None else ways
    return Policy(np.ascontiguousarray(ways[:, :, goal].transpose(0, 2, 1)), int(goal[process.occupancy.argmax()]))


def average(
    process: Process, policy: Policy, *, proof: float = SETTLED, share: Floats | None = None, most_steps: int = 20_000
) -> Average:
    """Long-run averages of a policy, from its starting place.

    Parameters
    ----------
    proof : change of the shares of plays in one step at which they have settled
    share : shares to start from instead, where all places can be reached from each other
    """
    n_states, n_places = process.reward.shape
    if share is None:
        share = np.zeros((n_states, n_places))
        share[:, policy.start] = process.occupancy
    share = share.copy()
    columns = np.arange(n_states)[:, None] * n_places
    kinds = range(len(process.reach_m))
    arriving = np.zeros((len(process.reach_m), n_states, n_places))
    flat_to = [(columns + policy.to[kind]).ravel() for kind in kinds]
    steps = [_sparse(process.chance[kind].T) for kind in kinds]
    for _ in range(most_steps):
        after = np.zeros(n_states * n_places)
        for kind in kinds:
            arriving[kind] = steps[kind] @ share
            after += np.bincount(flat_to[kind], arriving[kind].ravel(), minlength=after.size)
        change = after.reshape(share.shape) - share
        share += DAMPING * change
        if np.abs(change).sum() <= proof:
            break
    walked = [process.distance_m[np.arange(n_places)[None, :], policy.to[kind]] for kind in kinds]
    taken = [np.where(arriving[kind] > 1e-9, walked[kind], 0.0) for kind in kinds]
    return Average(
        reward=float((share * process.reward).sum()),
        walked_m=float(sum((arriving[kind] * taken[kind]).sum() for kind in kinds)),
        longest_m=float(max(t.max() for t in taken)),
        share=share,
        arriving=arriving,
    )


def policy_value(process: Process, policy: Policy, mean: float, *, value: Floats, sweeps: int) -> Floats:
    """Relative values of one policy, by so many sweeps from a first guess, shape (n_states, n_places).

    Parameters
    ----------
    mean : its average, less the price of its metres
    """
    states, places = np.arange(len(process.reward))[:, None], np.arange(process.reward.shape[1])[None]
    chance = [_sparse(step) for step in process.chance]
    for _ in range(sweeps):
        after = process.reward - mean
        for kind, to in enumerate(policy.to):
            after = after + chance[kind] @ (value[states, to] - process.price_per_m * process.distance_m[places, to])
        value = value + DAMPING * (after - value)
    return value


def _sparse(chance: Floats) -> Any:
    """Give a table as scipy's sparse array, which takes long to load and is wanted only where somebody walks."""
    from scipy.sparse import csr_array

    return csr_array(chance)


class _Moves:
    """Reachable places of each place in one kind of break, as padded lists, and what each walk costs."""

    def __init__(self, process: Process, kind: int) -> None:
        reachable = within_reach(process)[kind]
        most = int(reachable.sum(axis=1).max())
        order = np.argsort(~reachable, axis=1, kind="stable")[:, :most]
        here = np.arange(len(order))[:, None]
        inside = reachable[here, order]
        self.to = np.where(inside, order, here)  # a place itself fills the lists
        self.cost = np.where(inside, process.distance_m[here, order], 0.0) * process.price_per_m
        self.cost[self.to == here] = 0.0
        self.has_price = process.price_per_m > 0
        self.reachable = reachable
        self.next_states = np.flatnonzero(process.chance[kind].any(axis=0))
        self.chance = _sparse(process.chance[kind][:, self.next_states])  # one thread: it wakes no others that spin

    def best(self, value: Floats) -> tuple[Floats, Places]:
        """Best net value within reach of each place and which of its walks has it, each of shape (n_next, n_places)."""
        shape = (len(self.next_states), len(self.to))
        best, pick, work = np.empty(shape), np.empty(shape, dtype=np.intp), np.empty(self.to.shape)
        places = np.arange(shape[1])
        for row, state in enumerate(self.next_states):  # one state at a time stays in the cache
            np.take(value[state], self.to, out=work, mode="clip")
            if self.has_price:
                np.subtract(work, self.cost, out=work)
            work.argmax(axis=1, out=pick[row])
            best[row] = work[places, pick[row]]
        return best, pick

    def of_choice(self, value: Floats, pick: Places) -> Floats:
        """Net value of chosen walks, shape (n_next, n_places)."""
        places = np.arange(len(self.to))[None]
        net = np.take_along_axis(value[self.next_states], self.to[places, pick], axis=1)
        return net - self.cost[places, pick] if self.has_price else net

    def choice(self, value: Floats) -> Places:
        """Place that is best against some values, shape (n_states, n_places); of equals the shortest walk."""
        chosen, here = np.empty(value.shape, dtype=np.intp), np.arange(len(self.to))
        stay = (self.to == here[:, None]).argmax(axis=1)
        for row, known in enumerate(value):
            net = known[self.to] - self.cost
            pick = net.argmax(axis=1)
            pick = np.where(net[here, stay] >= net[here, pick] - 1e-12, stay, pick)
            chosen[row] = self.to[here, pick]
        return chosen


def _ahead(process: Process, moves: list[_Moves], nets: list[Floats]) -> Floats:
    """One play ahead: its worth, and what the walk after it leads to, shape (n_states, n_places)."""
    after = process.reward.copy()
    for own, net in zip(moves, nets, strict=True):
        after += own.chance @ net
    return after


def _greedy(process: Process, moves: list[_Moves], value: Floats, group: Places) -> Policy:
    low, _ = _group_bounds(_ahead(process, moves, [own.best(value)[0] for own in moves]) - value, group)
    members = np.flatnonzero(group == low.argmax())
    start = members[(process.occupancy @ value[:, members]).argmax()]
    return Policy(np.array([own.choice(value) for own in moves]), int(start))


def _group_bounds(rise: Floats, group: Places) -> tuple[Floats, Floats]:
    n = int(group.max()) + 1
    low, high = np.full(n, np.inf), np.full(n, -np.inf)
    np.minimum.at(low, group, rise.min(axis=0))
    np.maximum.at(high, group, rise.max(axis=0))
    return low, high


def _groups(moves: list[_Moves]) -> Places:
    """Number of the group of places, joined by walks, that each place belongs to."""
    joined = np.logical_or.reduce([own.reachable | own.reachable.T for own in moves])
    group = np.full(len(joined), -1, dtype=np.intp)
    for place in range(len(joined)):
        if group[place] < 0:
            members, edge = np.zeros(len(joined), dtype=bool), np.zeros(len(joined), dtype=bool)
            edge[place] = True
            while edge.any():
                members |= edge
                edge = joined[edge].any(axis=0) & ~members
            group[members] = group.max() + 1
    return group
