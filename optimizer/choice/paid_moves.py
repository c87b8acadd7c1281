"""Moves that pay: a camera walks in an interval only if that earns the price of the move.

A move costs `rules.move_cost`, and as many times that as its true way on foot is longer than 100 m. The search
knows one price for every move: it is asked at the least price, and again at that of the longest walk it found; the
plan that is worth more at the true prices is taken.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import search_periods, set_value
from standmark.optimizer.search.verify import certified_worth, dearest_total
from standmark.optimizer.work.walk import walk_between
from standmark.sports.timeline import length_shares

PRICED_M = 100.0  # a walk up to this has the least price; common practice, no source


def with_paid_moves(match: Match, stages: Sequence[Stage], *, time_limit_s: float | None = None) -> list[Stage]:
    """Choose again over all stages together, where moves cost something and stages differ.

    Most often ends change and every stay costs far more than every move; that is seen from the bounds of the
    stages alone. Otherwise every way to stay and move is searched.
    """
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    least = match.rules.move_cost
    if least <= 0 or all(s.problem is stages[0].problem for s in stages):
        return list(stages)
    dearest = _dearest(match, stages)
    share = length_shares(s.task for s in stages)
    if _every_stay_loses(stages, share, at_least=dearest * len(match.cameras) * (len(stages) - 1)):
        return list(stages)
    first = _searched(stages, share, least, deadline)
    dearest = _dearest(match, first)
    plans = [first] if dearest <= least else [first, _searched(stages, share, dearest, deadline)]
    return max(plans, key=lambda plan: float(share @ [s.value for s in plan]) - _total_price(match, plan))


def move_price(match: Match, before_m: Floats, after_m: Floats) -> float:
    """Coverage of the whole match that a move between two places has to earn."""
    if (before_m == after_m).all():
        return 0.0
    walk = walk_between(match, _place(before_m), _place(after_m))
    return match.rules.move_cost * max(1.0, walk.length_m / PRICED_M)


def _place(xyz_m: Floats) -> tuple[float, float]:
    return float(xyz_m[0]), float(xyz_m[1])


def _prices(match: Match, stages: Sequence[Stage]) -> list[float]:
    """Price of each camera's move in each interval."""
    spots_m = [s.grid.candidates.xyz_m[list(s.positions)] for s in stages]
    return [move_price(match, a, b) for now, then in pairwise(spots_m) for a, b in zip(now, then, strict=True)]


def _dearest(match: Match, stages: Sequence[Stage]) -> float:
    return max([match.rules.move_cost, *_prices(match, stages)])


def _total_price(match: Match, stages: Sequence[Stage]) -> float:
    return sum(_prices(match, stages))


def _searched(stages: Sequence[Stage], share: Floats, price: float, deadline: float) -> list[Stage]:
    """Choose over all stages together where every move has the same price."""
    left_s = None if np.isinf(deadline) else max(deadline - time.monotonic(), 0.01)
    rows = stages[0].grid.rows
    result = search_periods(
        tuple(replace(s.problem, weight=s.problem.weight * part) for s, part in zip(stages, share, strict=True)),
        row_place=np.arange(len(rows.outfits) * rows.n_positions) % rows.n_positions,
        move_cost=price,
        time_limit_s=left_s,
    )
    if not result.rows:
        return list(stages)
    doubt = "" if result.status == "optimal" else "whether every move earns its cost is not proven"
    return [
        replace(s, chosen=own, value=set_value(s.problem, own), caveat="; ".join(filter(None, (s.caveat, doubt))))
        for s, own in zip(stages, result.rows, strict=True)
    ]


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
