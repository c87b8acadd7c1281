"""The plan in the terminal: where to stand, with what, what it covers, what it misses, and why."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from standmark.cli.advice_sections import MOST_DUTIES, curve_section, decision_section, duty_section, kit_section
from standmark.cli.advice_words import camera_advice, drift_words, fallback_words, limit_words
from standmark.cli.section import Section, section_lines
from standmark.cli.words import lens_words, percent, place_words, why_words
from standmark.optimizer.assignment import Assignment, PeriodPlan
from standmark.optimizer.plan import Plan

WIDTH = 96
MISSED_BELOW = 0.5  # a key moment covered less than this is listed as missed


def plan_summary(plan: Plan) -> str:
    """Write a plan as plain text."""
    return "\n".join(_lines(plan)) + "\n"


def _lines(plan: Plan) -> Iterator[str]:
    match = plan.match
    yield f"{match.title} - {match.sport.name} at {match.venue.name}, for {match.deliverable.name.lower()}"
    yield from textwrap.wrap(f"Coverage {percent(plan.coverage)} of what matters; {proof_words(plan)}", WIDTH)
    for together in _alike_periods(plan):
        period = together[0]
        yield ""
        yield f"{', '.join(p.period.name for p in together)}: covers {percent(period.coverage)}"
        for assignment in period.assignments:
            yield from _camera_lines(assignment, period, plan)
        yield from _missed_lines(period, plan)
        if len(match.cameras) > 1:
            yield ""
            yield from section_lines(duty_section(period, match, most=MOST_DUTIES))
    yield ""
    for section in advice_sections(plan):
        yield from section_lines(section)
    yield from textwrap.wrap(CAUTION, WIDTH)


CAUTION = (
    "Before the match: ask the venue and the competition where you may stand; their word, local codes and the "
    "officials' instructions come before this plan. Stay clear of the run-off, keep an eye on the ball, never point "
    "a long lens at the sun, and film minors only with consent."
)


def proof_words(plan: Plan) -> str:
    """Say how good the plan is proven to be."""
    gap = 100 * (plan.upper_bound - plan.coverage)
    if not plan.proven:
        return f"not proven: another choice could gain up to {gap:.2f} points ({plan.message})"
    among = f"of {plan.n_candidates} places tried (no choice exceeds {100 * plan.upper_bound:.2f} %)"
    given = [
        f"{100 * share:.1f} points {reason}"
        for share, reason in (
            (plan.given_up.second_angle, "given up for more second angles"),
            (plan.given_up.moves, "not worth walking for"),
        )
        if share >= 0.0005
    ]
    if not given:
        return f"proven best {among}"
    return f"{gap:.1f} points from the proven best {among}: {', '.join(given)}"


def _alike_periods(plan: Plan) -> list[list[PeriodPlan]]:
    """Periods with the very same places and coverage, told once."""
    groups: dict[object, list[PeriodPlan]] = {}
    for period in plan.periods:
        key = (round(period.coverage, 9), tuple(a.spot.id + a.lens.name for a in period.assignments))
        groups.setdefault(key, []).append(period)
    return list(groups.values())


def _camera_lines(assignment: Assignment, period: PeriodPlan, plan: Plan) -> Iterator[str]:
    spot = assignment.spot
    yield f"  Camera {assignment.camera}: {lens_words(assignment)}"
    yield from textwrap.wrap(
        f"stand {place_words(spot, plan.match)} (x {spot.x_m:.2f}, y {spot.y_m:.2f})",
        WIDTH, initial_indent="    ", subsequent_indent="      ",
    )  # fmt: skip
    alone = f"alone it covers {percent(assignment.coverage)}"
    if len(plan.match.cameras) > 1:
        alone += f"; it is the best camera for {percent(assignment.carried)} of what matters"
    low, high = assignment.pan_deg
    yield f"    pan over {high - low:.0f} degrees; {alone}"
    told = camera_advice(plan.advice, period.period.key, assignment.camera)
    limit = None if told is None else limit_words(told.limits)
    texts = [f"why: {why_words(assignment, plan.match, limit=limit)}"]
    if told is not None and told.tolerance:
        texts.append(f"how exactly: {drift_words(told.tolerance)}")
    if told is not None and told.fallback is not None:
        texts.append(f"if refused: {fallback_words(told.fallback, plan.match)}")
    for text in texts:
        yield from textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="      ")


def advice_sections(plan: Plan) -> Iterator[Section]:
    """Sections that tell the advice of a plan, as far as it was asked for."""
    if plan.advice is None:
        return
    yield decision_section(plan)
    yield from (s for s in (kit_section(plan.advice), curve_section(plan.advice)) if s is not None)


def _missed_lines(period: PeriodPlan, plan: Plan) -> Iterator[str]:
    names = {m.key: m.name for m in plan.match.sport.moments}
    must = {m.key for m in plan.match.sport.moments if m.must}
    ranked = sorted(period.by_moment.items(), key=lambda pair: -pair[1])
    covered = [f"{names[k]} {percent(v)}" for k, v in ranked if v >= MISSED_BELOW]
    lost = [(k, v) for k, v in reversed(ranked) if v < MISSED_BELOW]
    missed = [f"{names[k]}{' (must)' if k in must else ''} {percent(v)}" for k, v in lost]
    for label, words in (("covers", covered), ("misses", missed)):
        text = f"{label}: {', '.join(words) if words else 'nothing much'}"
        yield from textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")
