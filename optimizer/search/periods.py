"""The best plan over several periods, where a camera may stay at its place or move at a cost."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, combinations_with_replacement, pairwise, permutations, product

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.search.composite import Stint
from standmark.optimizer.search.exact import search_only, set_value
from standmark.optimizer.search.limits import allowed_sets, floors_met
from standmark.optimizer.search.model import kinds_of, model_of
from standmark.optimizer.search.move_pattern import Question, Schedule, goal_of, left_s, search_pattern
from standmark.optimizer.search.problem import Rows, SearchProblem, SearchResult, Status


@dataclass(frozen=True, eq=False)
class PeriodsResult:
    """The best plan over all periods, and how good it is proven to be."""

    status: Status
    rows: tuple[tuple[int, ...], ...]  # for each period, the row of each camera; () when infeasible
    moves: tuple[tuple[int, ...], ...]  # for each interval, the cameras that move
    value: float  # values of the periods, less the cost of moves
    upper_bound: float  # no plan is worth more
    gap: float
    message: str


def search_periods(
    problems: tuple[SearchProblem, ...],
    *,
    row_place: Rows,
    moves: str = "free",
    move_cost: float = 0.0,
    still: frozenset[int] = frozenset(),
    time_limit_s: float | None = None,
    tolerance: float = 1e-6,
) -> PeriodsResult:
    """Choose rows for each camera and period; a camera keeps its place or pays for a move.

    A place, not a row, is what stays: the lens may change from period to period. Every pattern of moves is
    bounded, and searched unless its bound shows it to be no better.

    Parameters
    ----------
    problems : one for each period, over the same rows; values add up, so weights carry each period's share. Places,
        separation and caps are read from the first
    row_place : shape (n_rows,), place of each row, counted from 0
    moves : "free" (any camera at any interval, at the cost) or "never"
    move_cost : value that one move of one camera takes away
    still : cameras that keep their place through all periods

    Raises
    ------
    ValueError
        where `moves` is neither, the cost is negative, or the periods differ in their number of rows or cameras
    """
    _check(problems, row_place, moves, move_cost)
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    question = Question(problems, row_place, move_cost, 0.0, deadline)
    singles = tuple(
        search_only(problem, time_limit_s=left_s(question), tolerance=tolerance / 4) for problem in problems
    )
    for period, single in enumerate(singles):
        if single.status == "infeasible":
            return _without_plan("infeasible", f"period {period}: no set of rows keeps every limit")
    apart = sum(single.upper_bound for single in singles)
    question = replace(question, tolerance=tolerance * apart)
    still = frozenset(_cameras(problems[0])) if moves == "never" else still
    kinds = _kinds(problems, still)
    best, upper = Schedule((), -np.inf), -np.inf
    if not still:
        n_intervals = len(problems[0].rows_by_camera) * (len(problems) - 1)
        upper = apart - move_cost * n_intervals
        if all(single.rows for single in singles):
            best = _joined(question, singles, kinds)
    prices = _first_prices(singles)
    if move_cost > 0 or still:
        for case in _cases(kinds, len(problems), still, is_free=move_cost == 0):
            if time.monotonic() > deadline:
                best, upper = best if best.rows else _unmoved(question, singles), apart
                break
            best, bound = search_pattern(question, case, kinds, best, prices)
            upper = max(upper, bound)
    return _result(question, best, upper)


def _unmoved(question: Question, singles: tuple[SearchResult, ...]) -> Schedule:
    """The best set of some period kept through all of them, where every period allows it; no proof, but a plan."""
    best = Schedule((), -np.inf)
    for rows in {single.rows for single in singles if single.rows}:
        value = sum(set_value(problem, rows) for problem in question.problems)
        if value > best.value and all(_allows(problem, rows) for problem in question.problems):
            best = Schedule((rows,) * len(question.problems), value)
    return best


def _allows(problem: SearchProblem, rows: tuple[int, ...]) -> bool:
    model, sets = model_of(problem), np.array([rows])
    are_open = all(row in own for row, own in zip(rows, problem.rows_by_camera, strict=True))
    return are_open and bool(allowed_sets(model, sets, model.caps)[0] and floors_met(model, sets)[0])


def _kinds(problems: tuple[SearchProblem, ...], still: frozenset[int]) -> tuple[tuple[int, ...], ...]:
    """Cameras that may use the same rows in every period, and stay or move alike."""
    of_camera = []
    for problem in problems:
        kinds = kinds_of(problem.rows_by_camera)
        of_camera.append([next(i for i, kind in enumerate(kinds) if c in kind.cameras) for c in _cameras(problem)])
    of_camera.append([int(c in still) for c in _cameras(problems[0])])
    keys = list(zip(*of_camera, strict=True))
    return tuple(tuple(c for c, own in enumerate(keys) if own == key) for key in dict.fromkeys(keys))


def _cameras(problem: SearchProblem) -> range:
    return range(len(problem.rows_by_camera))


def _cases(
    kinds: tuple[tuple[int, ...], ...], n_periods: int, still: frozenset[int], *, is_free: bool
) -> Iterator[tuple[Stint, ...]]:
    """Every pattern of moves that is worth a look, cameras of a kind being alike.

    Where moves are free those that may move always do; the pattern in which every camera always moves is left out.
    """
    always = tuple(range(1, n_periods))
    every = [c for n in range(n_periods) for c in combinations(always, n)]
    cuts = [[()] if kind[0] in still else [always] if is_free else every for kind in kinds]
    for pattern in product(*(combinations_with_replacement(c, len(k)) for c, k in zip(cuts, kinds, strict=True))):
        cut_of = {c: cut for kind, own in zip(kinds, pattern, strict=True) for c, cut in zip(kind, own, strict=True)}
        if n_periods > 1 and not still and all(len(cut) == n_periods - 1 for cut in cut_of.values()):
            continue
        yield tuple(
            Stint(camera, first, stop)
            for camera in sorted(cut_of)
            for first, stop in pairwise((0, *cut_of[camera], n_periods))
        )


def _first_prices(singles: tuple[SearchResult, ...]) -> tuple[Singles, Floats]:
    first = [single.certificate for single in singles]
    return np.concatenate([c.target_price for c in first]), np.concatenate([c.floor_price for c in first])


def _joined(question: Question, singles: tuple[SearchResult, ...], kinds: tuple[tuple[int, ...], ...]) -> Schedule:
    """Best sets of the periods one after the other, like cameras told apart so that fewest move."""
    rows = [list(singles[0].rows)]
    for single in singles[1:]:
        now = list(single.rows)
        for kind in kinds:
            before = [rows[-1][camera] for camera in kind]
            own = min(permutations(now[camera] for camera in kind), key=lambda rows: _n_changed(question, before, rows))
            for camera, row in zip(kind, own, strict=True):
                now[camera] = row
        rows.append(now)
    plan = tuple(tuple(line) for line in rows)
    n_moves = sum(len(moved) for moved in moves_of(plan, question.row_place))
    return Schedule(plan, sum(single.value for single in singles) - question.move_cost * n_moves)


def _n_changed(question: Question, before: list[int], after: tuple[int, ...]) -> int:
    return int((question.row_place[before] != question.row_place[list(after)]).sum())


def moves_of(rows: tuple[tuple[int, ...], ...], row_place: Rows) -> tuple[tuple[int, ...], ...]:
    """Cameras that change their place at each interval."""
    return tuple(
        tuple(np.flatnonzero(row_place[list(before)] != row_place[list(after)]).tolist())
        for before, after in pairwise(rows)
    )


def _result(question: Question, best: Schedule, upper: float) -> PeriodsResult:
    goal = goal_of(question, best)
    is_proven = upper <= goal or not np.isfinite(upper)
    if not best.rows:
        if is_proven:
            return _without_plan("infeasible", "no plan without moves keeps every limit in every period")
        return _without_plan("time limit", "no plan was found in the time given")
    upper = max(min(upper, goal) if is_proven else upper, goal)
    message = "proven" if is_proven else f"at most {upper - best.value:.4g} below the best"
    return PeriodsResult(
        "optimal" if is_proven else "time limit",
        best.rows,
        moves_of(best.rows, question.row_place),
        best.value,
        upper,
        upper - best.value,
        message,
    )


def _without_plan(status: Status, message: str) -> PeriodsResult:
    return PeriodsResult(status, (), (), np.nan, np.nan, np.nan, message)


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
