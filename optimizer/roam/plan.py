"""From a match and its standing plan to a walk: the best policy, a card of it, and what each way to work covers.

One camera walks, the others stand. Periods that share pictures and light are one scene; a break between periods is
long, so that scenes do not hang together.

Redeployment of servers by dynamic programming: M. S. Maxwell, M. Restrepo, S. G. Henderson and H. Topaloglu,
INFORMS Journal on Computing, 2010, doi 10.1287/ijoc.1090.0345; facilities of which some move: H. Guden and H. Sural,
Computers & Industrial Engineering 135 (2019), 615-627.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce

import numpy as np

from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.geometry.errors import InputError
from standmark.geometry.walk import way_lengths_m
from standmark.optimizer.choice.grid import stage_task, task_quality
from standmark.optimizer.choice.rules import rows_beside
from standmark.optimizer.choice.stage import Stage, stage_stations
from standmark.optimizer.match.match import Match, Roam
from standmark.optimizer.roam.card import Card, best_card, told_card, turned_card
from standmark.optimizer.roam.case import LensCase, averages, case_of, price_within, solve_scenes, upper_bound
from standmark.optimizer.roam.follow import Beside, FollowPlan, SceneFollow
from standmark.optimizer.roam.methods import curve_of, methods_of
from standmark.optimizer.roam.plays import Plays, match_plays
from standmark.optimizer.roam.process import PROOF, Solution, average, free_bound
from standmark.optimizer.roam.stations import (
    SceneTargets,
    all_stations,
    play_worth,
    some_places,
    with_every_lens,
)
from standmark.optimizer.value.targets import same_targets
from standmark.optimizer.work.walk import match_terrain
from standmark.sports.sport import Period

WORTH_OF_KM = 0.01  # coverage that a further kilometre of walking must add: one per cent
MOST_WALKERS = 2
MOST_TURNS = 2  # of setting standing cameras and walk beside each other
TURN_WORTH = 0.002  # coverage that a turn must gain
SELDOM = 2e-3  # share of plays under which a place of a walk is left out beside it
SAME_CARD = 0.01  # coverage that one card for all scenes may cost


@dataclass(frozen=True, eq=False)
class _Look:
    """Periods that share pictures, light and the places of the other cameras."""

    periods: tuple[Period, ...]
    stage: Stage
    scene: SceneTargets
    standing: float  # coverage of the standing plan


def plan_follow(
    match: Match, stages: Sequence[Stage], *, in_time: Callable[[], None] = lambda: None
) -> tuple[FollowPlan, ...]:
    """Plan the walk of each camera that roams.

    The cameras that stand are placed again beside one that walks, and the walk is planned again beside them, as long as
    that gains: each is the best beside the other, which is not proven to be the best of both together. Two that walk
    keep to a side each, and each is planned beside where the other is most often.

    Parameters
    ----------
    in_time : called now and then; what it raises ends the work

    Raises
    ------
    InputError : the sport does not say how play moves, a camera has no place to walk to, or over two roam
    """
    walkers = [i for i, c in enumerate(match.cameras) if c.roam is not None]
    if len(walkers) > MOST_WALKERS:
        raise InputError(f"{len(walkers)} cameras roam; allowed: at most {MOST_WALKERS}")
    if len(walkers) == 1:
        return (_with_others(match, stages, walkers[0], in_time),)
    if not walkers:
        return ()
    first, second = walkers
    one = _walk(match, stages, first, in_time, side=-1, is_alone=True)
    two = _walk(match, stages, second, in_time, side=1, partner=one)
    one = _walk(match, stages, first, in_time, side=-1, partner=two)
    return one, _walk(match, stages, second, in_time, side=1, partner=one)


def _with_others(match: Match, stages: Sequence[Stage], camera: int, in_time: Callable[[], None]) -> FollowPlan:
    """One camera walks, the others stand: each the best beside the other.

    It begins from the standing plan and from somebody who walks as if alone; what gets more is kept.
    """
    best = _walk(match, stages, camera, in_time)
    if len(match.cameras) == 1:
        return best
    now, last = list(stages), _walk(match, stages, camera, in_time, is_alone=True)
    for _ in range(MOST_TURNS):
        now = [_set_beside(match, stage, camera, last) for stage in now]
        last = _walk(match, now, camera, in_time, before=stages)
        if last.method("policy").coverage < best.method("policy").coverage + TURN_WORTH:
            break
        best = last
    return best


def _set_beside(match: Match, stage: Stage, camera: int, follow: FollowPlan) -> Stage:
    """Put each camera that stands where it adds most to one that walks."""
    chosen = list(stage.chosen)
    minutes = np.array([p.minutes for p in stage.task.periods])
    for other in range(len(chosen)):
        if other == camera:
            continue
        standing = [row for i, row in enumerate(chosen) if i not in (camera, other)]
        own = rows_beside(stage.problem, other, standing)
        value = np.zeros(len(own))
        for index, (period, targets, around) in enumerate(stage.task.by_period):
            quality = task_quality(stage.grid, stage_task([(period, targets, around)]))
            scene = next(s for s in follow.scenes if any(p.key == period.key for p in s.periods))
            here = play_worth(match, follow.plays, targets) @ scene.policy.share  # (n_targets, n_places)
            fixed = quality[standing].max(axis=0, initial=0.0)
            for place in np.flatnonzero(scene.policy.share.sum(axis=0) > SELDOM):
                level = np.maximum(quality[scene.stations.row[place]], fixed)
                value += np.maximum(quality[own], level) @ here[:, place] * minutes[index] / minutes.sum()
        chosen[other] = int(own[value.argmax()])
    return replace(stage, chosen=tuple(chosen))


def _walk(
    match: Match,
    stages: Sequence[Stage],
    camera: int,
    in_time: Callable[[], None],
    *,
    side: int = 0,
    partner: FollowPlan | None = None,
    before: Sequence[Stage] | None = None,
    is_alone: bool = False,
) -> FollowPlan:
    """Plan one walk beside the other cameras.

    Parameters
    ----------
    side : -1, +1: only places with y of this sign; 0: all
    partner : the other camera that walks
    before : the standing plan, where the cameras that stand have been placed again since
    is_alone : as if there were no other cameras
    """
    name, flow, roam = match.cameras[camera].name, match.sport.play_flow, match.cameras[camera].roam
    assert roam is not None
    if flow is None:
        raise InputError(f'camera "{name}": roam: {match.sport.name} does not say how play moves; leave roam out')
    plays = match_plays(flow)
    looks = list(_looks(match, stages, camera, partner, before or stages, plays, is_alone=is_alone))
    rows = reduce(np.intersect1d, [_own_rows(match, look.stage, camera, roam, side) for look in looks])
    if not len(rows):
        raise InputError(f'camera "{name}": roam: no place is open to it all through the match; check roam.areas')
    share = np.array([sum(p.minutes for p in look.periods) for look in looks])
    share = share / share.sum()
    case = _best_case(match, plays, looks, rows, share, roam, in_time=in_time)
    worth = price_within(case, WORTH_OF_KM, roam.most_m)
    solutions = solve_scenes(case, worth, proof=PROOF)
    scenes = tuple(
        _scene(case, i, look.periods, solutions[i], worth, _ours_x(match, look.periods[0]))
        for i, look in enumerate(looks)
    )
    scenes = _with_one_card(case, scenes, share)
    return FollowPlan(
        camera=match.cameras[camera],
        plays=plays,
        scenes=scenes,
        methods=tuple(methods_of(match, case, [look.standing for look in looks], scenes)),
        upper_bound=float(share @ [s.upper_bound for s in scenes]),
        free=float(share @ [s.free for s in scenes]),
        curve=tuple(curve_of(case, solutions)),
        worth_of_km=worth,
        beside=() if before is None else tuple(_moved(match, stages, before)),
    )


def _moved(match: Match, stages: Sequence[Stage], before: Sequence[Stage]) -> Iterator[Beside]:
    """Cameras that stand elsewhere than in the standing plan."""
    for stage, old in zip(stages, before, strict=True):
        spots = zip(stage_stations(match, stage), stage.chosen, old.chosen, strict=True)
        for station, row, was in spots:
            if row != was:
                yield Beside(station.camera.name, stage.task.periods, station.spot, station.outfit.lens.name)


def _looks(
    match: Match,
    stages: Sequence[Stage],
    camera: int,
    partner: FollowPlan | None,
    before: Sequence[Stage],
    plays: Plays,
    *,
    is_alone: bool,
) -> Iterator[_Look]:
    looks: list[_Look] = []
    for stage, old in zip(stages, before, strict=True):
        task = stage.task
        for period, targets, around in task.by_period:
            quality = task_quality(stage.grid, stage_task([(period, targets, around)]))
            partner_name = "" if partner is None else partner.camera.name
            others = [
                row
                for i, row in enumerate(stage.chosen)
                if not is_alone and i != camera and match.cameras[i].name != partner_name
            ]
            level: Singles = quality[others].max(axis=0, initial=0.0)[None]
            level_share = np.ones((1, len(plays.index)), dtype=np.float32)
            if partner is not None:
                scene = next(s for s in partner.scenes if any(p.key == period.key for p in s.periods))
                often = np.flatnonzero(scene.policy.share.sum(axis=0) > SELDOM)
                level = np.maximum(quality[scene.stations.row[often]], level)
                share = scene.policy.share[:, often].T
                level_share = (share / np.maximum(share.sum(axis=0), 1e-12)).astype(np.float32)
            look = _Look(
                (period,),
                stage,
                SceneTargets(targets, quality, level, level_share),
                float(targets.weight @ quality[list(old.chosen)].max(axis=0)),
            )
            same = next((i for i, had in enumerate(looks) if _is_same(had, look)), None)
            if same is None:
                looks.append(look)
            else:
                looks[same] = replace(looks[same], periods=(*looks[same].periods, period))
    yield from looks


def _is_same(first: _Look, second: _Look) -> bool:
    one, other = first.scene, second.scene
    return (
        first.stage.chosen == second.stage.chosen
        and one.quality is other.quality
        and same_targets(one.targets, other.targets)
    )


def _own_rows(match: Match, stage: Stage, camera: int, roam: Roam, side: int) -> Indices:
    """Rows that the walker may take: in its areas, on its side, apart from the cameras that stand."""
    grid = stage.grid
    own = stage.problem.rows_by_camera[camera]
    position = own % grid.rows.n_positions
    ok = np.ones(len(own), dtype=bool)
    if roam.areas is not None:
        ok &= np.isin(
            grid.candidates.area[position], [i for i, a in enumerate(match.venue.allowed) if a.key in roam.areas]
        )
    if side:
        ok &= grid.candidates.xyz_m[position, 1] * side >= 0
    for other, place in enumerate(stage.positions):
        if other != camera and match.cameras[other].roam is None:
            away = grid.candidates.xyz_m[position, :2] - grid.candidates.xyz_m[place, :2]
            ok &= np.hypot(*away.T) >= match.rules.separation_m
    return own[ok]


def _best_case(
    match: Match,
    plays: Plays,
    looks: Sequence[_Look],
    rows: Indices,
    share: Floats,
    roam: Roam,
    *,
    in_time: Callable[[], None],
) -> LensCase:
    """The lens to carry: the one with the best policy; with two bodies, every lens."""
    by_lens = list(zip(*(all_stations(match, plays, look.stage, look.scene, rows) for look in looks), strict=True))
    if roam.bodies > 1:
        by_lens = [tuple(with_every_lens(own) for own in zip(*by_lens, strict=True))]
    distance_m = way_lengths_m(match_terrain(match), by_lens[0][0].xyz_m[:, :2])
    best, most = None, -np.inf
    for own in by_lens:
        free = float(share @ [plays.occupancy @ s.ceiling.max(axis=1) for s in own])
        if free <= most:
            continue
        case = case_of(plays, own, share, speed_m_s=roam.speed_m_s, distance_m=distance_m, in_time=in_time)
        told = averages(case, solve_scenes(case, WORTH_OF_KM, proof=1e-3)) if len(by_lens) > 1 else []
        value = float(share @ [a.reward for a in told]) if told else 0.0
        if value > most:
            best, most = case, value
    assert best is not None
    return best


def _scene(
    case: LensCase, i: int, periods: tuple[Period, ...], solution: Solution, worth: float, ours_x: int
) -> SceneFollow:
    process = case.process(i, worth)
    stations = some_places(case.stations[i], case.kept)
    policy = average(process, solution.policy)
    card = best_card(process, case.plays, stations.xyz_m[:, :2], now=policy, value=solution.value)
    whole = case.whole_process(i)
    return SceneFollow(
        periods, stations, process, solution, policy, card, upper_bound(case, i), free_bound(whole), ours_x
    )


def _with_one_card(case: LensCase, scenes: tuple[SceneFollow, ...], share: Floats) -> tuple[SceneFollow, ...]:
    """Give all scenes the same card where one is nearly as good in all of them as each scene's own.

    Where sides weigh differently, the card goes with the side, and is turned round when ends are changed.
    """
    if len(scenes) == 1:
        return scenes
    best, most = scenes, float(share @ [s.card.average.reward for s in scenes]) - SAME_CARD
    for source in scenes:
        given = tuple(replace(s, card=_card_for(case, source, s)) for s in scenes)
        value = float(share @ [s.card.average.reward for s in given])
        if value > most:
            best, most = given, value
    return best


def _card_for(case: LensCase, source: SceneFollow, scene: SceneFollow) -> Card:
    if source is scene:
        return scene.card
    if source.ours_x != scene.ours_x:
        return turned_card(scene.process, case.plays, source.card, scene.stations.xyz_m[:, :2])
    return told_card(scene.process, source.card.lines, source.card.goal)


def _ours_x(match: Match, period: Period) -> int:
    """Which way side A attacks in a period where that makes a difference; 0 where it makes none, or is not known."""
    if match.cover != "ours" or match.first_attack == "unknown" or period.attack not in ("first", "swapped"):
        return 0
    return -1 if (match.first_attack == "-x") != (period.attack == "swapped") else 1
