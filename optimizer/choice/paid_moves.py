"""Moves that pay: a camera walks in an interval only if that earns the price of the move.

A move costs `rules.move_cost`, and as many times that as its true way on foot is longer than 200 m. A plan is worth
what it covers less these true prices. The search knows one price for every move: asked at the least one it bounds all
plans, as dearer walks only take more away; where that leaves a gap, `move_bound.py` bounds them at the true prices. Its
plan, that of the stages on their own and one at the price of the longest walk are then improved one camera and stage
at a time at the true prices; the best is taken, and the plan says what may be left to the bound.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.memory import OutOfTimeError
from standmark.optimizer.choice.move_bound import bound_at_true_prices
from standmark.optimizer.choice.rules import keeps_floors
from standmark.optimizer.choice.stage import Stage, others_level, proof_tolerance, row_worths
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import search_periods, set_value
from standmark.optimizer.search.verify import certified_worth, dearest_total
from standmark.optimizer.work.walk import walk_between
from standmark.sports.timeline import length_shares

MOST_ROUNDS = 20  # of taking other places: a safeguard
LEAST_GAIN = 1e-9
LEAST_TOLD = 1e-4  # coverage left to the bound that a plan mentions
PRICED_M = 200.0  # a walk up to this, under three minutes with kit, has the least price; common practice, no source


def with_paid_moves(match: Match, stages: Sequence[Stage], *, time_limit_s: float | None = None) -> list[Stage]:
    """Choose again over all stages together, where moves cost something and stages differ.

    Most often ends change and every stay costs far more than every move; that is seen from the bounds of the
    stages alone, and every camera moves. Otherwise every way to stay and move is searched.
    """
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    least = match.rules.move_cost
    if least <= 0 or all(s.problem is stages[0].problem for s in stages):
        return list(stages)
    share = length_shares(s.task for s in stages)
    n_moves = len(match.cameras) * (len(stages) - 1)
    if _every_stay_loses(stages, share, at_least=_dearest(match, stages) * n_moves):
        bound, doubt = float(share @ [s.result.upper_bound for s in stages]) - least * n_moves, ""
        plans = [list(stages)]
    else:
        first, bound, doubt = _searched(stages, share, least, deadline)
        plans, dearest = [first, list(stages)], _dearest(match, first)
        if dearest > least and time.monotonic() <= deadline:
            plans.append(_searched(stages, share, dearest, deadline)[0])

    def worth(plan: Sequence[Stage]) -> float:
        return float(share @ [s.value for s in plan]) - sum(_prices(match, plan))

    best = max((_improved(match, plan, share) for plan in plans), key=worth)
    if bound - worth(best) > LEAST_TOLD and time.monotonic() <= deadline:
        bound = min(
            bound,
            bound_at_true_prices(
                match, stages, share, least=least, price=partial(_price_of, match), at_hand=worth(best)
            ),
        )
    left = bound - worth(best)
    if not doubt and left > LEAST_TOLD:
        doubt = f"shorter walks may gain up to {100 * left:.1f} % more"
    return [replace(s, caveat="; ".join(filter(None, (s.caveat, doubt)))) for s in best]


def _improved(match: Match, stages: Sequence[Stage], share: Floats) -> list[Stage]:
    """Let one camera in one stage take another place as long as that gains at the true prices and time is left."""
    now = list(stages)
    for _ in range(MOST_ROUNDS):
        before = [s.chosen for s in now]
        for at in range(len(now)):
            for camera in range(len(match.cameras)):
                try:
                    stages[0].memory.in_time()
                except OutOfTimeError:
                    return now
                now[at] = _better_row(match, now, share, at, camera)
        if before == [s.chosen for s in now]:
            break
    return now


def _better_row(match: Match, stages: Sequence[Stage], share: Floats, at: int, camera: int) -> Stage:
    """One stage with one camera where it is worth most less the walks there and on, everything else kept."""
    stage, n = stages[at], stages[at].grid.rows.n_positions
    beside = [s.positions[camera] for s in (*stages[max(at - 1, 0) : at], *stages[at + 1 : at + 2])]
    xyz_m, level = stage.grid.candidates.xyz_m, others_level(stage, camera)
    value = share[at] * row_worths(stage, camera)
    least = np.zeros(n)
    for other in beside:
        least += match.rules.move_cost
        least[other] -= match.rules.move_cost
    most = value - np.tile(least, len(value) // n)

    def net(row: int) -> float:
        return float(value[row]) - sum(move_price(match, xyz_m[other], xyz_m[row % n]) for other in beside)

    best, best_net = stage.chosen[camera], net(stage.chosen[camera]) + LEAST_GAIN
    for row in np.argsort(-most, kind="stable").tolist():
        if most[row] <= best_net:
            break
        if net(row) > best_net and keeps_floors(stage.problem, np.maximum(level, stage.problem.quality[row])):
            best, best_net = row, net(row)
    chosen = tuple(best if i == camera else row for i, row in enumerate(stage.chosen))
    return stage if chosen == stage.chosen else replace(stage, chosen=chosen, value=set_value(stage.problem, chosen))


def move_price(match: Match, before_m: Floats, after_m: Floats) -> float:
    """Coverage of the whole match that a move between two places has to earn."""
    if (before_m == after_m).all():
        return 0.0
    walk = walk_between(match, _place(before_m), _place(after_m))
    return float(_price_of(match, np.array(walk.length_m)))


def _price_of(match: Match, length_m: Floats) -> Floats:
    """Price of moves by the lengths of their walks."""
    return np.asarray(match.rules.move_cost * np.maximum(1.0, length_m / PRICED_M))


def _place(xyz_m: Floats) -> tuple[float, float]:
    return float(xyz_m[0]), float(xyz_m[1])


def _prices(match: Match, stages: Sequence[Stage]) -> list[float]:
    """Price of each camera's move in each interval."""
    spots_m = [s.grid.candidates.xyz_m[list(s.positions)] for s in stages]
    return [move_price(match, a, b) for now, then in pairwise(spots_m) for a, b in zip(now, then, strict=True)]


def _dearest(match: Match, stages: Sequence[Stage]) -> float:
    return max([match.rules.move_cost, *_prices(match, stages)])


def _searched(stages: Sequence[Stage], share: Floats, price: float, deadline: float) -> tuple[list[Stage], float, str]:
    """Choose over all stages together where every move has the same price.

    Returns
    -------
    the plan; what no plan is worth more than at that price; what is not proven of it, "" for nothing
    """
    left_s = None if np.isinf(deadline) else max(deadline - time.monotonic(), 0.01)
    rows = stages[0].grid.rows
    result = search_periods(
        tuple(replace(s.problem, weight=s.problem.weight * part) for s, part in zip(stages, share, strict=True)),
        row_place=np.arange(len(rows.outfits) * rows.n_positions) % rows.n_positions,
        move_cost=price,
        time_limit_s=left_s,
        tolerance=proof_tolerance(len(stages[0].chosen)),
    )
    if not result.rows:
        return list(stages), np.inf, "whether every move earns its cost is not proven"
    doubt = "" if result.status == "optimal" else "whether every move earns its cost is not proven"
    plan = [replace(s, chosen=own, value=set_value(s.problem, own)) for s, own in zip(stages, result.rows, strict=True)]
    return plan, result.upper_bound, doubt


def _every_stay_loses(stages: Sequence[Stage], share: Floats, *, at_least: float) -> bool:
    """Does any camera that keeps its place over any interval lose so much coverage of the whole match.

    From the certificates: a set is worth at most the base of its prices plus what its rows add above them. When
    one camera stays, its two rows lie at one place, and the others are no better than the dearest rows.
    """
    told = [certified_worth(s.problem, s.result.certificate) for s in stages]
    return all(
        _least_loss(stages[j : j + 2], share[j : j + 2], told[j : j + 2]) >= at_least for j in range(len(stages) - 1)
    )


def _least_loss(stages: Sequence[Stage], share: Floats, told: Sequence[tuple[float, Floats]]) -> float:
    """Coverage of the whole match that is lost at least when some camera keeps its place over one interval."""
    n = stages[0].grid.rows.n_positions
    bounds = []
    for camera in range(len(stages[0].chosen)):
        bound, at_place = 0.0, np.zeros(n)
        for stage, part, (base, worth) in zip(stages, share, told, strict=True):
            rows_by_camera = stage.problem.rows_by_camera
            own = np.full(len(worth), -np.inf)
            own[rows_by_camera[camera]] = worth[rows_by_camera[camera]]
            at_place += part * own.reshape(-1, n).max(axis=0)
            others = [rows for i, rows in enumerate(rows_by_camera) if i != camera]
            bound += part * (base + (dearest_total(others, worth) if others else 0.0))
        bounds.append(bound + float(at_place.max()))
    now = sum(part * stage.result.value for stage, part in zip(stages, share, strict=True))
    return float(now - max(bounds))
