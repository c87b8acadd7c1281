"""The plan on a terminal: the answer in a few lines, and everything else for those who ask for more."""

from __future__ import annotations

import re
from collections.abc import Iterator

from standmark.cli.words.ask_words import ask_gain, hopeless_words
from standmark.cli.words.bag_words import assumed_words, hire_gain
from standmark.cli.words.hold_words import carried_words, kit_and_posture
from standmark.cli.words.lines import capital, wrapped
from standmark.cli.words.more import more_lines
from standmark.cli.words.proof_words import sure_words
from standmark.cli.words.roam_words import follow_lines
from standmark.cli.words.role_words import kept_words, wide_words
from standmark.cli.words.rules_words import first_rules, n_objecting
from standmark.cli.words.shares import about, cost_words, whole_percent
from standmark.cli.words.sheet_name import sheet_name
from standmark.cli.words.spots import (
    fallbacks_of,
    instead_words,
    move_after,
    short_period,
    short_when,
    walk_words,
    whole_loss,
)
from standmark.cli.words.strengths import WIDTH, good_for, weak_words
from standmark.cli.words.units import Units
from standmark.cli.words.usual import Usual
from standmark.cli.words.where.place import where
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.breach import spot_breach
from standmark.optimizer.work.assignment import Assignment, PeriodPlan
from standmark.optimizer.work.hold import hold_at

BETWEEN = re.compile(", (?!toward )")  # two landmarks
LABEL = 10  # letters of a label, with the gap after it


def plan_summary(
    plan: Plan,
    *,
    units: Units = Units.METRIC,
    width: int = WIDTH,
    usual: Usual | None = None,
    out: str = "",
    more: bool = False,
) -> str:
    """Write a plan as plain text, the answer first.

    Parameters
    ----------
    width : letters in a line
    usual : what people usually get without a plan
    out : folder of the sheets; "": none were written
    more : also how sure it is, how far one may shift, what a closed place costs, and every kind of moment
    """
    lines = list(_answer(plan, units, width, usual, out))
    if more:
        lines += ["", *more_lines(plan, units=units, width=width)]
    return "\n".join(lines) + "\n"


def heading(match: Match) -> str:
    """Ground, title, start and purpose in one line."""
    first = ", ".join(dict.fromkeys((match.venue.name, match.title)))
    start = "" if match.start is None else f" {match.start:%a} {match.start.day} {match.start:%B %Y, %H:%M}."
    return f"{first}.{start} {match.deliverable.name}."


SUN = "keep the lens off the sun, "
ASK = "Ask first: venue, competition and officials decide."
CHILDREN = ", film children only with consent"
CAUTION = f"{ASK} Watch the ball, {SUN.removesuffix(', ')}{CHILDREN}."


def caution_words(match: Match, n_objecting: int = 0) -> str:
    """Usual cautions under every plan; the sun only where it shines, and how many known rules forbid the plan."""
    said = CAUTION.replace(SUN, "") if match.venue.is_indoor else CAUTION
    whose = "one competition" if n_objecting == 1 else f"{n_objecting} competitions"
    return said.replace(ASK, f"Ask the venue first; rules of {whose} forbid this (--more).") if n_objecting else said


def _answer(plan: Plan, units: Units, width: int, usual: Usual | None, out: str) -> Iterator[str]:
    match = plan.match
    assumed = " Kit assumed (--more)." if assumed_words(match) else ""
    yield from wrapped(f"{heading(match)}{assumed}", width)
    for line in filter(None, (hopeless_words(plan, units=units), kept_words(plan), wide_words(plan))):
        yield from wrapped(line, width)
    yield ""
    for index, camera in enumerate(match.cameras):
        yield from _camera_lines(plan, index, camera.name, units, width)
    if len(match.cameras) > 1:
        yield from handover_lines(plan, units, width)
    if plan.follow:
        yield ""
        yield from _without_last(follow_lines(plan, units=units, width=width))
    yield ""
    compared = "" if usual is None else f"; {usual.short}"
    yield from wrapped(f"{gain_words(plan).removesuffix('.')}{compared}. {sure_words(plan)}", width)
    if more := _more_words(plan, width):
        yield from wrapped(more, width)
    if rules := first_rules(plan):
        yield from wrapped(rules, width)
    yield from wrapped(caution_words(match, n_objecting(plan)), width)
    own = ", ".join(sheet_name(camera.name) for camera in match.cameras)
    papers = "sheet.pdf" if len(match.cameras) == 1 else f"sheet.pdf (lead), {own}"
    files = f"Open {out}/sheet.html on your phone; print {papers}. " if out else ""
    yield from wrapped(f"{files}The proof: add --more.", width)


def _more_words(plan: Plan, width: int) -> str:
    """Say what would get more, in a line: the lens to hire, then the place to ask for if there's room; "" for none."""
    asked = None if hopeless_words(plan) else ask_gain(plan)  # else the answer begins with it
    adds = [f"{what} adds {gain}" for what, gain in filter(None, (hire_gain(plan), asked))]
    both = ", ".join((*adds[:1], *(words.replace(" adds ", " ") for words in adds[1:])))
    said = both if len(f"To get more: {both}.") <= width else adds[0]
    return f"To get more: {said}." if adds else ""


def _without_last(lines: Iterator[str]) -> list[str]:
    """Lines without the empty one at the end."""
    return list(lines)[:-1]


def gain_words(plan: Plan) -> str:
    """Say what the plan gets, how much of it shows faces, and for several cameras what each gets alone."""
    said = about(plan.seen)
    of = "of the match" if said != "hardly any" else "of it"
    whole = f"You'll get {said} {of}, {about(plan.faces).removeprefix('about ')} of that with faces"
    if len(plan.match.cameras) == 1:
        return f"{whole}."
    alone = [
        f"{camera.name} {'alone ' if index == 0 else ''}{about(_alone(plan, index)).removeprefix('about ')}"
        for index, camera in enumerate(plan.match.cameras)
    ]
    return f"{whole}; {', '.join(alone)}."


def _alone(plan: Plan, index: int) -> float:
    minutes = [p.period.minutes for p in plan.periods]
    got = [p.assignments[index].seen for p in plan.periods]
    return sum(m * g for m, g in zip(minutes, got, strict=True)) / sum(minutes)


def _camera_lines(plan: Plan, index: int, name: str, units: Units, width: int) -> Iterator[str]:
    match = plan.match
    stays = [list(group) for group in _stays(plan, index)]
    kits = [kit_and_posture(periods[0].assignments[index], match, units) for periods in stays]
    is_same_kit = len(set(kits)) == 1
    yield from wrapped(f"Camera {name}{f', {kits[0]}' if is_same_kit else ''}", width)
    labels = [short_when([p.period.name for p in periods], len(plan.periods)) for periods in stays]
    wide = min(max(len(label) for label in labels) + 2, 20)
    for periods, label, kit in zip(stays, labels, kits, strict=True):
        spot = periods[0].assignments[index].spot
        place = where(spot, match, units=units).short
        held = carried_words(hold_at(match, match.cameras[index], spot))
        rest = [*([] if is_same_kit else [f"{capital(kit)}."]), held, _walk_after(plan, periods[-1], name, units)]
        label = f"{label or ('All match' if len(plan.periods) > 1 else 'Stand'):<{max(wide, LABEL)}}"
        said = (" ".join(filter(None, (f"{capital(part)}.", *rest))) for part in (place, _two_landmarks(place)))
        yield from min((_labelled(label, text, width) for text in said), key=_beyond_two)
        if warning := fixed_warning(periods[0].assignments[index], periods[0], plan):
            yield from wrapped(f"! {capital(warning)}.", width, first="  ", rest="    ")
    weak = weak_words(plan, name, width=width - LABEL - 2)
    for label, words in (("Good for", good_for(plan, name)), ("Weak at", weak)):
        if words:
            yield from _labelled(f"{label:<{LABEL}}", words, width)
    if refused := refused_words(plan, index, units):
        yield from wrapped(f"If refused, {refused}", width, first="  ", rest="    ")


def _two_landmarks(place: str) -> str:
    """A place without its third landmark, which the sheets have; the way along a line stays with its distance.

    >>> _two_landmarks("far side, left of its middle: 3 m outside the boundary, 14 m round from its middle, at point")
    'far side, left of its middle: 3 m outside the boundary, 14 m round from its middle'
    >>> _two_landmarks("left end: 4 m behind the goal line, 2 m right of the goalpost, 3 m inside the circle")
    'left end: 4 m behind the goal line, 2 m right of the goalpost'
    >>> _two_landmarks("far side, toward the left end: 3 m outside the sideline, 1 m from the net, toward the corner")
    'far side, toward the left end: 3 m outside the sideline, 1 m from the net, toward the corner'
    """
    name, colon, detail = place.partition(": ")
    return f"{name}{colon}{', '.join(BETWEEN.split(detail)[:2])}"


def _beyond_two(lines: list[str]) -> int:
    """Lines beyond two that a place takes."""
    return max(len(lines) - 2, 0)


def _walk_after(plan: Plan, period: PeriodPlan, camera: str, units: Units) -> str:
    """Sentence on the walk of a camera in the break after a period; "" where it stays."""
    move = move_after(plan, period.period.key, camera)
    return "" if move is None else capital(f"{walk_words(move.walk, plan.match, units=units, in_paces=False)}.")


def _stays(plan: Plan, index: int) -> Iterator[list[PeriodPlan]]:
    """Periods in which one camera keeps its place, in the order of its places."""
    groups: dict[str, list[PeriodPlan]] = {}
    for period in plan.periods:
        groups.setdefault(period.assignments[index].spot.id, []).append(period)
    yield from groups.values()


def _labelled(label: str, text: str, width: int) -> list[str]:
    return wrapped(text, width, first=f"  {label}", rest=" " * (len(label) + 2))


def refused_words(plan: Plan, index: int, units: Units) -> str:
    """Say what to do when the place is refused, and what that costs, once for places alike."""
    name = plan.match.cameras[index].name
    told: dict[str, list[tuple[str, float]]] = {}
    for periods in _stays(plan, index):
        key, here = periods[0].period.key, periods[0].assignments[index].spot
        near, _ = fallbacks_of(plan, key, name)
        if near is not None:
            words = instead_words(here, near.spot, plan.match, units=units, is_short=True)
            when = short_when([p.period.name for p in periods], len(plan.periods))
            told.setdefault(words, []).append((when, whole_loss(plan, key, near)))
    parts = []
    for words, costs in told.items():
        whens = [when for when, _ in costs if when]
        if len(costs) == 1:
            when = f" ({costs[0][0]})" if costs[0][0] else ""
            parts.append(f"{words}{when}: {cost_words(costs[0][1])}")
        else:
            each = ", ".join(f"{whole_percent(loss)} in the {when}" for when, loss in costs)
            losses = {cost_words(loss) for _, loss in costs}
            said = f"{losses.pop()} each time" if len(losses) == 1 else f"you lose {each}"
            parts.append(f"{words}: {said.replace('nothing each time', 'nothing')}" if whens else words)
    return f"{'; '.join(parts)}." if parts else ""


def handover_lines(plan: Plan, units: Units, width: int) -> Iterator[str]:
    """Say where play goes from one camera to another."""
    from standmark.cli.words.handover import handover_words

    told: dict[str, list[str]] = {}
    for period in plan.periods:
        words = handover_words(plan, period, units=units)
        if words:
            told.setdefault(words, []).append(short_period(period.period.name))
    for words, names in told.items():
        when = "" if len(names) == len(plan.periods) else f" ({', '.join(names)})"
        yield from wrapped(f"Handover{when}: {words}", width, rest="  ")


def fixed_warning(assignment: Assignment, period: PeriodPlan, plan: Plan) -> str:
    """Warn of a camera that the match file fixes where the ground lets nobody stand; "" for none."""
    camera = next(c for c in plan.match.cameras if c.name == assignment.camera)
    breach = "" if camera.fixed is None else spot_breach(plan.match, assignment.spot, period.period)
    return breach and f"the match file fixes it here (at_m), but it {breach}: ask before anybody goes there"
