"""The best plan over several periods, where a camera may stay at its place or move at a cost."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, combinations_with_replacement, pairwise, permutations, product

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.exact import search_only
from standmark.optimizer.search.model import kinds_of
from standmark.optimizer.search.problem import SearchProblem, SearchResult
from standmark.optimizer.search.stay import (
    Composites,
    Reading,
    Stretch,
    best_at_places,
    composites_above,
    joined_pools,
    pooled_problem,
    read_at,
    worth_of_places,
)

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Rows = NDArray[np.intp]

FIRST_PLACES = 150  # places of each stretch in the first pool
POOL_VALUES = 60_000_000  # most figures in a pool of composites: 240 MB
MOST_POOLS = 10
ROUNDING_SLACK = 1e-4  # of the total weight: float32 sums of rho never miss a composite by more


@dataclass(frozen=True, eq=False)
class PeriodsResult:
    """The best plan over all periods and what it is worth beside the plans that move never or always."""

    status: str  # "optimal", "time limit", "infeasible"
    rows: tuple[tuple[int, ...], ...]  # for each period, the row of each camera; () when infeasible
    moves: tuple[tuple[int, ...], ...]  # for each interval, the cameras that move
    value: float  # values of the periods, less the cost of moves
    upper_bound: float  # no plan is worth more
    gap: float
    message: str
    value_apart: float  # best values of the periods added up, as if moves cost nothing; nan when infeasible


@dataclass(frozen=True, eq=False)
class _Plan:
    rows: tuple[tuple[int, ...], ...]
    value: float


@dataclass(frozen=True, eq=False)
class _Task:
    problems: tuple[SearchProblem, ...]
    row_place: Rows
    move_cost: float
    tolerance: float  # in value, not a share of it
    deadline: float


def search_periods(
    problems: tuple[SearchProblem, ...],
    *,
    row_place: Rows,
    moves: str = "free",
    move_cost: float = 0.0,
    time_limit_s: float | None = None,
    tolerance: float = 1e-6,
) -> PeriodsResult:
    """Choose rows for each camera and period; a camera keeps its place or pays for a move.

    A place, not a row, is what stays: the lens may change from period to period. Every way of staying and moving is
    bounded, and searched unless its bound shows it to be no better.

    Parameters
    ----------
    problems : one for each period, over the same rows; values add up, so weights carry each period's share. Places,
        separation, caps and side are read from the first
    row_place : shape (n_rows,), place of each row, counted from 0
    moves : "free" (any camera at any interval, at the cost) or "never"
    move_cost : value that one move of one camera takes away

    Raises
    ------
    ValueError
        where `moves` is neither, the cost is negative, or the periods differ in their number of rows or cameras
    """
    _check(problems, row_place, moves, move_cost)
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    task = _Task(problems, row_place, move_cost, 0.0, deadline)
    singles = tuple(search_only(problem, time_limit_s=_left_s(task), tolerance=tolerance / 4) for problem in problems)
    for period, single in enumerate(singles):
        if single.status == "infeasible":
            return _without_plan("infeasible", f"period {period}: no set of rows keeps every limit", np.nan)
    apart = sum(single.upper_bound for single in singles)
    task = replace(task, tolerance=tolerance * apart)
    kinds = _kinds(problems)
    best, upper = _Plan((), -np.inf), -np.inf
    if moves == "free":
        n_intervals = len(problems[0].rows_by_camera) * (len(problems) - 1)
        upper = apart - move_cost * n_intervals
        if all(single.rows for single in singles):
            best = _joined(task, singles, kinds)
    prices = _first_prices(singles)
    if moves == "never" or move_cost > 0:
        for case in _cases(kinds, len(problems), is_free=moves == "free"):
            best, bound = _search_case(task, case, kinds, best, prices)
            upper = max(upper, bound)
    return _result(task, best, upper, sum(single.value for single in singles))


def _left_s(task: _Task) -> float | None:
    return None if np.isinf(task.deadline) else max(0.01, task.deadline - time.monotonic())


def _kinds(problems: tuple[SearchProblem, ...]) -> tuple[tuple[int, ...], ...]:
    """Cameras that may use the same rows in every period."""
    of_camera = []
    for problem in problems:
        kinds = kinds_of(problem.rows_by_camera)
        of_camera.append([next(i for i, kind in enumerate(kinds) if c in kind.cameras) for c in _cameras(problem)])
    keys = list(zip(*of_camera, strict=True))
    return tuple(tuple(c for c, own in enumerate(keys) if own == key) for key in dict.fromkeys(keys))


def _cameras(problem: SearchProblem) -> range:
    return range(len(problem.rows_by_camera))


def _cases(kinds: tuple[tuple[int, ...], ...], n_periods: int, *, is_free: bool) -> Iterator[tuple[Stretch, ...]]:
    """Every way to stay and move, cameras of a kind being alike; the way that moves always is left out if free."""
    cuts = [(), *(c for n in range(1, n_periods) for c in combinations(range(1, n_periods), n))] if is_free else [()]
    for way in product(*(combinations_with_replacement(cuts, len(kind)) for kind in kinds)):
        cut_of = {c: cut for kind, own in zip(kinds, way, strict=True) for c, cut in zip(kind, own, strict=True)}
        if n_periods > 1 and is_free and all(len(cut) == n_periods - 1 for cut in cut_of.values()):
            continue
        yield tuple(
            Stretch(camera, first, stop)
            for camera in sorted(cut_of)
            for first, stop in pairwise((0, *cut_of[camera], n_periods))
        )


def _first_prices(singles: tuple[SearchResult, ...]) -> tuple[Singles, Floats]:
    first = [single.certificates[0] for single in singles]
    return np.concatenate([c.target_price for c in first]), np.concatenate([c.floor_price for c in first])


def _search_case(
    task: _Task,
    case: tuple[Stretch, ...],
    kinds: tuple[tuple[int, ...], ...],
    best: _Plan,
    prices: tuple[Singles, Floats],
) -> tuple[_Plan, float]:
    """Best plan of one way to stay and move, if it beats the best known; and a bound on all its plans."""
    cost = task.move_cost * (len(case) - len(task.problems[0].rows_by_camera))
    groups = _alike(case, kinds)
    bound, pools = np.inf, _first_pools(task, groups, read_at(task.problems, *prices))
    for _turn in range(MOST_POOLS):
        reading = read_at(task.problems, *prices)
        worths = [worth_of_places(task.problems, task.row_place, reading, group[0]) for group in groups]
        tops = [len(group) * float(worth.max(initial=-np.inf)) for group, worth in zip(groups, worths, strict=True)]
        bound = min(bound, reading.base + sum(tops) - cost)
        goal = _goal(task, best)
        if bound <= goal or time.monotonic() > task.deadline:
            return best, bound
        slack = ROUNDING_SLACK * sum(float(problem.weight.sum()) for problem in task.problems)
        most = POOL_VALUES // max(1, sum(problem.weight.size for problem in task.problems)) // len(groups)
        hopeful = [
            composites_above(
                task.problems,
                task.row_place,
                reading,
                group[0],
                least=goal + cost - reading.base - (sum(tops) - float(worth.max())) - slack,
                most=most + 1,
            )
            for group, worth in zip(groups, worths, strict=True)
        ]
        is_all = all(len(pool.rows) <= most for pool in hopeful)
        pools = hopeful if is_all else _grown(task, groups, pools, reading, worths)
        best, searched, prices = _search_pools(task, groups, pools, cost, best, prices)
        if is_all:
            return best, min(bound, max(searched, best.value))
    return best, bound


def _alike(case: tuple[Stretch, ...], kinds: tuple[tuple[int, ...], ...]) -> list[list[Stretch]]:
    """Stretches of like cameras over the same periods."""
    kind_of = {camera: index for index, kind in enumerate(kinds) for camera in kind}
    groups: dict[tuple[int, int, int], list[Stretch]] = {}
    for stretch in case:
        groups.setdefault((kind_of[stretch.camera], stretch.first, stretch.stop), []).append(stretch)
    return list(groups.values())


def _first_pools(task: _Task, groups: list[list[Stretch]], reading: Reading) -> list[Composites]:
    """Best composites of places spread over all that a camera may take."""
    pools = []
    for group in groups:
        worth = worth_of_places(task.problems, task.row_place, reading, group[0])
        places = np.flatnonzero(worth > -np.inf)
        spread = places[np.linspace(0, places.size - 1, min(places.size, FIRST_PLACES)).astype(np.intp)]
        pools.append(best_at_places(task.problems, task.row_place, reading, group[0], spread))
    return pools


def _grown(
    task: _Task, groups: list[list[Stretch]], pools: list[Composites], reading: Reading, worths: list[Floats]
) -> list[Composites]:
    """Add the dearest composites and the best of the dearest places to each pool."""
    grown = []
    for group, pool, worth in zip(groups, pools, worths, strict=True):
        places = np.argsort(-worth, kind="stable")[:FIRST_PLACES]
        best = best_at_places(task.problems, task.row_place, reading, group[0], places[worth[places] > -np.inf])
        dear = composites_above(task.problems, task.row_place, reading, group[0], least=-np.inf, most=FIRST_PLACES)
        grown.append(joined_pools(pool, best, dear))
    return grown


def _search_pools(
    task: _Task,
    groups: list[list[Stretch]],
    pools: list[Composites],
    cost: float,
    best: _Plan,
    prices: tuple[Singles, Floats],
) -> tuple[_Plan, float, tuple[Singles, Floats]]:
    """Search the composites at hand; returns the plan, the bound on them and the prices that gave it."""
    stretches = [stretch for group in groups for stretch in group]
    pool_of = [pool for group, pool in zip(groups, pools, strict=True) for _stretch in group]
    problem, rows = pooled_problem(task.problems, pool_of)
    result = search_only(problem, time_limit_s=_left_s(task), tolerance=task.tolerance, known_value=best.value + cost)
    if result.rows and result.value - cost > best.value:
        by_period = np.full((len(task.problems), len(task.problems[0].rows_by_camera)), -1, np.intp)
        for stretch, composite in zip(stretches, result.rows, strict=True):
            by_period[stretch.first : stretch.stop, stretch.camera] = rows[composite, stretch.first : stretch.stop]
        best = _Plan(tuple(tuple(line) for line in by_period.tolist()), result.value - cost)
    searched = result.upper_bound - cost if result.status == "time limit" else best.value
    found = result.certificates[0]
    has_prices = bool(found.target_price.any())
    return best, searched, (found.target_price, found.floor_price) if has_prices else prices


def _joined(task: _Task, singles: tuple[SearchResult, ...], kinds: tuple[tuple[int, ...], ...]) -> _Plan:
    """Best sets of the periods one after the other, like cameras told apart so that fewest move."""
    rows = [list(singles[0].rows)]
    for single in singles[1:]:
        now = list(single.rows)
        for kind in kinds:
            before = [rows[-1][camera] for camera in kind]
            own = min(permutations(now[camera] for camera in kind), key=lambda way: _n_changed(task, before, way))
            for camera, row in zip(kind, own, strict=True):
                now[camera] = row
        rows.append(now)
    plan = tuple(tuple(line) for line in rows)
    n_moves = sum(len(moved) for moved in moves_of(plan, task.row_place))
    return _Plan(plan, sum(single.value for single in singles) - task.move_cost * n_moves)


def _n_changed(task: _Task, before: list[int], after: tuple[int, ...]) -> int:
    return int((task.row_place[before] != task.row_place[list(after)]).sum())


def moves_of(rows: tuple[tuple[int, ...], ...], row_place: Rows) -> tuple[tuple[int, ...], ...]:
    """Cameras that change their place at each interval."""
    return tuple(
        tuple(np.flatnonzero(row_place[list(before)] != row_place[list(after)]).tolist())
        for before, after in pairwise(rows)
    )


def _result(task: _Task, best: _Plan, upper: float, value_apart: float) -> PeriodsResult:
    goal = _goal(task, best)
    is_proven = upper <= goal or not np.isfinite(upper)
    if not best.rows:
        if is_proven:
            return _without_plan("infeasible", "no plan without moves keeps every limit in every period", value_apart)
        return _without_plan("time limit", "no plan was found in the time given", value_apart)
    upper = max(min(upper, goal) if is_proven else upper, goal)
    message = "proven" if is_proven else f"at most {upper - best.value:.4g} below the best"
    return PeriodsResult(
        "optimal" if is_proven else "time limit",
        best.rows,
        moves_of(best.rows, task.row_place),
        best.value,
        upper,
        upper - best.value,
        message,
        value_apart,
    )


def _goal(task: _Task, best: _Plan) -> float:
    """Value that a plan must exceed to be of interest; without one at hand, anything that pays for all moves."""
    if best.value > -np.inf:
        return best.value + task.tolerance
    return -task.move_cost * len(task.problems) * len(task.problems[0].rows_by_camera) - 1e-9


def _without_plan(status: str, message: str, value_apart: float) -> PeriodsResult:
    return PeriodsResult(status, (), (), np.nan, np.nan, np.nan, message, value_apart)


def _check(problems: tuple[SearchProblem, ...], row_place: Rows, moves: str, move_cost: float) -> None:
    if moves not in ("free", "never"):
        raise ValueError(f'moves: got {moves!r}; allowed "free", "never"')
    if not move_cost >= 0:
        raise ValueError(f"move_cost: got {move_cost}; must be at least 0")
    if not problems:
        raise ValueError("problems: none; give one for each period")
    for period, problem in enumerate(problems):
        if len(problem.quality) != len(row_place):
            raise ValueError(f"problems[{period}].quality: {len(problem.quality)} rows; row_place has {len(row_place)}")
        if len(problem.rows_by_camera) != len(problems[0].rows_by_camera):
            raise ValueError(f"problems[{period}].rows_by_camera: another number of cameras than in the first period")
