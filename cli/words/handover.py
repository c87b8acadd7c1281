"""Where play goes from one camera to another, by lines that people can find on the ground."""

from __future__ import annotations

from standmark.cli.words.shares import whole_percent
from standmark.cli.words.units import Units, native_units, shown, symbol
from standmark.cli.words.where.painted import lines_across
from standmark.cli.words.where.place import is_rectangle
from standmark.cli.words.where.way import halfway_of
from standmark.optimizer.advice.straight_handover import StraightHandover
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import PeriodPlan
from standmark.sports.timeline import length_shares

JUST_NOTHING = 0.0005
MIDDLE_M = 0.75  # nearer than this to a line is at it


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
        *most, other = (c.name for c in plan.match.cameras if c.name != straight.cameras[0])
        keep = f"{', '.join(most)} and {other} keep to their" if most else f"{other} keeps to its"
        return f"{straight.cameras[0]} follows play everywhere, {keep} own moments."
    return f"{part_words(straight, plan.match, units=units)}."


def straight_cost_words(plan: Plan) -> str:
    """Say what straight lines cost against changing over wherever the best camera changes; "" where there are none."""
    handovers = [straight_of(plan, period) for period in plan.periods]
    if not any(straight is not None and straight.cuts_m for straight in handovers):
        return ""
    shares = length_shares(period.period for period in plan.periods)
    lost = float(shares @ [0.0 if straight is None else straight.loss for straight in handovers])
    n_lines = max(len(straight.cuts_m) for straight in handovers if straight is not None)
    costs = "Handing over on straight lines costs" if n_lines > 1 else "Handing over on a straight line costs"
    return f"{costs} {'nothing' if lost < JUST_NOTHING else whole_percent(lost)}."


def part_words(straight: StraightHandover, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say who has which part of the ground: "A has the left end up to 3 m short of halfway, B the rest"."""
    names = match.venue.side_names
    low, high = names[f"-{straight.axis}"], names[f"+{straight.axis}"]
    cuts, (first, *middle, last) = straight.cuts_m, straight.cameras
    if not middle and cuts[0] > _middle_m(straight.axis, match):
        return f"{last} has the {high} up to {_bound(straight.axis, cuts[0], 1, match, units)}, {first} the rest"
    said = f"{first} has the {low} up to {_bound(straight.axis, cuts[0], -1, match, units)}"
    if not middle:
        return f"{said}, {last} the rest"
    if len(middle) > 1:
        said += f", {middle[0]} from there up to {_bound(straight.axis, cuts[1], -1, match, units)}"
    said += f", {last} the {high} up to {_bound(straight.axis, cuts[-1], 1, match, units)}"
    return f"{said}, {middle[-1]} what is between"


def _middle_m(axis: str, match: Match) -> float:
    low_x, low_y, high_x, high_y = match.sport.area.outline.bounds
    return float((low_x + high_x) / 2 if axis == "x" else (low_y + high_y) / 2)


def _bound(axis: str, cut_m: float, sign: int, match: Match, units: Units) -> str:
    """Say how far from the low end (sign -1), or the high one, a part reaches: "3 m short of halfway", "halfway"."""
    area, unit = match.sport.area, native_units(match.sport, units)
    if area.has_home_corner and axis == "x":
        return f"{_whole(cut_m, unit)} out"
    lines = [(_middle_name(axis, match), _middle_m(axis, match))]
    if axis == "x" and is_rectangle(area):
        for line in lines_across(area):
            for side in (-1, 1):
                end = "" if side == sign else f" at the {match.venue.side_names['+x' if side > 0 else '-x']}"
                lines.append((f"{line.name}{end}", side * line.away_m))
    name, at_m = min(lines, key=lambda known: abs(known[1] - cut_m))
    past_m = sign * (at_m - cut_m)
    if abs(past_m) < MIDDLE_M:
        return name
    return f"{_whole(abs(past_m), unit)} {'past' if past_m > 0 else 'short of'} {name}"


def _whole(distance_m: float, units: Units) -> str:
    """Distance to where play changes hands, in whole metres, yards or feet: nobody sees it more exactly."""
    return f"{max(round(shown(distance_m, units)), 1)} {symbol(units)}"


def _middle_name(axis: str, match: Match) -> str:
    area = match.sport.area
    if area.has_home_corner:
        return f"the line from {area.target_name} to second base"
    return halfway_of(area) if axis == "x" and is_rectangle(area) else "the middle of the ground"
