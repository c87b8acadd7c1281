"""One pattern of moves over several periods: its bound, and its best plan from growing pools of composites."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.search.composite import (
    Composites,
    Reading,
    Stint,
    best_at_places,
    composites_above,
    joined_pools,
    pooled_problem,
    read_at,
    worth_of_places,
)
from standmark.optimizer.search.exact import search_only
from standmark.optimizer.search.problem import Rows, SearchProblem

FIRST_PLACES = 150  # places of each stay in the first pool
POOL_VALUES = 60_000_000  # most figures in a pool of composites: 240 MB
MOST_POOLS = 10
ROUNDING_SLACK = 1e-4  # of the total weight: float32 sums of rho never miss a composite by more


@dataclass(frozen=True, eq=False)
class Schedule:
    """Rows of each period and camera, and what they are worth."""

    rows: tuple[tuple[int, ...], ...]
    value: float


@dataclass(frozen=True, eq=False)
class Question:
    """What is asked, the same for every pattern of moves."""

    problems: tuple[SearchProblem, ...]
    row_place: Rows
    move_cost: float
    tolerance: float  # in value, not a share of it
    deadline: float


def goal_of(question: Question, best: Schedule) -> float:
    """Value that a plan must exceed to be of interest; without one at hand, anything that pays for all moves."""
    if best.value > -np.inf:
        return best.value + question.tolerance
    return -question.move_cost * len(question.problems) * len(question.problems[0].rows_by_camera) - 1e-9


def left_s(question: Question) -> float | None:
    """Seconds left, None without a limit."""
    return None if np.isinf(question.deadline) else max(0.01, question.deadline - time.monotonic())


def search_pattern(
    question: Question,
    pattern: tuple[Stint, ...],
    kinds: tuple[tuple[int, ...], ...],
    best: Schedule,
    prices: tuple[Singles, Floats],
) -> tuple[Schedule, float]:
    """Best plan of one pattern of moves, if it beats the best known; and a bound on all its plans."""
    cost = question.move_cost * (len(pattern) - len(question.problems[0].rows_by_camera))
    groups = _alike(pattern, kinds)
    bound, pools = np.inf, _first_pools(question, groups, read_at(question.problems, *prices))
    for _turn in range(MOST_POOLS):
        reading = read_at(question.problems, *prices)
        worths = [worth_of_places(question.problems, question.row_place, reading, group[0]) for group in groups]
        tops = [len(group) * float(worth.max(initial=-np.inf)) for group, worth in zip(groups, worths, strict=True)]
        bound = min(bound, reading.base + sum(tops) - cost)
        goal = goal_of(question, best)
        if bound <= goal or time.monotonic() > question.deadline:
            return best, bound
        slack = ROUNDING_SLACK * sum(float(problem.weight.sum()) for problem in question.problems)
        most = POOL_VALUES // max(1, sum(problem.weight.size for problem in question.problems)) // len(groups)
        hopeful = [
            composites_above(
                question.problems,
                question.row_place,
                reading,
                group[0],
                least=goal + cost - reading.base - (sum(tops) - float(worth.max())) - slack,
                most=most + 1,
            )
            for group, worth in zip(groups, worths, strict=True)
        ]
        is_all = all(len(pool.rows) <= most for pool in hopeful)
        pools = hopeful if is_all else _grown(question, groups, pools, reading, worths)
        best, searched, prices = _search_pools(question, groups, pools, cost, best, prices)
        if is_all:
            return best, min(bound, max(searched, best.value))
    return best, bound


def _alike(pattern: tuple[Stint, ...], kinds: tuple[tuple[int, ...], ...]) -> list[list[Stint]]:
    """Stretches of like cameras over the same periods."""
    kind_of = {camera: index for index, kind in enumerate(kinds) for camera in kind}
    groups: dict[tuple[int, int, int], list[Stint]] = {}
    for stay in pattern:
        groups.setdefault((kind_of[stay.camera], stay.first, stay.stop), []).append(stay)
    return list(groups.values())


def _first_pools(question: Question, groups: list[list[Stint]], reading: Reading) -> list[Composites]:
    """Best composites of places spread over all that a camera may take."""
    pools = []
    for group in groups:
        worth = worth_of_places(question.problems, question.row_place, reading, group[0])
        places = np.flatnonzero(worth > -np.inf)
        spread = places[np.linspace(0, places.size - 1, min(places.size, FIRST_PLACES)).astype(np.intp)]
        pools.append(best_at_places(question.problems, question.row_place, reading, group[0], spread))
    return pools


def _grown(
    question: Question, groups: list[list[Stint]], pools: list[Composites], reading: Reading, worths: list[Floats]
) -> list[Composites]:
    """Add the dearest composites and the best of the dearest places to each pool."""
    grown = []
    for group, pool, worth in zip(groups, pools, worths, strict=True):
        places = np.argsort(-worth, kind="stable")[:FIRST_PLACES]
        best = best_at_places(question.problems, question.row_place, reading, group[0], places[worth[places] > -np.inf])
        dear = composites_above(
            question.problems, question.row_place, reading, group[0], least=-np.inf, most=FIRST_PLACES
        )
        grown.append(joined_pools(pool, best, dear))
    return grown


def _search_pools(
    question: Question,
    groups: list[list[Stint]],
    pools: list[Composites],
    cost: float,
    best: Schedule,
    prices: tuple[Singles, Floats],
) -> tuple[Schedule, float, tuple[Singles, Floats]]:
    """Search the composites at hand; returns the plan, the bound on them and the prices that gave it."""
    stays = [stay for group in groups for stay in group]
    pool_of = [pool for group, pool in zip(groups, pools, strict=True) for _stretch in group]
    problem, rows = pooled_problem(question.problems, pool_of)
    result = search_only(
        problem, time_limit_s=left_s(question), tolerance=question.tolerance, known_value=best.value + cost
    )
    if result.rows and result.value - cost > best.value:
        by_period = np.full((len(question.problems), len(question.problems[0].rows_by_camera)), -1, np.intp)
        for stay, composite in zip(stays, result.rows, strict=True):
            by_period[stay.first : stay.stop, stay.camera] = rows[composite, stay.first : stay.stop]
        best = Schedule(tuple(tuple(line) for line in by_period.tolist()), result.value - cost)
    searched = result.upper_bound - cost if result.status == "time limit" else best.value
    certificate = result.certificate
    has_prices = bool(certificate.target_price.any())
    return best, searched, (certificate.target_price, certificate.floor_price) if has_prices else prices
