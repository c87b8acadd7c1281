"""All advice round a plan, worked out from the same figures as the plan itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import Any

import numpy as np

from standmark.optimizer.advice.another_camera import Addition, next_camera
from standmark.optimizer.advice.ask import Ask, asks
from standmark.optimizer.advice.bag import BagAdvice, bag_advice
from standmark.optimizer.advice.competition import Objection, objections
from standmark.optimizer.advice.doubt import Doubt, doubt
from standmark.optimizer.advice.fallback import Fallback, SpotValues, fallback_beyond, fallback_outside, spot_values
from standmark.optimizer.advice.grid_people import grid_people
from standmark.optimizer.advice.handover import Handover, handover_lines
from standmark.optimizer.advice.height import HeightPoint, height_curve
from standmark.optimizer.advice.kit_value import CurvePoint, KitValue, camera_curve, kit_values
from standmark.optimizer.advice.lost import Lost, lost_cameras
from standmark.optimizer.advice.refusal import KindRefusal, Refusal, kind_refusals, refusals
from standmark.optimizer.advice.remedy import Limits, limits
from standmark.optimizer.advice.replan import replan, stages_value
from standmark.optimizer.advice.stay_or_move import Interval, stay_or_move
from standmark.optimizer.advice.straight_handover import StraightHandover, straight_handover
from standmark.optimizer.advice.taste import Taste, tastes
from standmark.optimizer.advice.tolerance import Drift, tolerances
from standmark.optimizer.advice.toss import TossOutcome, toss_outcomes
from standmark.optimizer.choice.memory import OutOfTimeError
from standmark.optimizer.choice.stage import Stage, row_worths, stage_stations, twin_of
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.ground_map import ground_map, ground_mesh
from standmark.optimizer.work.line_of_action import crossing_pairs, moment_ends
from standmark.sports.sport import Period

MAYBE = "one_side_loss", "doubt", "bag", "kit", "curve"  # parts that are None where nothing is known


@dataclass(frozen=True, eq=False)
class CameraAdvice:
    """What one camera should know of its spot in a stage."""

    camera: str
    fallback: Fallback | None  # best spot at least rules.fallback_m away
    other_area: Fallback | None  # best spot in another area
    tolerance: tuple[Drift, ...]
    limits: Limits
    spots: SpotValues


@dataclass(frozen=True, eq=False)
class StageAdvice:
    """Advice for periods that share one choice of places."""

    periods: tuple[str, ...]  # keys
    cameras: tuple[CameraAdvice, ...]
    next_camera: Addition | None


@dataclass(frozen=True, eq=False)
class Advice:
    """Everything a crew lead needs to decide beyond the plan itself; coverage figures are of the whole match."""

    stages: tuple[StageAdvice, ...]
    intervals: tuple[Interval, ...]
    toss: tuple[TossOutcome, ...]
    refusals: tuple[Refusal, ...]
    kind_refusals: tuple[KindRefusal, ...]
    lost: tuple[Lost, ...]  # the best plan without each camera; () for one
    one_side_loss: float | None  # coverage that keeping to one side of the line of action costs; None: no such plan
    handovers: tuple[tuple[Handover, ...], ...]  # for each period
    ask: tuple[Ask, ...]  # raised places to ask for, dearest first
    objections: tuple[Objection, ...]  # of published rules, where the match keeps to none
    height: tuple[HeightPoint, ...]  # what the first camera alone covers from higher up
    straight: tuple[StraightHandover, ...]  # for each period; () for one camera
    faces: tuple[Taste, ...]  # what other wishes for faces would choose, where that stands elsewhere
    doubt: Doubt | None  # how much hangs on our guesses; None: no time for it
    bag: BagAdvice | None  # None: the sport does not say what it asks for
    kit: tuple[KitValue, ...] | None  # None: not asked for
    curve: tuple[CurvePoint, ...] | None
    left_out: tuple[str, ...] = ()  # fields for which there was no time: empty, and nothing is known of them


def plan_advice(match: Match, stages: Sequence[Stage], *, is_full: bool) -> Advice:
    """Work out the advice round the chosen places of every stage, as much of it as there is time for.

    Parameters
    ----------
    is_full : also what further lenses and cameras add, which takes a new plan for each
    """
    if np.isinf(stages[0].memory.deadline):
        return Advice(**dict(advice_parts(match, stages, is_full=is_full)))
    parts: dict[str, Any] = {}
    for name, work in _parts(match, stages, is_full=is_full):
        try:
            stages[0].memory.in_time()
            part = work()
            stages[0].memory.in_time()  # a part that ends too late may have been cut short
            parts[name] = part
        except OutOfTimeError:
            continue
    n_periods = sum(len(s.task.periods) for s in stages)
    nothing: dict[str, Any] = dict.fromkeys((f.name for f in fields(Advice)), ()) | dict.fromkeys(MAYBE) | {
        "handovers": n_periods * ((),)
    }  # fmt: skip
    left_out = tuple(name for name in nothing if name not in parts and name != "left_out")
    return Advice(**(nothing | parts | {"left_out": left_out}))


def advice_parts(match: Match, stages: Sequence[Stage], *, is_full: bool) -> Iterator[tuple[str, Any]]:
    """Work out advice part by part: each field of `Advice` by its name, what is asked first at the front.

    Raises
    ------
    Stopped : between two parts, where the memory of the stages says so
    """
    for name, work in _parts(match, stages, is_full=is_full):
        stages[0].memory.checkpoint()
        yield name, work()


def _parts(match: Match, stages: Sequence[Stage], *, is_full: bool) -> list[tuple[str, Callable[[], object]]]:
    """Name of each part, and how to work it out."""
    lines = cache(lambda: _handovers(match, stages))
    people = cache(lambda: grid_people(stages[0].grid))
    return [
        ("stages", lambda: _stage_advices(match, stages)),
        ("refusals", lambda: refusals(match, stages)),
        ("kind_refusals", lambda: kind_refusals(match, stages)),
        ("ask", lambda: asks(match, stages)),
        ("intervals", lambda: stay_or_move(match, stages)),
        ("toss", lambda: toss_outcomes(match, stages)),
        ("one_side_loss", lambda: _one_side_loss(match, stages)),
        ("lost", lambda: lost_cameras(match, stages, people())),
        ("handovers", lambda: tuple(bent for bent, _ in lines())),
        ("straight", lambda: tuple(straight for _, straight in lines() if straight is not None)),
        ("height", lambda: height_curve(match, stages)),
        ("objections", lambda: objections(match, stages)),
        ("faces", lambda: tastes(match, stages, people())),
        ("doubt", lambda: doubt(match, stages, people())),
        ("bag", lambda: bag_advice(match, stages, people())),
        ("kit", lambda: kit_values(match, stages, people()) if is_full else None),
        ("curve", lambda: camera_curve(match, stages, people()) if is_full else None),
    ]


def _stage_advices(match: Match, stages: Sequence[Stage]) -> tuple[StageAdvice, ...]:
    told: list[StageAdvice] = []
    for i, stage in enumerate(stages):
        twin = twin_of(stage, stages[:i])
        told.append(_stage_advice(match, stage, None if twin is None else told[twin]))
    return tuple(told)


def _stage_advice(match: Match, stage: Stage, known: StageAdvice | None) -> StageAdvice:
    periods = tuple(p.key for p in stage.task.periods)
    if known is not None:
        return StageAdvice(periods, known.cameras, known.next_camera)
    cameras = tuple(_camera_advice(match, stage, i) for i in range(len(match.cameras)))
    return StageAdvice(periods, cameras, next_camera(match, stage))


def _one_side_loss(match: Match, stages: Sequence[Stage]) -> float | None:
    if len(match.cameras) == 1 or match.rules.same_side != "warn" or not any(_best_crosses(s) for s in stages):
        return 0.0
    kept = replan(replace(match, rules=replace(match.rules, same_side="forbid")), stages)
    return None if kept is None else max(stages_value(stages) - kept.coverage, 0.0)


def _best_crosses(stage: Stage) -> bool:
    """Does the proven best take any moment from opposite sides of its line of action."""
    rows = list(stage.result.rows)
    xyz_m = stage.grid.candidates.xyz_m[[stage.grid.rows.position(row) for row in rows]]
    first = 0
    for targets in stage.task.targets:
        quality = stage.problem.quality[rows, first : first + len(targets.weight)]
        first += len(targets.weight)
        if any(e.is_ruled and crossing_pairs(e, targets, xyz_m, quality).any() for e in moment_ends(targets)):
            return True
    return False


Handed = tuple[tuple[Handover, ...], StraightHandover | None]


def _handovers(match: Match, stages: Sequence[Stage]) -> list[Handed]:
    """Lines for each period of each stage, bent and straight; none for a single camera."""
    handovers: list[Handed] = []
    for i, stage in enumerate(stages):
        twin = twin_of(stage, stages[:i])
        if len(match.cameras) == 1:
            handovers += [((), None)] * len(stage.task.periods)
        elif twin is not None:
            first = sum(len(s.task.periods) for s in stages[:twin])
            handovers += handovers[first : first + len(stage.task.periods)]
        else:
            handovers += [_lines(match, stage, period) for period in stage.task.periods]
    return handovers


def _lines(match: Match, stage: Stage, period: Period) -> Handed:
    ground = ground_map(match, ground_mesh(match, period), stage_stations(match, stage))
    spots_m = stage.grid.candidates.xyz_m[list(stage.positions)]
    names = tuple(c.name for c in match.cameras)
    return (
        handover_lines(names, spots_m, ground, match.sport.area.outline),
        straight_handover(names, ground),
    )


def _camera_advice(match: Match, stage: Stage, index: int) -> CameraAdvice:
    worths = row_worths(stage, index)
    return CameraAdvice(
        camera=match.cameras[index].name,
        fallback=fallback_beyond(match, stage, index, worths, distance_m=match.rules.fallback_m),
        other_area=fallback_outside(match, stage, index, worths),
        tolerance=tolerances(match, stage, index),
        limits=limits(match, stage, index),
        spots=spot_values(stage, worths),
    )
