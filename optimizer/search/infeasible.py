"""Why no set keeps every limit, and how near to the limits one can come.

What a limit is the caller says: how a problem looks without it, and what its mildest form is that leaves a set.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.optimizer.search.exact import search_only
from standmark.optimizer.search.problem import SearchProblem, SearchResult

ANY_GOOD = 1e12  # tolerance at which the first allowed set ends the search


@dataclass(frozen=True)
class Budget:
    """What an analysis may take: until when all of it ends, and how much work goes into one question at most."""

    deadline: float = np.inf  # of `time.monotonic`
    question_work: float = np.inf  # figures, see `stop.py`

    def left_s(self) -> float | None:
        """Return the seconds left for the next question, 0 or less when the time is up; None without a limit."""
        return None if np.isinf(self.deadline) else self.deadline - time.monotonic()


ENDLESS = Budget()


@dataclass(frozen=True)
class Limit:
    """One limit of a problem: a problem without it, and the mildest form of it that leaves a set, with its name."""

    name: str
    without: Callable[[SearchProblem], SearchProblem]
    mildest: Callable[[SearchProblem, Budget], tuple[str, SearchProblem] | None]


@dataclass(frozen=True, eq=False)
class Milder:
    """One limit made milder, as little as will do, and the best set then."""

    limit: Limit
    name: str  # of the milder form
    problem: SearchProblem
    result: SearchResult


def is_feasible(problem: SearchProblem, *, time_limit_s: float | None = None, most_work: float = np.inf) -> bool | None:
    """Does any set keep every limit; None if the limit ran out first."""
    result = search_only(problem, time_limit_s=time_limit_s, tolerance=ANY_GOOD, most_work=most_work)
    return True if result.rows else None if result.status == "time limit" else False


def may_be_kept(problem: SearchProblem, budget: Budget = ENDLESS) -> bool:
    """Does any set keep every limit; a question for which there is no time counts as yes."""
    left_s = budget.left_s()
    if left_s is not None and left_s <= 0:
        return True
    return is_feasible(problem, time_limit_s=left_s, most_work=budget.question_work) is not False


def separation_limit(name: str, *, step_m: float) -> Limit:
    """Make a limit of the separation, the largest that can be kept being found to a step."""

    def mildest(problem: SearchProblem, budget: Budget) -> tuple[str, SearchProblem] | None:
        most_m = largest_separation_m(problem, step_m=step_m, budget=budget)
        return None if most_m is None else (f"{name} = {most_m:g}", replace(problem, separation_m=most_m))

    return Limit(name, lambda problem: replace(problem, separation_m=0.0), mildest)


def with_share(problem: SearchProblem, index: int, share: float) -> SearchProblem:
    """Ask another least share of one floor; floors keep their places, so that several can be changed in any order."""
    floors = list(problem.floors)
    floors[index] = floors[index][0], share
    return replace(problem, floors=tuple(floors))


def relaxed(problem: SearchProblem, limits: Sequence[Limit]) -> SearchProblem:
    """Return the problem without some of its limits."""
    for limit in limits:
        problem = limit.without(problem)
    return problem


def clashing_limits(problem: SearchProblem, limits: Sequence[Limit], budget: Budget = ENDLESS) -> tuple[Limit, ...]:
    """Find limits that together leave no set, while without any one of them there is one.

    Limits are left out one after the other, the first ones first, as long as nothing can be kept (deletion filter).
    All that are left when the time is up are returned.

    References
    ----------
    [1] J. W. Chinneck, E. W. Dravnieks, Locating minimal infeasible constraint sets in linear programs, ORSA Journal
        on Computing 3, 1991 (from memory)
    """
    kept = tuple(limits)
    for limit in limits:
        fewer = tuple(other for other in kept if other is not limit)
        if not may_be_kept(relaxed(problem, [other for other in limits if other not in fewer]), budget):
            kept = fewer
    return kept


def nearest(problem: SearchProblem, clashing: Sequence[Limit], budget: Budget = ENDLESS) -> tuple[Milder, ...]:
    """Make each clashing limit milder just enough, most valuable first.

    Empty where no single change leaves a set, or the time is up.
    """
    changes = []
    for limit in clashing:
        left_s = budget.left_s()
        milder = None if left_s is not None and left_s <= 0 else limit.mildest(problem, budget)
        if milder is not None:
            result = search_only(milder[1], time_limit_s=budget.left_s(), most_work=budget.question_work)
            if result.rows:
                changes.append(Milder(limit, *milder, result))
    return tuple(sorted(changes, key=lambda change: -change.result.value))


def largest_share(problem: SearchProblem, index: int, budget: Budget = ENDLESS) -> float | None:
    """Largest share of a floor's weight that a set within the other limits covers, proven; None for no such set.

    The first 1e-6 of it may be missing, as the search's own tolerance is.
    """
    targets, _share = problem.floors[index]
    weight = np.zeros_like(problem.weight)
    weight[targets] = problem.weight[targets]
    others = with_share(problem, index, 0.0)
    kept = tuple(floor for floor in others.floors if floor[1] > 0)
    # a floor's own weight counts only its targets, so the other floors are asked in weights that stay
    result = search_only(
        replace(others, floors=kept), time_limit_s=budget.left_s(), objective=weight, most_work=budget.question_work
    )
    return result.value / float(weight.sum()) if result.rows and weight.sum() > 0 else None


def largest_separation_m(problem: SearchProblem, *, step_m: float = 0.01, budget: Budget = ENDLESS) -> float | None:
    """Largest separation, in steps and below the one asked, at which a set keeps the limits; None for none."""
    if not may_be_kept(replace(problem, separation_m=0.0), budget):
        return None
    low, high = 0, int(np.ceil(problem.separation_m / step_m))  # in steps; low works, high does not
    while high - low > 1:
        middle = (low + high) // 2
        works = may_be_kept(replace(problem, separation_m=middle * step_m), budget)
        low, high = (middle, high) if works else (low, middle)
    return low * step_m
