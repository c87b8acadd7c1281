"""The plan on a terminal: the answer in a few lines, and everything else for those who ask for more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from standmark.cli.words.ask_words import first_ask_lines
from standmark.cli.words.bag_words import assumed_words, bag_lines
from standmark.cli.words.hold_words import hold_words, kit_words
from standmark.cli.words.lines import wrapped
from standmark.cli.words.moments import Taken, both_ends, end_words, moment_words, taken_moments
from standmark.cli.words.more import more_lines
from standmark.cli.words.roam_words import follow_lines
from standmark.cli.words.rules_words import rules_lines
from standmark.cli.words.shares import WELL_FROM, about, cost_words, how_many, whole_percent
from standmark.cli.words.spots import (
    fallbacks_of,
    instead_words,
    move_after,
    short_period,
    short_when,
    walk_words,
    whole_loss,
)
from standmark.cli.words.units import Units
from standmark.cli.words.usual import Usual
from standmark.cli.words.where.place import where
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.breach import spot_breach
from standmark.optimizer.work.assignment import Assignment, PeriodPlan
from standmark.optimizer.work.hold import hold_at

WIDTH = 80
LABEL = 10  # letters of a label, with the gap after it
MOST_TOLD = 3  # kinds of moments that a camera is good for, and weak at
CAN_HOLD_WIDE = 0.5  # of the shape of play that a camera must hold to be called the wide one
WEAK_BELOW = 0.55  # captured usably less often
FEW_FACES_BELOW, FACES_MATTER = 0.45, 0.3  # of what is captured; how much they matter in the moment
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
        return f"Another {others} may get up to {whole_percent(left)} more: {plan.message}."
    if given < ONE_POINT_WORTH:
        return f"No other {others} you're allowed to use does better."
    reasons = [
        reason
        for share, reason in (
            (plan.given_up.second_angle, "more second angles"),
            (plan.given_up.moves, "fewer walks"),
            (plan.given_up.eye_height, "a lens at your eye"),
            (plan.given_up.kept, "places that a role or an earlier plan sets"),
        )
        if share >= ONE_POINT_WORTH / 2
    ]
    return f"At most {100 * left:.1f} % is left, given up for {' and '.join(reasons)}."


def _answer(plan: Plan, units: Units, width: int, usual: Usual | None, out: str) -> Iterator[str]:
    match = plan.match
    yield from wrapped(heading(match), width)
    for line in first_ask_lines(plan, units=units):
        yield from wrapped(line, width)
    for line in filter(None, (*bag_lines(plan), assumed_words(match), kept_words(plan), role_words(plan))):
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
    for line in rules_lines(plan):
        yield from wrapped(line, width)
    yield from wrapped(caution_words(match), width)
    if out:
        papers = "sheet.pdf" if len(match.cameras) == 1 else "sheet.pdf (lead), " + ", ".join(
            f"sheet-{camera.name}.pdf" for camera in match.cameras
        )  # fmt: skip
        yield from wrapped(f"Open {out}/sheet.html on your phone; print {papers}.", width)


def kept_words(plan: Plan) -> str:
    """Name the cameras that stay all match where they stood in the plan that was to be kept; empty for none."""
    held = [set(names) for _, names in plan.held]
    all_match = [
        c.name
        for c in plan.match.cameras
        if held and c.role not in ("wide", "faces") and all(c.name in names for names in held)
    ]
    if not all_match:
        return ""
    *most, last = all_match
    who = f"{', '.join(most)} and {last} stand" if most else f"{last} stands"
    return f"Camera{'s' if most else ''} {who} where the earlier plan had {'them' if most else 'it'}."


def role_words(plan: Plan) -> str:
    """Say what the cameras with a role hold, or whether one of several could hold wide."""
    wide = [c.name for c in plan.match.cameras if c.role == "wide"]
    if wide:
        share = [
            (p.period.minutes, a.role_share or 0.0) for p in plan.periods for a in p.assignments if a.camera == wide[0]
        ]
        held = sum(m * s for m, s in share) / sum(m for m, _ in share)
        return f"Camera {wide[0]} holds the shape of play, all in the frame, for {about(held)} of it."
    if not plan.shape:
        return ""
    name, most = max(plan.shape, key=lambda pair: pair[1])
    if most < CAN_HOLD_WIDE:
        return 'No camera can hold wide from its place; give one role = "wide" to plan for that.'
    return f"Camera {name} can also hold wide: it'd show the shape of play for {about(most)} of it."


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
        f"{camera.name} alone {about(_alone(plan, index)).removeprefix('about ')}"
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


def good_for(plan: Plan, camera: str) -> str:
    """Three kinds of moments for which a camera is worth most: "shots, goals at the end you attack"."""
    return ", ".join(_with_ends(_good(plan, camera), plan.match))


def _good(plan: Plan, camera: str) -> list[Taken]:
    """Return what a camera gets well, by what it's worth; a moment that it gets at both ends once."""
    told: dict[str, Taken] = {}
    for taken in taken_moments(plan, camera=camera):
        if taken.captured >= WELL_FROM and taken.moment.is_play:
            before = told.get(taken.moment.key)
            told[taken.moment.key] = taken if before is None else both_ends(before, taken)
    return sorted(sorted(told.values(), key=lambda t: -t.weight * t.captured)[:MOST_TOLD], key=lambda t: t.end)


def weak_at(plan: Plan, camera: str) -> str:
    """Three kinds of moments of which a camera misses most, with how many it gets: "goals (half)"."""
    good = {(t.moment.key, t.end) for t in _good(plan, camera)}
    told = [
        t for t in taken_moments(plan, camera=camera) if t.captured < WEAK_BELOW and (t.moment.key, t.end) not in good
    ]
    worst = sorted(told, key=lambda t: -t.rank * (1 - t.captured))
    return ", ".join(_counted(((t, how_many(t.captured)) for t in worst), plan.match)[:MOST_TOLD])


def few_faces_at(plan: Plan, camera: str, *, width: int = WIDTH) -> str:
    """Kinds of moments that a camera films mostly from behind, with how many show faces, in a line: the worst ones.

    Empty where there are none, or where the film does not ask for faces.
    """
    told = [
        t
        for t in taken_moments(plan, camera=camera)
        if t.faces < FEW_FACES_BELOW and t.moment.faces_matter >= FACES_MATTER and t.captured > 0 and t.moment.is_play
    ]
    if not told or plan.match.deliverable.faces == 0:
        return ""
    worst = sorted(told, key=lambda t: -t.rank * t.captured * t.moment.faces_matter * (1 - t.faces))
    first, *more = _counted(((t, how_many(t.faces)) for t in worst), plan.match)[:MOST_TOLD]
    words = f"at {first}"
    for part in more:
        words += f", {part}" if len(words) + len(part) + 2 <= width else ""
    return words


def _counted(told: Iterable[tuple[Taken, str]], match: Match) -> list[str]:
    """Kinds of moments with how many of each; the two ends in one where they are alike."""
    groups: dict[tuple[str, str], list[Taken]] = {}
    for taken, count in told:
        groups.setdefault((taken.moment.key, count), []).append(taken)
    parts = []
    for (_, count), own in groups.items():
        place = f" {end_words(own[0].end, match)}" if own[0].end and len(own) == 1 else ""
        parts.append(f"{moment_words(match.sport, own[0].moment).plural}{place} ({count})")
    return parts


def _with_ends(told: Sequence[Taken], match: Match) -> Iterator[str]:
    """Name kinds of moments, an end that follows in a row only once, after the last of them."""
    for end, run in groupby(told, key=lambda t: t.end):
        names = [moment_words(match.sport, t.moment).plural for t in run]
        yield ", ".join(names) + (f" {end_words(end, match)}" if end else "")


def refused_words(plan: Plan, index: int, units: Units) -> str:
    """Say what to do when the place is refused, and what that costs, once for places alike."""
    name = plan.match.cameras[index].name
    told: dict[str, list[tuple[str, float]]] = {}
    for periods in _stays(plan, index):
        key, here = periods[0].period.key, periods[0].assignments[index].spot
        near, _ = fallbacks_of(plan, key, name)
        if near is not None:
            words = instead_words(here, near.spot, plan.match, units=units)
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
            parts.append(f"{words}: you lose {each}" if whens else words)
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
