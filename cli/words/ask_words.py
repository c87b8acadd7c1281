"""Raised places to ask for, in words: what each would add, and whether the job can be done from the ground at all."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.cli.words.naming import percent
from standmark.cli.words.units import Units, shown, symbol
from standmark.optimizer.advice.ask import Ask
from standmark.optimizer.match.match import AllowedArea, Match
from standmark.optimizer.planning import Plan

WORTH_ASKING = 0.03  # coverage gained: said without --more
HARDLY = 0.005  # not named at all
HOPELESS = 0.2  # coverage that height adds to a film that needs it: from the ground it cannot be done
HOPELESS_WORDS = "This can't be done from the ground"
RAISED_M = 3.0  # a lens this high stands on something
MOST_NAMED = 4
PLURAL = ("top rows", "roof")  # "the top rows of ...", not "a top rows of ..."


def ask_area(ask: Ask, match: Match) -> AllowedArea:
    """Place that is to be asked for."""
    return next(area for area in match.venue.asked if area.key == ask.area)


def ask_name(ask: Ask, match: Match) -> str:
    """Name of the place with its article: "a seat in the stand at halfway"."""
    name = ask_area(ask, match).name
    return f"the {name}" if name.startswith(PLURAL) else f"a {name}"


def hopeless_words(plan: Plan, *, units: Units = Units.METRIC) -> str:
    """Say that a film can't be made from the ground, where that is so, and what to ask for; else ""."""
    if plan.advice is None:
        return ""
    best, match = next(iter(plan.advice.ask), None), plan.match
    ground = all(a.spot.z_m < RAISED_M for period in plan.periods for a in period.assignments)
    high = max(plan.advice.height, key=lambda point: point.coverage, default=None)
    from_above = match.deliverable.look_down_deg > 0 and ground
    if from_above and best is not None and best.gain >= HOPELESS:
        place = f"{ask_name(best, match)}, {about(best.spot.z_m, units)} up"
        return f"{HOPELESS_WORDS}. Ask for {place}: worth {percent(best.gain)} more."
    if from_above and high and high.coverage - plan.coverage >= HOPELESS:
        got = f"you'd get {percent(plan.seen)} here, and {percent(high.seen)} from {about(high.height_m, units)} up"
        return f"{HOPELESS_WORDS}: {got}."
    return ""


def ask_gain(plan: Plan) -> tuple[str, str] | None:
    """Raised place that adds most, and how much: "a seat in the stand at halfway" and "8 %"; None if none adds much."""
    best = None if plan.advice is None else next(iter(plan.advice.ask), None)
    if best is None or best.gain <= WORTH_ASKING:
        return None
    return ask_name(best, plan.match).replace(", at", " at"), percent(best.gain)


def ask_notes(plan: Plan, *, units: Units = Units.METRIC) -> Iterator[str]:
    """Further places worth asking for, one line."""
    if plan.advice is None:
        return
    first: dict[str, Ask] = {}  # of the places that only their end tells apart
    for ask in plan.advice.ask:
        if ask.gain >= HARDLY:
            first.setdefault(ask_area(ask, plan.match).name.split(" (")[0], ask)
    some = list(first.values())[:MOST_NAMED]
    if some:
        parts = [f"{ask_name(a, plan.match)}, {about(a.spot.z_m, units)} up ({percent(a.gain)} more)" for a in some]
        yield f"Worth asking the ground for: {'; '.join(parts)}."


def about(height_m: float, units: Units) -> str:
    """Height of a lens in whole metres or feet: "about 8 m"."""
    return f"about {shown(height_m, units):.0f} {symbol(units)}"
