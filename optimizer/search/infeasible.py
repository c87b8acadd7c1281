"""Why no set keeps every limit, and how near to the limits one can come."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from standmark.optimizer.search.exact import search_only
from standmark.optimizer.search.problem import SearchProblem, SearchResult

ANY_GOOD = 1e12  # tolerance at which the first allowed set ends the search
SEPARATION_STEP_M = 0.01


@dataclass(frozen=True, eq=False)
class Change:
    """One limit made milder, as little as will do, and the best set then."""

    limit: str
    message: str
    problem: SearchProblem
    result: SearchResult


def is_feasible(problem: SearchProblem, *, time_limit_s: float | None = None) -> bool | None:
    """Does any set keep every limit; None if the limit ran out first."""
    result = search_only(problem, time_limit_s=time_limit_s, tolerance=ANY_GOOD)
    return True if result.rows else None if result.status == "time limit" else False


def limits_of(problem: SearchProblem) -> tuple[str, ...]:
    """Names of the limits that a problem sets: "separation", "caps", "clashes", "floor 0", "floor 1", ..."""
    found = []
    if problem.xy_m is not None and problem.separation_m > 0 and len(problem.rows_by_camera) > 1:
        found.append("separation")
    if problem.group is not None and problem.group_cap is not None:
        found.append("caps")
    if problem.clashes is not None:
        found.append("clashes")
    return (*found, *(f"floor {index}" for index, (_targets, share) in enumerate(problem.floors) if share > 0))


def without(problem: SearchProblem, limit: str) -> SearchProblem:
    """Leave one limit out; floors keep their numbers."""
    if limit == "separation":
        return replace(problem, separation_m=0.0)
    if limit == "caps":
        return replace(problem, group_cap=None)
    if limit == "clashes":
        return replace(problem, clashes=None)
    return with_share(problem, int(limit.removeprefix("floor ")), 0.0)


def with_share(problem: SearchProblem, index: int, share: float) -> SearchProblem:
    """Ask another least share of one floor."""
    floors = list(problem.floors)
    floors[index] = floors[index][0], share
    return replace(problem, floors=tuple(floors))


def clashing_limits(problem: SearchProblem, *, time_limit_s: float | None = None) -> tuple[str, ...]:
    """Find limits that together leave no set, while without any one of them there is one.

    Limits are left out one after the other, floors first, as long as nothing can be kept. Empty when the cameras
    have too few rows for any set, whatever the limits. A question that takes longer than the time limit counts as
    answered yes.
    """
    kept = limits_of(problem)
    for limit in reversed(kept):
        trial = without(problem, limit)
        if is_feasible(trial, time_limit_s=time_limit_s) is False:
            problem, kept = trial, tuple(other for other in kept if other != limit)
    return kept


def clash_message(problem: SearchProblem) -> str:
    """One line that names the limits which clash."""
    clashing = clashing_limits(problem)
    if not clashing:
        return "the cameras have too few rows: no set without a row used twice"
    if len(clashing) == 1:
        return f"{clashing[0]} alone cannot be met"
    return f"{', '.join(clashing[:-1])} and {clashing[-1]} cannot be met together, but any of them less can"


def largest_share(problem: SearchProblem, index: int, *, time_limit_s: float | None = None) -> float | None:
    """Largest share of a floor's weight that a set within the other limits covers, proven; None for no such set.

    The first 1e-6 of it may be missing, as the search's own tolerance is.
    """
    targets, _share = problem.floors[index]
    weight = np.zeros_like(problem.weight)
    weight[targets] = problem.weight[targets]
    others = with_share(problem, index, 0.0)
    kept = tuple(floor for floor in others.floors if floor[1] > 0)
    # a floor's own weight counts only its targets, so the other floors are asked in weights that stay
    result = search_only(replace(others, floors=kept), time_limit_s=time_limit_s, objective=weight)
    return result.value / float(weight.sum()) if result.rows and weight.sum() > 0 else None


def largest_separation_m(problem: SearchProblem) -> float | None:
    """Largest separation, to a hundredth of a metre and at most the one asked, at which a set keeps the limits."""
    if is_feasible(replace(problem, separation_m=0.0)) is False:
        return None
    low, high = 0, int(np.ceil(problem.separation_m / SEPARATION_STEP_M))
    while high - low > 1:
        middle = (low + high) // 2
        works = is_feasible(replace(problem, separation_m=middle * SEPARATION_STEP_M)) is not False
        low, high = (middle, high) if works else (low, middle)
    return low * SEPARATION_STEP_M


def nearest(problem: SearchProblem, *, time_limit_s: float | None = None) -> tuple[Change, ...]:
    """For a problem without an allowed set: each clashing limit made milder just enough, most valuable first.

    A floor falls to the largest share that can be had, the separation to the largest that can be kept; caps and clashes
    are left out. Empty where no single change mends the problem.
    """
    changes = []
    for limit in clashing_limits(problem, time_limit_s=time_limit_s):
        found = _mildest(problem, limit)
        if found is not None:
            message, milder = found
            result = search_only(milder, time_limit_s=time_limit_s)
            if result.rows:
                changes.append(Change(limit, message, milder, result))
    return tuple(sorted(changes, key=lambda change: -change.result.value))


def _mildest(problem: SearchProblem, limit: str) -> tuple[str, SearchProblem] | None:
    if limit == "separation":
        most_m = largest_separation_m(problem)
        return None if most_m is None else (f"separation {most_m:g} m", replace(problem, separation_m=most_m))
    if limit in ("caps", "clashes"):
        return f"without {limit}", without(problem, limit)
    index = int(limit.removeprefix("floor "))
    share = largest_share(problem, index)
    if share is None:
        return None
    asked = np.floor(share * 1e4) / 1e4
    return f"{limit}: share {asked:g}", with_share(problem, index, float(asked))
