"""A walk judged: sequences drawn from the chain come out as promised, a card's lines name the places they came from."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from standmark.optimizer.choice.solve import solve_stages
from standmark.optimizer.match.match import Roam
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.roam.plan import plan_follow
from standmark.optimizer.roam.stations import play_worth
from standmark.optimizer.scoring.walk import (
    GivenLine,
    PlayedEvents,
    event_states,
    judged_card,
    line_goals,
    played_ways,
)


@cache
def walked():
    match = default_match("rugby-league")
    match = replace(match, cameras=(replace(match.cameras[0], roam=Roam()),))
    solved = solve_stages(match)
    return match, solved[0].task.targets[0], plan_follow(match, solved)[0]


def own_lines(follow):
    xy = follow.scenes[0].stations.xyz_m[:, :2]
    return [
        GivenLine(
            line.kinds, line.low_m, line.high_m, line.ahead_m, {1: tuple(xy[line.place]), -1: tuple(xy[line.mirror])}
        )
        for line in follow.scenes[0].card.lines
    ]


def test_lines_of_a_card_give_back_what_it_covers():
    _, _, follow = walked()
    xy = follow.scenes[0].stations.xyz_m[:, :2]
    coverage, walked_m = judged_card(follow, line_goals(follow.plays, xy, own_lines(follow)))
    card = follow.method("card")
    assert coverage == pytest.approx(card.coverage, abs=0.005)
    assert walked_m == pytest.approx(card.walked_m, rel=0.1)


def drawn_events(match, targets, follow, *, n_plays, seed):
    """Sequences of the chain, with one moment in each play that has any, drawn by how often it happens there."""
    plays, rng = follow.plays, np.random.default_rng(seed)
    importance = np.array([m.importance for m in match.sport.moments])
    often = play_worth(match, plays, targets) / importance[targets.moment][:, None]  # moments in a play of each state
    flat = plays.chance.transpose(1, 0, 2).reshape(len(plays.index), -1).cumsum(axis=1)
    state, rows = 0, []
    often = often / often.sum(axis=0).max()
    for _ in range(n_plays):
        kind, after = divmod(int((rng.random() > flat[state]).sum()), len(plays.index))
        state = after
        if rng.random() < often[:, state].sum():
            target = int(rng.choice(len(often), p=often[:, state] / often[:, state].sum()))
            side = int(plays.attack_x[state])
            turn = int(targets.attack_x[target]) or 1
            rows.append((side, state, target, turn, plays.walk_s[kind]))
    return rows


def test_sequences_of_the_chain_get_what_the_process_promises():
    match, targets, follow = walked()
    rows = drawn_events(match, targets, follow, n_plays=12_000, seed=3)
    kept = [r for r in rows if r[0] == r[3]]  # moments of the side on the ball
    events = PlayedEvents(
        sequence=np.zeros(len(kept), dtype=int),
        attack_x=np.array([r[0] for r in kept]),
        kind=tuple(follow.plays.states[r[1]].kind for r in kept),
        ball_m=np.array([follow.plays.states[r[1]].middle_m for r in kept]),
        xy_m=np.array([targets.xyz_m[r[2], :2] * r[0] for r in kept]),
        moment=np.array([targets.moment[r[2]] for r in kept]),
        walk_s=np.array([r[4] for r in kept]),
    )
    assert event_states(follow.plays, events).tolist() == [r[1] for r in kept]
    ways = {w.name: w.coverage for w in played_ways(match, follow, events)}
    promised = {m.name: m.coverage for m in follow.methods}
    assert ways["stand"] < ways["card"] < ways["free"]
    assert ways["policy"] == pytest.approx(promised["policy"], abs=0.05)
    assert ways["card"] == pytest.approx(promised["card"], abs=0.05)
