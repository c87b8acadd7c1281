"""The plan on a terminal: the answer in a few lines, and everything else for those who ask for more."""

from __future__ import annotations

import math
from collections.abc import Iterator

from standmark.cli.words.ask_words import first_ask_lines
from standmark.cli.words.bag_words import assumed_words, bag_lines
from standmark.cli.words.hold_words import hold_words, kit_words
from standmark.cli.words.lines import wrapped
from standmark.cli.words.more import more_lines
from standmark.cli.words.roam_words import follow_lines
from standmark.cli.words.role_words import kept_words, wide_words
from standmark.cli.words.rules_words import rules_lines
from standmark.cli.words.shares import about, cost_words, whole_percent
from standmark.cli.words.spots import (
    fallbacks_of,
    instead_words,
    move_after,
    short_period,
    short_when,
    walk_words,
    whole_loss,
)
from standmark.cli.words.strengths import WIDTH, few_faces_at, good_for, weak_at
from standmark.cli.words.units import Units
from standmark.cli.words.usual import Usual
from standmark.cli.words.where.place import where
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.breach import spot_breach
from standmark.optimizer.work.assignment import Assignment, PeriodPlan
from standmark.optimizer.work.hold import hold_at

LABEL = 10  # letters of a label, with the gap after it
LEAST_SAID = 0.01  # losses below are "under 1 %"
CLOSE = 1e-4  # of coverage: a proof that leaves more says how much
ONE_POINT_WORTH = 0.001  # what is left to the best possible, under which nobody asks


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
CAUTION = f"Ask first: venue, competition and officials decide. Watch the ball, {SUN}film children only with consent."


def caution_words(match: Match) -> str:
    """Usual cautions under every plan; the sun only where it shines."""
    return CAUTION.replace(SUN, "") if match.venue.is_indoor else CAUTION


def proof_words(plan: Plan) -> str:
    """Say in one sentence how sure it is that no choice does better."""
    left = plan.upper_bound - plan.coverage
    given = plan.given_up.second_angle + plan.given_up.moves + plan.given_up.eye_height + plan.given_up.kept
    others = {1: "spot", 2: "pair of places"}.get(len(plan.match.cameras), "set of places")
    if not plan.proven:
        return f"Another {others} might get up to {whole_percent(left)} more: {plan.message}."
    if given < ONE_POINT_WORTH:
        if left - given > CLOSE:
            return f"No other {others} you're allowed to use gets over {math.ceil(1000 * left) / 10:g} % more."
        return f"No other {others} you're allowed to use does better."
    reasons = [
        reason
        for share, reason in (
            (plan.given_up.second_angle, "a second angle on more of it"),
            (plan.given_up.moves, "fewer walks"),
            (plan.given_up.eye_height, "a lens at your eye"),
            (plan.given_up.kept, "places that a role or an earlier plan sets"),
        )
        if share >= ONE_POINT_WORTH / 2
    ]
    most = "under 1 %" if left < LEAST_SAID else f"up to {whole_percent(left)}"
    rest = ", or the search did not go so far" if left - given > CLOSE else ""
    return f"Another {others} might get {most} more: we gave that up for {' and '.join(reasons)}{rest}."


def _answer(plan: Plan, units: Units, width: int, usual: Usual | None, out: str) -> Iterator[str]:
    match = plan.match
    yield from wrapped(heading(match), width)
    for line in first_ask_lines(plan, units=units):
        yield from wrapped(line, width)
    for line in filter(None, (*bag_lines(plan), assumed_words(match), kept_words(plan), wide_words(plan))):
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
    yield from wrapped(" ".join(filter(None, (gain_words(plan), "" if usual is None else usual.words))), width)
    yield from wrapped(f"{proof_words(plan)} The proof and more: add --more.", width)
    for line in rules_lines(plan, is_short=True):
        yield from wrapped(line, width)
    yield from wrapped(caution_words(match), width)
    if out:
        own = ", ".join(f"sheet-{camera.name}" for camera in match.cameras)
        papers = "sheet.pdf" if len(match.cameras) == 1 else f"sheet.pdf (lead), {own}"
        yield from wrapped(f"Open {out}/sheet.html on your phone; print {papers}.", width)


def _without_last(lines: Iterator[str]) -> list[str]:
    """Lines without the empty one at the end."""
    return list(lines)[:-1]


def gain_words(plan: Plan) -> str:
    """Say what the plan gets, how much of it shows faces, and for several cameras what each gets alone."""
    said = about(plan.seen)
    of = "of the match" if said != "hardly any" else "of it"
    whole = f"You'll get {said} {of}, {about(plan.faces)} of that with faces"
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
    kits = [kit_words(periods[0].assignments[index], match, units) for periods in stays]
    is_same_kit = len(set(kits)) == 1
    yield from wrapped(f"Camera {name}{f', {kits[0]}' if is_same_kit else ''}", width)
    labels = [short_when([p.period.name for p in periods], len(plan.periods)) for periods in stays]
    wide = min(max(len(label) for label in labels) + 2, 20)
    for periods, label, kit in zip(stays, labels, kits, strict=True):
        spot = periods[0].assignments[index].spot
        said = _upper(where(spot, match, units=units).words) + ("." if is_same_kit else f". {_upper(kit)}.")
        held = hold_words(hold_at(match, match.cameras[index], spot))
        said += f" {held}" if held else ""
        said += " Stay there." if len(stays) == 1 and len(plan.periods) > 1 else ""
        room = max(wide, LABEL)
        yield from _labelled(label or "Stand", said, width, room)
        if warning := fixed_warning(periods[0].assignments[index], periods[0], plan):
            yield from wrapped(f"! {_upper(warning)}.", width, first="  ", rest="    ")
        move = move_after(plan, periods[-1].period.key, name)
        if move is not None:
            told = walk_words(move.walk, match, units=units, in_paces=False)
            yield from wrapped(_upper(f"{told}."), width, first=" " * (room + 2), rest=" " * (room + 2))
    get = {
        "Good for": good_for(plan, name),
        "Weak at": weak_at(plan, name),
        "Few faces": few_faces_at(plan, name, width=width - LABEL - 2),
    }
    for label, words in get.items():
        if words:
            yield from _labelled(label, words, width, LABEL)
    if refused := refused_words(plan, index, units):
        yield from wrapped(f"If refused, {refused}", width, first="  ", rest="    ")


def _stays(plan: Plan, index: int) -> Iterator[list[PeriodPlan]]:
    """Periods in which one camera keeps its place, in the order of its places."""
    groups: dict[str, list[PeriodPlan]] = {}
    for period in plan.periods:
        groups.setdefault(period.assignments[index].spot.id, []).append(period)
    yield from groups.values()


def _labelled(label: str, text: str, width: int, room: int) -> list[str]:
    return wrapped(text, width, first=f"  {label:<{room}}"[: room + 2], rest=" " * (room + 2))


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


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
    from standmark.cli.words.handover import handover_words, straight_cost_words

    told: dict[str, list[str]] = {}
    for period in plan.periods:
        words = handover_words(plan, period, units=units)
        if words:
            told.setdefault(words, []).append(short_period(period.period.name))
    cost = straight_cost_words(plan)
    for place, (words, names) in enumerate(told.items()):
        when = "" if len(names) == len(plan.periods) else f" ({', '.join(names)})"
        said = f"{words} {cost}" if cost and place == len(told) - 1 else words
        yield from wrapped(f"Handover{when}: {said}", width, rest="  ")


def fixed_warning(assignment: Assignment, period: PeriodPlan, plan: Plan) -> str:
    """Warn of a camera that the match file fixes where the ground lets nobody stand; "" for none."""
    camera = next(c for c in plan.match.cameras if c.name == assignment.camera)
    breach = "" if camera.fixed is None else spot_breach(plan.match, assignment.spot, period.period)
    return breach and f"the match file fixes it here (at_m), but it {breach}: ask before anybody goes there"
