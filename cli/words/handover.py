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
    """Say who has play where: "A beyond 3 m from the 22 m line ...; everywhere else B"; "" where nothing is known."""
    straight = straight_of(plan, period)
    if straight is None:
        return ""
    if not straight.cuts_m:
        others = ", ".join(c.name for c in plan.match.cameras if c.name != straight.cameras[0])
        return f"{straight.cameras[0]} follows play everywhere, {others} keeps to its own moments."
    return f"{part_words(straight, plan.match, units=units)}."


def straight_cost_words(plan: Plan) -> str:
    """Say what straight lines cost against changing over wherever the best camera changes; "" where there are none."""
    found = [straight_of(plan, period) for period in plan.periods]
    if not any(straight is not None and straight.cuts_m for straight in found):
        return ""
    shares = length_shares(period.period for period in plan.periods)
    lost = float(shares @ [0.0 if straight is None else straight.loss for straight in found])
    n_lines = max(len(straight.cuts_m) for straight in found if straight is not None)
    costs = "Straight lines cost" if n_lines > 1 else "A straight line costs"
    return f"{costs} {'nothing' if lost < JUST_NOTHING else whole_percent(lost)}."


def part_words(straight: StraightHandover, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say who has which part of the ground, from the low end of the axis to the high one."""
    names, low, high = match.venue.side_names, f"-{straight.axis}", f"+{straight.axis}"
    lines = [cut_words(straight, cut_m, match, units=units) for cut_m in straight.cuts_m]
    first, last = straight.cameras[0], straight.cameras[-1]
    if len(lines) == 1:
        return f"{lines[0]}. Toward the {names[high]} {last}, toward the {names[low]} {first}"
    between = "; ".join(
        f"between {lines[i]} and {lines[i + 1]}: {camera}" for i, camera in enumerate(straight.cameras[1:-1])
    )
    return f"beyond {lines[-1]}, {names[high]}: {last}; {between}; beyond {lines[0]}, {names[low]}: {first}"


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
