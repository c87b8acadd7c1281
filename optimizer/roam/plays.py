"""The plays of a match as a chain over both sides, and how much of each target belongs to each state of play."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.match.match import Match
from standmark.optimizer.roam.process import stationary
from standmark.optimizer.value.targets import Targets
from standmark.sports.play_flow import ANYWHERE, FlowState, PlayFlow, Tie

Floats = NDArray[np.float64]
RAREST = 1e-6  # share of plays under which a state does not occur
TO_THE_ZONE = Tie((), (0.0, 0.0))
TO_NOTHING = Tie((), ANYWHERE)


@dataclass(frozen=True, eq=False)
class Plays:
    """States of play of both sides: first all of the side that attacks toward +x, then the same turned round."""

    flow: PlayFlow
    index: NDArray[np.intp]  # shape (n_states,), state of the flow: as the side that attacks sees it, toward +x
    attack_x: NDArray[np.intp]  # shape (n_states,), +1 or -1; where a flow follows ends: where side A attacks
    chance: Floats  # shape (n_breaks, n_states, n_states)
    walk_s: Floats  # shape (n_breaks,), seconds in which one can walk
    occupancy: Floats  # shape (n_states,), share of plays

    @property
    def states(self) -> tuple[FlowState, ...]:
        """Kind and stretch of each state, as the side that attacks sees it."""
        return tuple(self.flow.states[i] for i in self.index)

    @property
    def main_kind(self) -> str:
        """Key of the kind of play that is most frequent."""
        share = {kind.key: 0.0 for kind in self.flow.kinds}
        for state, part in zip(self.states, self.occupancy.tolist(), strict=True):
            share[state.kind] += part
        return max(share, key=lambda key: share[key])

    @property
    def ball_m(self) -> Floats:
        """Middle of the stretch in which the ball is, on the ground, shape (n_states,)."""
        return np.array([s.middle_m for s in self.states]) * self.attack_x


def match_plays(flow: PlayFlow) -> Plays:
    """Lay the chain of a sport out for both sides."""
    n = len(flow.states)
    walk_s = np.array(sorted({step.walk_s for step in flow.steps}))
    chance = np.zeros((len(walk_s), 2 * n, 2 * n))
    for step in flow.steps:
        kind = int(np.searchsorted(walk_s, step.walk_s))
        for side in (0, 1):
            to = 1 - side if step.is_turned else side
            chance[kind, side * n + step.state, to * n + step.after] += step.chance
    occupancy = stationary(chance.sum(axis=0))
    kept = np.flatnonzero(occupancy > RAREST)
    chance = chance[:, kept][:, :, kept]
    chance /= chance.sum(axis=(0, 2))[None, :, None]
    return Plays(
        flow=flow,
        index=kept % n,
        attack_x=np.where(kept < n, 1, -1),
        chance=chance,
        walk_s=walk_s,
        occupancy=stationary(chance.sum(axis=0)),
    )


def target_shares(match: Match, plays: Plays, targets: Targets) -> Floats:
    """Share of each target's worth that falls to plays in each state, by Bayes' rule.

    A moment at a place may have come out of plays that started in several zones; each gets a share by how often
    play starts there and how likely the moment then happens at this place. So the shares of a target sum to 1,
    and whoever never walks covers what a standing plan covers.

    Returns
    -------
    shape (n_targets, n_states), rows sum to 1
    """
    flow, moments = plays.flow, {m.key: m for m in match.sport.moments}
    share = np.zeros((len(targets.weight), len(plays.states)))
    for index, key in enumerate(targets.moment_keys):
        rows = np.flatnonzero(targets.moment == index)
        if len(rows):
            tie = flow.ties.get(key, TO_THE_ZONE if moments[key].is_play else TO_NOTHING)
            share[rows] = _moment_shares(match, plays, tie, targets.xyz_m[rows, 0], targets.attack_x[rows])
    return share


def _moment_shares(match: Match, plays: Plays, tie: Tie, x_m: Floats, attack_x: NDArray[np.int8]) -> Floats:
    """Shares of one kind of moment at places along the area, shape (n_places, n_states)."""
    flow = plays.flow
    kinds = tie.kinds or tuple(k.key for k in flow.kinds)
    belongs = np.array([s.kind in kinds for s in plays.states], dtype=float)
    if tie.exit is not None:
        belongs *= np.array(flow.exits[tie.exit])[plays.index]
    prior = plays.occupancy * belongs * _side_likelihood(match, plays, tie, attack_x)  # (n_places, n_states)
    place = _place_likelihood(plays, tie, x_m)
    share = prior * place
    lost = share.sum(axis=1) <= 1e-12 * prior.max()
    if lost.any():  # no play leads to this place: the nearest one of those that could
        away = np.where(prior[lost] > 0, _away_m(plays, tie, x_m[lost]), np.inf)
        share[lost] = prior[lost] * (away <= away.min(axis=1, keepdims=True) + 1e-6)
    return np.asarray(share / share.sum(axis=1, keepdims=True))


def _side_likelihood(match: Match, plays: Plays, tie: Tie, attack_x: NDArray[np.int8]) -> Floats:
    same = attack_x[:, None] * plays.attack_x[None, :] * (-1 if tie.is_other_side else 1)
    if plays.flow.follows == "ends":
        theirs = match.other_side_weight if match.cover == "ours" else 1.0
        return np.where(same == 0, 1.0, np.where(same > 0, 1.0, theirs))
    return (same >= 0).astype(float)


def _stretch_m(plays: Plays, tie: Tie) -> tuple[Floats, Floats]:
    """Where the moment may happen in each state, on the attacking side's own axis: lowest and highest x."""
    low = np.array([s.low_m for s in plays.states]) + tie.ahead_m[0]
    high = np.array([s.high_m for s in plays.states]) + tie.ahead_m[1]
    return low, high


def _place_likelihood(plays: Plays, tie: Tie, x_m: Floats) -> Floats:
    """Density of the place of a moment in each state: ball anywhere in its stretch, moment anywhere ahead of it."""
    if tie.ahead_m == ANYWHERE:
        return np.ones((len(x_m), len(plays.states)))
    own_x = x_m[:, None] * plays.attack_x[None, :]
    low, high = (np.array([getattr(s, name) for s in plays.states]) for name in ("low_m", "high_m"))
    near, far = tie.ahead_m
    overlap = np.minimum(own_x - near, high) - np.maximum(own_x - far, low)
    if far - near < 1e-9:
        return np.asarray(((own_x - near >= low - 1e-9) & (own_x - near <= high + 1e-9)) / (high - low))
    return np.asarray(np.maximum(overlap, 0.0) / ((high - low) * (far - near)))


def _away_m(plays: Plays, tie: Tie, x_m: Floats) -> Floats:
    """How far a place is from where a moment may happen in each state."""
    low, high = _stretch_m(plays, tie)
    own_x = x_m[:, None] * plays.attack_x[None, :]
    return np.asarray(np.maximum(np.maximum(low - own_x, own_x - high), 0.0))
