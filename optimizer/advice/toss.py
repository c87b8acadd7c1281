"""Ends unknown before the toss: what the plan covers under each outcome, and what to switch once it is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.replan import MOST_WORK
from standmark.optimizer.choice.fewest_moves import renamed
from standmark.optimizer.choice.grid import match_tasks, quality_grid, task_quality
from standmark.optimizer.choice.rules import stage_problem
from standmark.optimizer.choice.stage import Stage, proof_tolerance
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import search, set_value
from standmark.optimizer.work.assignment import Spot, spot_at
from standmark.optimizer.work.walk import Walk, walk_between
from standmark.sports.timeline import length_shares

AttackEnd = Literal["+x", "-x"]
ATTACKS: tuple[AttackEnd, ...] = ("+x", "-x")


@dataclass(frozen=True)
class Switch:
    """Where one camera goes in one stage once the ends are known."""

    period: str  # key of the stage's first period
    camera: str
    spot: Spot
    lens: Lens
    walk: Walk  # from its place in the plan; of no length when it stays


@dataclass(frozen=True)
class TossOutcome:
    """One outcome of the toss."""

    first_attack: AttackEnd  # what our side attacks first
    stay: float  # coverage of the whole match in the planned places
    best: float  # coverage in the places for this outcome
    switches: tuple[Switch, ...]


def toss_outcomes(match: Match, stages: Sequence[Stage]) -> tuple[TossOutcome, ...]:
    """Both outcomes of the toss; none when the ends are known or both sides weigh the same."""
    if match.first_attack != "unknown" or match.cover == "both":
        return ()
    return tuple(_outcome(match, stages, attack) for attack in ATTACKS)


def _outcome(match: Match, stages: Sequence[Stage], attack: AttackEnd) -> TossOutcome:
    known = replace(match, first_attack=attack)
    tasks = match_tasks(known)
    grid = quality_grid(known, tasks, stages[0].grid.candidates, known=stages[0].grid, memory=stages[0].memory)
    share = length_shares(tasks)
    stay, best, switches = [], [], []
    for stage, task in zip(stages, tasks, strict=True):
        problem = stage_problem(
            known, task, candidates=grid.candidates, rows=grid.rows, quality=task_quality(grid, task)
        )
        stages[0].memory.in_time()
        result = search(
            problem,
            tolerance=proof_tolerance(len(match.cameras)),
            time_limit_s=stages[0].memory.left_s(),
            on_progress=lambda *_: stages[0].memory.checkpoint(),
            most_work=MOST_WORK,
        )
        rows = result.rows or stage.chosen
        stay.append(set_value(problem, stage.chosen))
        best.append(max(set_value(problem, rows), stay[-1]))
        switches += [_switch(known, stage, i, row) for i, row in enumerate(renamed(known, stage, problem, rows))]
    return TossOutcome(attack, float(share @ stay), float(share @ best), tuple(switches))


def _switch(match: Match, stage: Stage, camera: int, row: int) -> Switch:
    places, rows = stage.grid.candidates, stage.grid.rows
    at = rows.position(row)
    planned_m, wanted_m = (tuple(places.xyz_m[i, :2].tolist()) for i in (stage.positions[camera], at))
    return Switch(
        period=stage.task.periods[0].key,
        camera=match.cameras[camera].name,
        spot=spot_at(places.area_keys[int(places.area[at])], *places.xyz_m[at]),
        lens=rows.outfit(row).lens,
        walk=walk_between(match, planned_m, wanted_m),
    )
