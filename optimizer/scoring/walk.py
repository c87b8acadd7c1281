"""A walk judged: a card given by its lines, and real sequences of play gone through with it, event by event."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.match.match import Match
from standmark.optimizer.roam.follow import FollowPlan, SceneFollow
from standmark.optimizer.roam.plays import Plays
from standmark.optimizer.roam.process import Policy, average, goal_policy
from standmark.optimizer.value.outfit import Rows, camera_outfits
from standmark.optimizer.value.quality import quality_matrix
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import moment_weight, targets_at


@dataclass(frozen=True)
class GivenLine:
    """One line of a card that somebody gives."""

    kinds: tuple[str, ...]
    low_m: float
    high_m: float
    ahead_m: float | None
    places: Mapping[int, tuple[float, float]]  # by direction of the attack, +1 or -1


@dataclass(frozen=True, eq=False)
class PlayedEvents:
    """Real moments in the order of play, one row each."""

    sequence: Indices  # shape (n,), which stretch of uninterrupted play
    attack_x: Indices  # shape (n,), +1 or -1: which way the side that acts attacks on the ground
    kind: tuple[str, ...]  # kind of the play each happened in
    ball_m: Floats  # shape (n,), where that play started, as the side that acts sees it
    xy_m: Floats  # shape (n, 2), where it happened, as the side that acts sees it
    moment: Indices  # shape (n,), index into the sport's moments
    walk_s: Floats  # shape (n,), seconds to walk before the play; nan: as the definition says


@dataclass(frozen=True)
class PlayedWay:
    """What one way to work got of real sequences."""

    name: str  # "stand", "card", "policy", "free"
    coverage: float  # share of the worth of all events
    walked_m: float  # over all of them


def line_goals(plays: Plays, xy_m: Floats, lines: Sequence[GivenLine]) -> Indices:
    """Place that given lines name in each state; a state that no line is for takes the nearest line of its side.

    Parameters
    ----------
    xy_m : shape (n_places, 2), places that there are

    Returns
    -------
    shape (n_states,)
    """
    goal = np.zeros(len(plays.index), dtype=np.intp)
    for number, (state, attack) in enumerate(zip(plays.states, plays.attack_x.tolist(), strict=True)):
        own = [line for line in lines if attack in line.places] or list(lines)
        away = [
            (state.kind not in line.kinds, max(line.low_m - state.middle_m, state.middle_m - line.high_m, 0.0))
            for line in own
        ]
        line = own[min(range(len(own)), key=lambda i: away[i])]
        x_m, y_m = line.places.get(attack) or next((-x, y) for x, y in line.places.values())
        if line.ahead_m is not None:
            x_m = attack * (state.middle_m + line.ahead_m)
        goal[number] = np.hypot(*(xy_m - (x_m, y_m)).T).argmin()
    return goal


def played_ways(
    match: Match, follow: FollowPlan, events: PlayedEvents, *, card: Indices | None = None
) -> list[PlayedWay]:
    """Go through real sequences standing still, with the card, with the policy, and free of legs.

    Parameters
    ----------
    card : shape (n_states,), places of another card than the plan's own, among those of the first scene
    """
    scene = follow.scenes[0]
    states = event_states(follow.plays, events)
    quality, worth = _qualities(match, follow, scene, events)
    goal = scene.card.goal if card is None else card
    everywhere = worth @ quality.max(axis=1)
    stand = int((follow.plays.occupancy @ scene.process.reward).argmax())
    ways = [PlayedWay("stand", float(worth @ quality[:, stand]), 0.0)]
    for name, policy in (("card", goal_policy(scene.process, goal)), ("policy", scene.solution.policy)):
        places, walked_m = _walked(follow.plays, scene, events, states, policy)
        ways.append(PlayedWay(name, float(worth @ quality[np.arange(len(places)), places]), walked_m))
    return [*ways, PlayedWay("free", float(everywhere), float("nan"))]


def judged_card(follow: FollowPlan, goal: Indices) -> tuple[float, float]:
    """Coverage of a card over the whole match and metres walked, for places named in each state."""
    told = [average(s.process, goal_policy(s.process, goal)) for s in follow.scenes]
    minutes = np.array([sum(p.minutes for p in s.periods) for s in follow.scenes])
    share = minutes / minutes.sum()
    plays = follow.plays.flow.plays_per_match
    return float(share @ [a.reward for a in told]), float(share @ [a.walked_m for a in told]) * plays


def event_states(plays: Plays, events: PlayedEvents) -> Indices:
    """State of play of each event: the nearest stretch of its kind and side, shape (n,)."""
    middle = np.array([s.middle_m for s in plays.states])
    kinds = np.array([s.kind for s in plays.states])
    states = np.empty(len(events.ball_m), dtype=np.intp)
    for row, (kind, ball_m, attack) in enumerate(zip(events.kind, events.ball_m, events.attack_x, strict=True)):
        away = (
            np.abs(middle - ball_m) + np.where(plays.attack_x == attack, 0.0, 1e6) + np.where(kinds == kind, 0.0, 1e4)
        )
        states[row] = away.argmin()
    return states


def _qualities(match: Match, follow: FollowPlan, scene: SceneFollow, events: PlayedEvents) -> tuple[Floats, Floats]:
    """Quality of each place for each event, shape (n, n_places), and the events' worth, which sums to 1."""
    names = {lens.name for lens in scene.stations.lenses}
    outfits = tuple(o for o in camera_outfits(match, follow.camera) if o.lens.name in names)
    around = period_surroundings(match, scene.periods[0])
    n_places = len(scene.stations.xyz_m)
    quality, worth = np.zeros((len(events.moment), n_places)), np.zeros(len(events.moment))
    for index, moment in enumerate(match.sport.moments):
        for attack in (1, -1):
            own = np.flatnonzero((events.moment == index) & (events.attack_x == attack))
            if len(own):
                targets = targets_at(moment, events.xy_m[own], turned=attack < 0)
                rows = Rows(outfits, n_places, ())
                got = quality_matrix(
                    scene.stations.xyz_m, targets, rows=rows, deliverable=match.deliverable, around=around
                )
                quality[own] = got.reshape(len(outfits), n_places, len(own)).max(axis=0).T
                worth[own] = moment_weight(match, moment) / max(moment.rate_per_match, 1e-9)
    return quality, worth / worth.sum()


def _walked(
    plays: Plays, scene: SceneFollow, events: PlayedEvents, states: Indices, policy: Policy
) -> tuple[Indices, float]:
    """Place from which each event is filmed, and all metres walked; a sequence starts at the place meant for it."""
    places, walked_m, place, last = np.empty(len(states), dtype=np.intp), 0.0, policy.start, -1
    widest = len(plays.walk_s) - 1
    for row, state in enumerate(states.tolist()):
        if row == 0 or events.sequence[row] != events.sequence[row - 1]:
            kind, place = widest, _settled(policy, widest, state, place)
        elif np.isnan(events.walk_s[row]):
            kind = int(plays.chance[:, last, state].argmax())
        else:
            kind = max(int(np.searchsorted(plays.walk_s, events.walk_s[row], side="right")) - 1, 0)
        to = int(policy.to[kind, state, place])
        if row and events.sequence[row] == events.sequence[row - 1]:
            walked_m += float(scene.process.distance_m[place, to])
        places[row], place, last = to, to, state
    return places, walked_m


def _settled(policy: Policy, kind: int, state: int, place: int) -> int:
    """Where somebody ends who has all the time of a break between sequences."""
    for _ in range(20):
        to = int(policy.to[kind, state, place])
        if to == place:
            break
        place = to
    return place
