"""Why no plan keeps every rule: the fewest rules that clash, and for each the mildest change that mends it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.optimizer.choice.rules import floors
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem, largest_share, search
from standmark.optimizer.search import is_feasible as can_be_kept
from standmark.optimizer.value.outfit import Rows
from standmark.optimizer.value.targets import Targets
from standmark.sports.sport import Period

SEPARATION_STEP_M = 0.5  # the largest separation that still works is found to this
LOOK_S = 5.0  # longest time spent on one question about the rules


@dataclass(frozen=True)
class Rule:
    """One rule of a problem: how a problem without it looks, and the mildest form of it that leaves a plan."""

    words: str
    without: Callable[[SearchProblem], SearchProblem]
    mildest: Callable[[SearchProblem], tuple[str, SearchProblem] | None]


def clash_words(
    match: Match, periods: tuple[Period, ...], targets: tuple[Targets, ...], problem: SearchProblem, *, rows: Rows
) -> str:
    """Say which rules clash in a problem that has no plan, and what would be the nearest feasible plan.

    The clashing set is minimal: with any one of its rules taken away a plan exists.
    """
    name = ", ".join(p.name for p in periods)
    rules = problem_rules(match, periods, targets, rows)
    if not is_feasible(relaxed(problem, rules)):
        return f"{name}: the cameras have too few places for a plan; allow more areas or plan for fewer cameras"
    clashing = clashing_rules(problem, rules)
    verb = "cannot be kept" if len(clashing) == 1 else "clash"
    return f"{name}: {_listed(clashing)} {verb}; nearest plan: {_nearest(problem, rules, clashing)}"


def clashing_rules(problem: SearchProblem, rules: Sequence[Rule]) -> list[Rule]:
    """Rules that together leave no plan while any of them less would: found by leaving out one after the other."""
    kept = list(rules)
    for rule in rules:
        fewer = [r for r in kept if r is not rule]
        if not is_feasible(relaxed(problem, [r for r in rules if r not in fewer])):
            kept = fewer
    return kept


def _nearest(problem: SearchProblem, rules: Sequence[Rule], clashing: Sequence[Rule]) -> str:
    """Mildest changes that leave a plan, best coverage first; where no single one does, rules to drop together."""
    options = [option for rule in clashing if (option := _option(problem, rule)) is not None]
    if options:
        options.sort(key=lambda pair: -pair[1])
        return ", or ".join(f"{words} (covers {100 * value:.0f} %)" for words, value in options)
    dropped: list[Rule] = []
    while not is_feasible(relaxed(problem, dropped)):
        left = [r for r in rules if r not in dropped]
        dropped.append(clashing_rules(relaxed(problem, dropped), left)[-1])
    value = search(relaxed(problem, dropped), time_limit_s=LOOK_S).value
    return f"without {_listed(dropped)} (covers {100 * value:.0f} %)"


def _listed(rules: Sequence[Rule]) -> str:
    *most, last = (rule.words for rule in rules)
    return f"{', '.join(most)} and {last}" if most else last


def relaxed(problem: SearchProblem, rules: Sequence[Rule]) -> SearchProblem:
    """Return the problem without some of its rules."""
    for rule in rules:
        problem = rule.without(problem)
    return problem


def is_feasible(problem: SearchProblem) -> bool:
    """Does any set keep every limit; a question that takes too long counts as yes."""
    return can_be_kept(problem, time_limit_s=LOOK_S) is not False


def problem_rules(match: Match, periods: tuple[Period, ...], targets: tuple[Targets, ...], rows: Rows) -> list[Rule]:
    """Every rule of a match that binds in some periods, in the order in which a person would rather drop it last."""
    rules = [_opening_rule(match, rows)] if any(a.periods is not None for a in match.venue.allowed) else []
    rules += [_cap_rule(match, index) for index, a in enumerate(match.venue.allowed) if a.max_cameras is not None]
    if match.rules.separation_m > 0 and len(match.cameras) > 1:
        rules.append(_separation_rule(match.rules.separation_m))
    if match.rules.same_side == "forbid":
        rules.append(_side_rule())
    rules += [
        _floor_rule(index, period, key, share, is_alone=len(periods) == 1)
        for index, (period, key, _, share) in enumerate(floors(match, periods, targets))
    ]
    rules += [_fixed_rule(match, rows, index) for index, c in enumerate(match.cameras) if c.fixed is not None]
    return rules


def _option(problem: SearchProblem, rule: Rule) -> tuple[str, float] | None:
    milder = rule.mildest(problem)
    if milder is None:
        return None
    result = search(milder[1], time_limit_s=LOOK_S)
    return (milder[0], result.value) if result.rows else None


def _opening_rule(match: Match, rows: Rows) -> Rule:
    def without(problem: SearchProblem) -> SearchProblem:
        return replace(problem, rows_by_camera=rows.by_camera)

    names = ", ".join(f'"{a.name}"' for a in match.venue.allowed if a.periods is not None)
    return Rule(
        f"the periods in which {names} is open", without,
        lambda p: (f"{names} open in these periods too", without(p)),
    )  # fmt: skip


def _cap_rule(match: Match, index: int) -> Rule:
    area = match.venue.allowed[index]

    def at_most(problem: SearchProblem, n: int) -> SearchProblem:
        assert problem.group_cap is not None
        caps = problem.group_cap.copy()
        caps[index] = n
        return replace(problem, group_cap=caps)

    def mildest(problem: SearchProblem) -> tuple[str, SearchProblem] | None:
        for n in range((area.max_cameras or 0) + 1, len(match.cameras) + 1):
            if is_feasible(at_most(problem, n)):
                return f'"{area.name}" with max_cameras = {n}', at_most(problem, n)
        return None

    words = f'max_cameras = {area.max_cameras} of "{area.name}"'
    return Rule(words, lambda p: at_most(p, len(match.cameras)), mildest)


def _separation_rule(separation_m: float) -> Rule:
    def mildest(problem: SearchProblem) -> tuple[str, SearchProblem] | None:
        low, high = 0, math.ceil(separation_m / SEPARATION_STEP_M)  # in steps; low works, high does not
        if not is_feasible(replace(problem, separation_m=0.0)):
            return None
        while high - low > 1:
            middle = (low + high) // 2
            works = is_feasible(replace(problem, separation_m=middle * SEPARATION_STEP_M))
            low, high = (middle, high) if works else (low, middle)
        most_m = low * SEPARATION_STEP_M
        return f"rules.separation_m = {most_m:g}", replace(problem, separation_m=most_m)

    return Rule(f"rules.separation_m = {separation_m:g}", lambda p: replace(p, separation_m=0.0), mildest)


def _side_rule() -> Rule:
    def without(problem: SearchProblem) -> SearchProblem:
        return replace(problem, clashes=None)

    return Rule('rules.same_side = "forbid"', without, lambda p: ('rules.same_side = "warn"', without(p)))


def _floor_rule(index: int, period: Period, key: str, share: float, *, is_alone: bool) -> Rule:
    """One least coverage; floors keep their places in the tuple, so that several can be dropped in any order."""

    def at_least(problem: SearchProblem, least: float) -> SearchProblem:
        columns = problem.floors[index][0]
        return replace(problem, floors=(*problem.floors[:index], (columns, least), *problem.floors[index + 1 :]))

    def mildest(problem: SearchProblem) -> tuple[str, SearchProblem] | None:
        most = largest_share(problem, index, time_limit_s=LOOK_S)
        if most is None:
            return None
        least = np.floor(100 * most) / 100
        return f"rules.must_cover.{key} = {least:g}{where}", at_least(problem, float(least))

    where = "" if is_alone else f" in {period.name}"
    return Rule(f"rules.must_cover.{key} = {share:g}{where}", lambda p: at_least(p, 0.0), mildest)


def _fixed_rule(match: Match, rows: Rows, index: int) -> Rule:
    camera = match.cameras[index]
    assert camera.fixed is not None

    def without(problem: SearchProblem) -> SearchProblem:
        outfits = np.unique(rows.by_camera[index] // rows.n_positions)
        free = np.concatenate([np.arange(rows.n_positions) + o * rows.n_positions for o in outfits])
        own = (*problem.rows_by_camera[:index], free, *problem.rows_by_camera[index + 1 :])
        return replace(problem, rows_by_camera=own)

    words = f'camera "{camera.name}" at_m = [{camera.fixed.x_m:g}, {camera.fixed.y_m:g}]'
    return Rule(words, without, lambda p: (f'camera "{camera.name}" free to stand elsewhere', without(p)))
