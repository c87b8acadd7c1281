"""Why no plan keeps every rule: the fewest rules that clash, and for each the mildest change that fixes it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from standmark.optimizer.choice.grid import StageTask
from standmark.optimizer.choice.rules import floors
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import (
    Budget,
    Limit,
    SearchProblem,
    clashing_limits,
    largest_share,
    may_be_kept,
    nearest,
    relaxed,
    search,
    separation_limit,
    with_share,
)
from standmark.optimizer.value.outfit import Rows
from standmark.sports.sport import Period

SEPARATION_STEP_M = 0.5  # the largest separation that still works is found to this
QUESTION_WORK = 2.5e9  # figures: what one question about the rules takes at most, about 5 s


def clash_words(
    match: Match, task: StageTask, problem: SearchProblem, *, rows: Rows, time_limit_s: float | None = None
) -> str:
    """Say which rules clash in a problem that has no plan, and what would be the nearest feasible plan.

    The clashing set is minimal, if the time is enough: with any one of its rules taken away a plan exists.

    Parameters
    ----------
    time_limit_s : for all questions together
    """
    budget = Budget(np.inf if time_limit_s is None else time.monotonic() + time_limit_s, QUESTION_WORK)
    name = task.name
    rules = problem_rules(match, task, rows)
    if not may_be_kept(relaxed(problem, rules), budget):
        return f"{name}: the cameras have too few places for a plan; allow more areas or plan for fewer cameras"
    clashing = clashing_limits(problem, rules, budget)
    verb = "cannot be kept" if len(clashing) == 1 else "clash"
    return f"{name}: {_listed(clashing)} {verb}; {_nearest(problem, rules, clashing, budget)}"


def _nearest(problem: SearchProblem, rules: Sequence[Limit], clashing: Sequence[Limit], budget: Budget) -> str:
    """Mildest changes that leave a plan, best coverage first; where no single one does, rules to drop together."""
    options = nearest(problem, clashing, budget)
    if options:
        words = (f"{option.name} (covers {100 * option.result.value:.0f} %)" for option in options)
        return f"nearest plan: {', or '.join(words)}"
    dropped: list[Limit] = []
    while not may_be_kept(relaxed(problem, dropped), budget):
        left = [r for r in rules if r not in dropped]
        dropped.append(clashing_limits(relaxed(problem, dropped), left, budget)[-1])
    left_s = budget.left_s()
    result = None
    if left_s is None or left_s > 0:
        result = search(relaxed(problem, dropped), time_limit_s=left_s, most_work=budget.question_work)
    if result is None or not result.rows:
        return "the time limit left open which change would help; allow more with --time-limit"
    return f"nearest plan: without {_listed(dropped)} (covers {100 * result.value:.0f} %)"


def _listed(rules: Sequence[Limit]) -> str:
    *most, last = (rule.name for rule in rules)
    return f"{', '.join(most)} and {last}" if most else last


def problem_rules(match: Match, task: StageTask, rows: Rows) -> list[Limit]:
    """Every rule of a match that binds in a stage, in the order in which a person would rather drop it last."""
    rules = [_opening_rule(match, rows)] if any(a.periods is not None for a in match.venue.allowed) else []
    rules += [_cap_rule(match, index) for index, a in enumerate(match.venue.allowed) if a.max_cameras is not None]
    if match.rules.separation_m > 0 and len(match.cameras) > 1:
        separation = f"rules.separation_m = {match.rules.separation_m:g}"
        rules.append(_renamed(separation_limit("rules.separation_m", step_m=SEPARATION_STEP_M), separation))
    if match.rules.same_side == "forbid":
        rules.append(_side_rule())
    rules += [
        _floor_rule(index, () if periods == task.periods else periods, key, share)
        for index, (periods, key, _, share) in enumerate(floors(match, task))
    ]
    rules += [_fixed_rule(match, rows, index) for index, c in enumerate(match.cameras) if c.fixed is not None]
    return rules


def _opening_rule(match: Match, rows: Rows) -> Limit:
    def without(problem: SearchProblem) -> SearchProblem:
        return replace(problem, rows_by_camera=rows.by_camera)

    names = ", ".join(f'"{a.name}"' for a in match.venue.allowed if a.periods is not None)
    return Limit(
        f"the periods in which {names} is open", without,
        lambda p, _budget: (f"{names} open in these periods too", without(p)),
    )  # fmt: skip


def _cap_rule(match: Match, index: int) -> Limit:
    area = match.venue.allowed[index]

    def at_most(problem: SearchProblem, n: int) -> SearchProblem:
        assert problem.group_cap is not None
        caps = problem.group_cap.copy()
        caps[index] = n
        return replace(problem, group_cap=caps)

    def mildest(problem: SearchProblem, budget: Budget) -> tuple[str, SearchProblem] | None:
        for n in range((area.max_cameras or 0) + 1, len(match.cameras) + 1):
            if may_be_kept(at_most(problem, n), budget):
                return f'"{area.name}" with max_cameras = {n}', at_most(problem, n)
        return None

    words = f'max_cameras = {area.max_cameras} of "{area.name}"'
    return Limit(words, lambda p: at_most(p, len(match.cameras)), mildest)


def _renamed(rule: Limit, name: str) -> Limit:
    return replace(rule, name=name)


def _side_rule() -> Limit:
    def without(problem: SearchProblem) -> SearchProblem:
        return replace(problem, clashes=None)

    return Limit('rules.same_side = "forbid"', without, lambda p, _budget: ('rules.same_side = "warn"', without(p)))


def _floor_rule(index: int, periods: tuple[Period, ...], key: str, share: float) -> Limit:
    """One least coverage, in some of the periods of a stage or, with none named, in all of them."""

    def mildest(problem: SearchProblem, budget: Budget) -> tuple[str, SearchProblem] | None:
        most = largest_share(problem, index, budget)
        if most is None:
            return None
        least = np.floor(100 * most) / 100
        return f"rules.must_cover.{key} = {least:g}{where}", with_share(problem, index, float(least))

    where = f" in {', '.join(p.name for p in periods)}" if periods else ""
    return Limit(f"rules.must_cover.{key} = {share:g}{where}", lambda p: with_share(p, index, 0.0), mildest)


def _fixed_rule(match: Match, rows: Rows, index: int) -> Limit:
    camera = match.cameras[index]
    assert camera.fixed is not None

    def without(problem: SearchProblem) -> SearchProblem:
        outfits = np.unique(rows.by_camera[index] // rows.n_positions)
        free = np.concatenate([np.arange(rows.n_positions) + o * rows.n_positions for o in outfits])
        own = (*problem.rows_by_camera[:index], free, *problem.rows_by_camera[index + 1 :])
        return replace(problem, rows_by_camera=own)

    words = f'camera "{camera.name}" at_m = [{camera.fixed.x_m:g}, {camera.fixed.y_m:g}]'
    return Limit(words, without, lambda p, _budget: (f'camera "{camera.name}" free to stand elsewhere', without(p)))
