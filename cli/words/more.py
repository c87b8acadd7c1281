"""Everything that a plan has to say beside its answer: proof, shifts, weak spots, closed places, every moment."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.cli.words.advice_sections import advice_sections
from standmark.cli.words.advice_words import camera_advice, limit_words
from standmark.cli.words.bag_words import assumed_words
from standmark.cli.words.checked_words import checked_words
from standmark.cli.words.handover import straight_cost_words
from standmark.cli.words.lines import capital, wrapped
from standmark.cli.words.moments import moment_words, taken_moments
from standmark.cli.words.naming import percent, walk_words
from standmark.cli.words.proof_words import reasons_words
from standmark.cli.words.roam_words import follow_sections
from standmark.cli.words.role_words import could_hold_words
from standmark.cli.words.section import section_lines
from standmark.cli.words.spots import shift_words, short_when
from standmark.cli.words.strengths import few_faces_at
from standmark.cli.words.units import Units
from standmark.optimizer.choice.role_problem import ROLE_WORTH
from standmark.optimizer.choice.roles import Roles
from standmark.optimizer.match.presets import lens_label
from standmark.optimizer.picture.stretch import alike_periods
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import PeriodPlan

LEAST_TOLD = 0.001
SAME_SHARE = 0.05  # per cent: what may be better by less is not mentioned
SHARES_NOTE = (
    "Per cent: of that kind of moment, large enough, in the frame, not hidden. Must: we never give it up for "
    'something else. "Worth 3 % more", "you lose 3 %": of everything in the match that is worth filming, '
    "where a picture without the faces that you wish for counts less."
)


def more_lines(plan: Plan, *, units: Units, width: int) -> Iterator[str]:
    """Write the rest of a plan, line by line."""
    yield from _sure_lines(plan, width)
    stretches = [(_when(together, plan), together[0]) for together in alike_periods(plan)]
    yield from _camera_lines(plan, stretches, units, width)
    for section in (*follow_sections(plan), *advice_sections(plan, units=units)):
        yield from section_lines(section, width=width)
    yield from _moment_lines(plan, stretches, width)


def _when(together: list[PeriodPlan], plan: Plan) -> str:
    return short_when([p.period.name for p in together], len(plan.periods))


def _sure_lines(plan: Plan, width: int) -> Iterator[str]:
    left = plan.upper_bound - plan.coverage
    yield "How sure"
    if plan.proven:
        better = "less than 0.1 %" if left < LEAST_TOLD else f"at most {100 * left:.1f} %"
        sure = f"All {plan.n_candidates} places were weighed; the best possible is {better} better."
    else:
        sure = f"The best possible is at most {100 * left:.1f} % better: {plan.message}."
    why = reasons_words(plan) if plan.proven else ""
    given = f"We gave that up for {why}." if why else ""
    yield from wrapped(" ".join(filter(None, (sure, given, plan.caveat))), width, first="  ", rest="  ")
    if plan.roles is not None:
        yield from wrapped(roles_sure(plan.roles), width, first="  ", rest="  ")
    yield from wrapped("Crowds and parked cars aren't counted: look before you set up.", width, first="  ", rest="  ")
    facts = (straight_cost_words(plan), could_hold_words(plan), assumed_words(plan.match))
    for line in filter(None, facts):
        yield from wrapped(line, width, first="  ", rest="  ")
    yield ""


def roles_sure(roles: Roles) -> str:
    """Say how sure the places of cameras with a role are."""
    open_share = 100 * (roles.upper_bound - roles.value) / max(roles.value, 1e-9)
    sure = "no other choice serves all of that better" if open_share < SAME_SHARE else (
        f"the best possible serves all of that at most {open_share:.1f} % better"
    )  # fmt: skip
    return (
        "Cameras with a role were placed together with the others, what a role asks for counting "
        f"{ROLE_WORTH:.0f} times as much as the film: {sure}."
    )


def _camera_lines(plan: Plan, stretches: list[tuple[str, PeriodPlan]], units: Units, width: int) -> Iterator[str]:
    for index, camera in enumerate(plan.match.cameras):
        yield f"Camera {camera.name}"
        told = [_camera_facts(plan, index, period, units) for _, period in stretches]
        for fact in zip(*told, strict=True):
            is_same = len(set(fact)) == 1
            for (when, _), words in list(zip(stretches, fact, strict=True))[: 1 if is_same else None]:
                if words:
                    yield from wrapped(words if is_same else f"{when}: {words}", width, first="  ", rest="    ")
        if faces := few_faces_at(plan, camera.name):
            yield from wrapped(f"Few faces {faces}.", width, first="  ", rest="    ")
    yield ""


def _camera_facts(plan: Plan, index: int, period: PeriodPlan, units: Units) -> tuple[str, str, str, str]:
    """Place, lens and pan, room to shift and what holds a camera back in a period, each a sentence or ""."""
    assignment = period.assignments[index]
    low, high = assignment.pan_deg
    advised = camera_advice(plan.advice, period.period.key, assignment.camera)
    shift = shift_words(advised, plan.match, units=units)
    return (
        f"{capital(walk_words(assignment.spot, plan.match, units=units))}.",
        f"{lens_label(assignment.lens)}, pan over {high - low:.0f} degrees.",
        f"You can shift {shift} and lose 1 % at most." if shift else "",
        "" if advised is None else limit_words(advised.limits, units=units),
    )


def _moment_lines(plan: Plan, stretches: list[tuple[str, PeriodPlan]], width: int) -> Iterator[str]:
    """Every kind of moment with what is captured of it in each stretch, most important first."""
    sport = plan.match.sport
    ranked = list(dict.fromkeys(taken.moment for taken in taken_moments(plan)))
    names = [moment_words(sport, m).plural + (" (must)" if m.must else "") for m in ranked]
    room = max(map(len, names)) + 2
    columns = [when or "all" for when, _ in stretches]
    yield "What you get".ljust(room + 2) + "".join(f"{column:>{max(len(column), 6) + 2}}" for column in columns)
    for moment, name in zip(ranked, names, strict=True):
        shares = [percent(period.seen_by_moment[moment.key]) for _, period in stretches]
        cells = "".join(f"{s:>{max(len(c), 6) + 2}}" for s, c in zip(shares, columns, strict=True))
        yield f"  {name:<{room}}{cells}"
    yield from wrapped(f"{SHARES_NOTE} {checked_words(sport)}", width, first="  ", rest="  ")
