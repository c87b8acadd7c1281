"""A walk with play planned from a match: American football's default ground, and the two ends of the speed."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from standmark.geometry.errors import InputError
from standmark.optimizer.choice.memory import OutOfTimeError
from standmark.optimizer.choice.solve import solve_stages
from standmark.optimizer.match.match import Roam
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.roam.plan import plan_follow
from standmark.optimizer.roam.plays import match_plays, target_shares
from standmark.optimizer.roam.stations import play_worth


@cache
def stages(sport):
    return default_match(sport), solve_stages(default_match(sport))


@cache
def followed(sport, **roam):
    match, solved = stages(sport)
    camera = replace(match.cameras[0], roam=Roam(**roam))
    return plan_follow(replace(match, cameras=(camera,)), solved)[0]


def coverages(follow):
    return {m.name: m.coverage for m in follow.methods}


def test_walking_pays_and_the_card_keeps_what_it_gains():
    told = coverages(followed("american-football"))
    assert told["policy"] >= told["stand"] + 0.04
    assert told["card"] >= told["policy"] - 0.015
    assert told["habit"] < told["card"]
    assert len(followed("american-football").scenes[0].card.lines) <= 6  # and one for the other side


def test_bounds_lie_in_order():
    follow = followed("american-football")
    told = coverages(follow)
    assert told["policy"] <= follow.upper_bound <= follow.free
    assert follow.upper_bound - follow.curve[0].coverage <= 0.005
    assert [m.walked_m for m in follow.curve] == sorted((m.walked_m for m in follow.curve), reverse=True)


def test_zero_speed_is_the_standing_plan():
    follow = followed("american-football", speed_m_s=0.0)
    told = coverages(follow)
    assert told["policy"] == pytest.approx(told["stand"], abs=2e-4)
    assert follow.upper_bound == pytest.approx(told["stand"], abs=2e-3)
    assert follow.method("policy").walked_m == 0


def test_speed_without_end_is_the_free_bound():
    follow = followed("american-football", speed_m_s=1e6)
    assert follow.upper_bound == pytest.approx(follow.free, abs=2e-3)
    assert follow.curve[0].coverage == pytest.approx(follow.free, abs=5e-3)


def test_no_more_is_walked_than_allowed():
    follow = followed("american-football", most_m=1000.0)
    free = followed("american-football")
    assert follow.method("policy").walked_m <= 1000
    assert free.method("policy").walked_m > 1000
    assert coverages(follow)["policy"] > coverages(follow)["stand"]


def test_targets_are_shared_out_whole():
    match, solved = stages("american-football")
    targets = solved[0].task.targets[0]
    plays = match_plays(match.sport.play_flow)
    share = target_shares(match, plays, targets)
    assert share.sum(axis=1) == pytest.approx(np.ones(len(share)))
    touchdown = np.flatnonzero((targets.moment == targets.moment_keys.index("touchdown")) & (targets.attack_x > 0))
    from_m = (share[touchdown].mean(axis=0) * plays.ball_m).sum()
    assert 20 < from_m < 45.72  # three in four start within 20 yards of the line
    assert share[touchdown][:, plays.attack_x < 0].sum() == 0


def test_matches_played_out_get_what_was_promised():
    match, solved = stages("american-football")
    follow = followed("american-football")
    worth = play_worth(match, follow.plays, solved[0].task.targets[0]).sum(axis=0)  # of all there is to film in a play
    scene, rng, n_matches = follow.scenes[0], np.random.default_rng(7), 10_000
    process, n = scene.process, len(follow.plays.index)
    ahead = process.chance.transpose(1, 0, 2).reshape(n, -1).cumsum(axis=1)
    ladder = (np.arange(n)[:, None] + ahead / ahead[:, -1:]).ravel()  # one rising line: state, then what follows
    kick_off = next(i for i, s in enumerate(follow.plays.states) if s.kind == "kick-off")
    for policy, told in ((scene.solution.policy, scene.policy), (scene.card.policy, scene.card.average)):
        state = np.full(n_matches, kick_off)
        place = np.full(n_matches, int(scene.solution.value[kick_off].argmax()))
        seen, there = process.reward[state, place].sum(), worth[state].sum()
        for _ in range(160):
            drawn = np.searchsorted(ladder, state + rng.random(n_matches), side="right")
            kind, state = np.divmod(np.minimum(drawn, ladder.size - 1) % ahead.shape[1], n)
            place = policy.to[kind, state, place]
            seen += process.reward[state, place].sum()
            there += worth[state].sum()
        assert seen / there == pytest.approx(told.reward, abs=0.005)


@cache
def pair(n_roam):
    match = default_match("hurling", cameras=2)
    cameras = tuple(replace(c, lenses=c.lenses[-1:], roam=Roam() if i < n_roam else None)
                    for i, c in enumerate(match.cameras))  # fmt: skip
    match = replace(match, cameras=cameras)
    return plan_follow(match, solve_stages(match))


def test_one_walks_and_the_other_stands_where_it_adds_most():
    (follow,) = pair(1)
    told = coverages(follow)
    assert told["policy"] > told["stand"] + 0.005
    assert told["policy"] <= follow.upper_bound
    alone = coverages(followed("hurling"))
    assert told["policy"] > alone["policy"] + 0.02


def test_two_walk_each_on_its_side():
    one, two = pair(2)
    assert (one.scenes[0].stations.xyz_m[:, 1] <= 0).all()
    assert (two.scenes[0].stations.xyz_m[:, 1] >= 0).all()
    assert coverages(two)["policy"] > coverages(pair(1)[0])["stand"]
    match = default_match("hurling", cameras=3)
    match = replace(match, cameras=tuple(replace(c, roam=Roam()) for c in match.cameras))
    with pytest.raises(InputError, match="at most 2"):
        plan_follow(match, [])


def test_a_second_body_carries_the_other_lens():
    one, two = followed("hurling"), followed("hurling", bodies=2)
    assert len(two.scenes[0].stations.lenses) == 2
    assert coverages(two)["policy"] >= coverages(one)["policy"] - 1e-3


def test_a_sport_that_does_not_say_how_play_moves_is_refused():
    match, solved = stages("badminton")
    camera = replace(match.cameras[0], roam=Roam())
    with pytest.raises(InputError, match="does not say how play moves"):
        plan_follow(replace(match, cameras=(camera,)), solved)


def test_out_of_time_a_walk_is_left_out_and_the_plan_says_so():
    """The clock is looked at before every problem that is solved; with no time at all there is still a plan."""
    match, solved = stages("american-football")
    match = replace(match, cameras=(replace(match.cameras[0], roam=Roam()),))
    looks = []

    def in_time():
        looks.append(None)
        if len(looks) == 3:
            raise OutOfTimeError

    with pytest.raises(OutOfTimeError):
        plan_follow(match, solved, in_time=in_time)
    hurried = plan(match, time_limit_s=0.01)
    assert hurried.follow == ()
    assert "the walk with play left out" in hurried.caveat
    assert hurried.periods[0].assignments[0].camera == match.cameras[0].name
