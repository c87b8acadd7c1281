"""Where play goes from one camera to another, by lines that people can find on the ground."""

from __future__ import annotations

from standmark.cli.words.shares import whole_percent
from standmark.cli.words.units import Units, distance_words, native_units
from standmark.cli.words.where.place import is_rectangle
from standmark.cli.words.where.rectangle import along_words
from standmark.cli.words.where.way import NamedGround
from standmark.optimizer.advice.straight_handover import StraightHandover
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import PeriodPlan
from standmark.sports.timeline import length_shares

JUST_NOTHING = 0.0005
MIDDLE_M = 1.0  # nearer than this to the middle line of a ground is at it


def straight_of(plan: Plan, period: PeriodPlan) -> StraightHandover | None:
    """Straight handover of a period; None for one camera, or where no advice was asked for."""
    if plan.advice is None or not plan.advice.straight:
        return None
    return plan.advice.straight[plan.periods.index(period)]


def handover_words(plan: Plan, period: PeriodPlan, *, units: Units = Units.METRIC) -> str:
    """Say who has play where, in a sentence; "" where nothing is known."""
    straight = straight_of(plan, period)
    if straight is None:
        return ""
    if not straight.cuts_m:
        others = ", ".join(c.name for c in plan.match.cameras if c.name != straight.cameras[0])
        return f"{straight.cameras[0]} follows play everywhere, {others} keeps to its own moments."
    return f"{part_words(straight, plan.match, units=units)}."


def straight_cost_words(plan: Plan) -> str:
    """Say what straight lines cost against changing over wherever the best camera changes; "" where there are none."""
    handovers = [straight_of(plan, period) for period in plan.periods]
    if not any(straight is not None and straight.cuts_m for straight in handovers):
        return ""
    shares = length_shares(period.period for period in plan.periods)
    lost = float(shares @ [0.0 if straight is None else straight.loss for straight in handovers])
    n_lines = max(len(straight.cuts_m) for straight in handovers if straight is not None)
    costs = "Straight lines cost" if n_lines > 1 else "A straight line costs"
    return f"{costs} {'nothing' if lost < JUST_NOTHING else whole_percent(lost)}."


def part_words(straight: StraightHandover, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say who has which part of the ground: "A has the left end up to the 22 m line, B the rest"."""
    names = match.venue.side_names
    low, high = names[f"-{straight.axis}"], names[f"+{straight.axis}"]
    lines = [cut_words(straight, cut_m, match, units=units) for cut_m in straight.cuts_m]
    first, *middle, last = straight.cameras
    if not middle and straight.cuts_m[0] > _middle_m(straight.axis, match):
        return f"{last} has the {high} up to {_short(lines[0], high)}, {first} the rest"
    said = f"{first} has the {low} up to {_short(lines[0], low)}"
    if not middle:
        return f"{said}, {last} the rest"
    said += f", {last} the {high} up to {_short(lines[-1], high)}"
    if len(middle) == 1:
        return f"{said}, {middle[0]} what is between"
    return f"{said}, {middle[0]} what is between as far as {lines[1]}, {middle[1]} the rest"


def _short(line: str, side: str) -> str:
    """Leave out of the words for a line the side that has just been named."""
    return line.replace(f" at the {side}", "").removesuffix(f" toward the {side}")


def _middle_m(axis: str, match: Match) -> float:
    low_x, low_y, high_x, high_y = match.sport.area.outline.bounds
    return float((low_x + high_x) / 2 if axis == "x" else (low_y + high_y) / 2)


def cut_words(straight: StraightHandover, cut_m: float, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where a handover line lies."""
    area, unit = match.sport.area, native_units(match.sport, units)
    names = match.venue.side_names
    if straight.axis == "x" and is_rectangle(area):
        return along_words(cut_m, NamedGround(area, names, unit, False)).removeprefix("level with ")
    low, high = (area.outline.bounds[0], area.outline.bounds[2]) if straight.axis == "x" else (
        area.outline.bounds[1], area.outline.bounds[3]
    )  # fmt: skip
    off_m = cut_m - (low + high) / 2
    if abs(off_m) < MIDDLE_M:
        return "the middle of the ground"
    side = names[f"{'+' if off_m > 0 else '-'}{straight.axis}"]
    return f"{distance_words(abs(off_m), unit)} from the middle toward the {side}"
