"""Where a spot is, in words that a person can walk by: rectangles, ovals, and grounds with one home corner.

"Left" and "right" are those of someone who stands there and faces the playing area, on every ground.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import shapely

from standmark.optimizer.work.assignment import Spot
from standmark.sports.sport import PlayingArea

Distance = Callable[[float], str]  # metres -> words in the reader's unit
Names = Mapping[str, str]  # what the ends and sides are called
NEAR_M = 0.3  # nearer than this to a line or its prolongation counts as level with it
NO_DISTANCE_M = 0.125  # shows as nothing when rounded to quarters of a metre
IN_LINE_M = 0.5  # off the middle by less than this is in line with it
WIDE_TARGET_M = 2.5  # a target wider than this has a middle worth naming
ROUNDED_M = 0.5  # the line lies this much further away than its straight edges: the spot is off a rounded corner


def is_rectangle(area: PlayingArea) -> bool:
    """Is the playing area a rectangle, or one with rounded corners."""
    box = shapely.box(*area.outline.bounds)
    return bool(area.outline.symmetric_difference(box).area < 0.05 * box.area)


def has_home_corner(area: PlayingArea) -> bool:
    """Does the ground open from one corner, at which the frame has its origin."""
    return bool(area.outline.boundary.distance(shapely.Point(0, 0)) < NEAR_M)


def rectangle_words(spot: Spot, area: PlayingArea, names: Names, away: Distance) -> str:
    """Behind an end line, outside a side line, or off a corner."""
    low_x, low_y, high_x, high_y = area.outline.bounds
    beyond_x = spot.x_m - high_x if spot.x_m > 0 else low_x - spot.x_m
    beyond_y = spot.y_m - high_y if spot.y_m > 0 else low_y - spot.y_m
    end, side = _end(spot, names), _side(spot, names)
    back_line = area.outer_line or area.end_line
    if _is_inside(spot, area):
        inside = f"{away(-beyond_y)} inside the {area.side_line} on the {side}"
        return f"on the playing area, {_along(spot, area, names, away)}, {inside}"
    if _from_line_m(spot, area) - math.hypot(max(beyond_x, 0.0), max(beyond_y, 0.0)) > ROUNDED_M:
        return (
            f"off the corner of the {end} and the {side}, {_out(spot, area, away)}, {_along(spot, area, names, away)}"
        )
    if beyond_x > NEAR_M and beyond_y > NEAR_M:
        return (
            f"off the corner of the {end} and the {side}, {away(beyond_x)} behind the {back_line} "
            f"and {away(beyond_y)} outside the {area.side_line}"
        )
    if beyond_x > NEAR_M:
        return f"behind the {back_line} at the {end}, {away(beyond_x)} back, {_across(spot, area, away)}"
    along = _along(spot, area, names, away)
    if beyond_y < NO_DISTANCE_M:
        return f"at the {area.side_line} on the {side}, {along}"
    return f"outside the {area.side_line} on the {side}, {away(beyond_y)} back, {along}"


def oval_words(spot: Spot, area: PlayingArea, names: Names, away: Distance) -> str:
    """Outside the boundary, so far round from the middle of the nearest end or side."""
    turn = math.degrees(math.atan2(spot.y_m, spot.x_m))
    angle, key = min(
        ((0, "+x"), (90, "+y"), (180, "-x"), (-90, "-y")), key=lambda pair: abs((turn - pair[0] + 180) % 360 - 180)
    )
    round_m = _round_m(spot, area, math.radians(angle))
    target = _end_target(area, 1 if key == "+x" else -1) if key.endswith("x") else None
    line = area.side_line if key.endswith("y") or target is not None else area.end_line
    where = f"{'on' if key.endswith('y') else 'at'} the {names[key]}"
    if _is_inside(spot, area):
        return f"on the playing area, {away(_from_line_m(spot, area))} inside the {line} {where}"
    hand = "right" if round_m > 0 else "left"
    if abs(round_m) < IN_LINE_M:
        along = "at its middle" if target is None else f"in line with the {target}"
    else:
        middle = "its middle" if target is None else _middle_of(area, target)
        along = f"{away(abs(round_m))} round to the {hand} of {middle}"
    return f"outside the {line} {where}, {away(_from_line_m(spot, area))} back, {along}"


def home_corner_words(spot: Spot, area: PlayingArea, names: Names, away: Distance) -> str:
    """Behind home, outside one of the two lines that leave it, or beyond the fence."""
    home, sign = area.target_name, 1 if spot.y_m > 0 else -1
    ahead_m, out_m = _from_home_line(spot, area, sign)
    if _is_inside(spot, area):
        return f"on the field of play, {away(math.hypot(spot.x_m, spot.y_m))} from {home}"
    if _from_home_line(spot, area, 1)[0] <= 0 and _from_home_line(spot, area, -1)[0] <= 0:
        across = f"{away(abs(spot.y_m))} to the {'left' if sign > 0 else 'right'} of it"
        return f"behind {home}, {away(-spot.x_m)} back, {across if abs(spot.y_m) >= IN_LINE_M else 'in line with it'}"
    if out_m < _from_line_m(spot, area) - NEAR_M or out_m <= 0:
        round_m = _round_m(spot, area, 0.0)
        hand = "right" if round_m > 0 else "left"
        along = (
            f"{away(abs(round_m))} round to the {hand} of its middle" if abs(round_m) >= IN_LINE_M else "at its middle"
        )
        return f"beyond the {area.end_line}, {away(_from_line_m(spot, area))} back, {along}"
    base, base_m = _base(area, sign)
    line = f"{base.replace(' ', '-')} line" if base else f"{area.side_line} on the {names['+y' if sign > 0 else '-y']}"
    return f"outside the {line}, {away(out_m)} back, {_up_the_line(ahead_m, base, base_m, home, away)}"


def _end(spot: Spot, names: Names) -> str:
    return names["+x" if spot.x_m > 0 else "-x"]


def _side(spot: Spot, names: Names) -> str:
    return names["+y" if spot.y_m > 0 else "-y"]


def _is_inside(spot: Spot, area: PlayingArea) -> bool:
    point = shapely.Point(spot.x_m, spot.y_m)
    return bool(area.outline.contains(point)) and _from_line_m(spot, area) > NEAR_M


def _from_line_m(spot: Spot, area: PlayingArea) -> float:
    return float(area.outline.boundary.distance(shapely.Point(spot.x_m, spot.y_m)))


def _out(spot: Spot, area: PlayingArea, away: Distance) -> str:
    """Distance from a rounded corner, where end and side line are one: "2 m outside the boards"."""
    ends, sides = area.end_line.split()[-1], area.side_line.split()[-1]
    return f"{away(_from_line_m(spot, area))} outside the {sides if sides == ends else 'line'}"


def _across(spot: Spot, area: PlayingArea, away: Distance) -> str:
    """Where along an end line: from the middle of what stands there, as seen facing the playing area."""
    target = _end_target(area, 1 if spot.x_m > 0 else -1)
    if abs(spot.y_m) < IN_LINE_M:
        return f"in line with the {target or 'middle'}"
    hand = "left" if (spot.y_m > 0) == (spot.x_m < 0) else "right"
    return f"{away(abs(spot.y_m))} to the {hand} of {_middle_of(area, target)}"


def _middle_of(area: PlayingArea, target: str | None) -> str:
    if target is None:
        return "the middle"
    points = [
        point for entry in area.targets for bar in entry.bars for point in bar if abs(point[0]) > area.length_m / 4
    ]
    wide_m = max(y for _, y, _ in points) - min(y for _, y, _ in points)
    return f"the {target}'{'' if target.endswith('s') else 's'} middle" if wide_m > WIDE_TARGET_M else f"the {target}"


def _end_target(area: PlayingArea, sign: int) -> str | None:
    """What stands at an end, None where nothing does (a net stands in the middle)."""
    at_end = any(sign * x > area.length_m / 4 for target in area.targets for bar in target.bars for x, _, _ in bar)
    return area.target_name if at_end else None


def _along(spot: Spot, area: PlayingArea, names: Names, away: Distance) -> str:
    """Where along the length, from the nearer of halfway and the end line."""
    halfway = _halfway(area)
    if abs(spot.x_m) < IN_LINE_M:
        return f"level with {halfway}"
    end = _end(spot, names)
    from_end_m = area.length_m / 2 - abs(spot.x_m)
    if abs(from_end_m) < NEAR_M:
        return f"level with the {area.end_line} at the {end}"
    if from_end_m < 0:
        return f"{away(-from_end_m)} beyond the {area.end_line} at the {end}"
    if from_end_m < abs(spot.x_m):
        return f"{away(from_end_m)} short of the {area.end_line} at the {end}"
    return f"{away(abs(spot.x_m))} from {halfway} toward the {end}"


def _halfway(area: PlayingArea) -> str:
    """Name of the middle of the length: what stands there (a net), else halfway."""
    points = [abs(x) for target in area.targets for bar in target.bars for x, _, _ in bar]
    return f"the {area.target_name}" if points and max(points) < 1.0 else "halfway"


def _ring(area: PlayingArea) -> shapely.LinearRing:
    """Edge of the playing area, which is one polygon in every definition."""
    return shapely.LinearRing(shapely.get_coordinates(area.outline))


def _round_m(spot: Spot, area: PlayingArea, direction_rad: float) -> float:
    """Walk along the boundary from where a direction from the origin meets it; positive to the right, facing in."""
    ring = _ring(area)
    reach_m = 2 * (area.length_m + area.width_m)
    ray = shapely.LineString([(0, 0), (reach_m * math.cos(direction_rad), reach_m * math.sin(direction_rad))])
    crossing = max(shapely.get_coordinates(ray.intersection(ring)).tolist(), key=lambda p: math.hypot(p[0], p[1]))
    start_m, end_m = (ring.project(shapely.Point(p)) for p in (crossing, (spot.x_m, spot.y_m)))
    walk_m = (end_m - start_m + ring.length / 2) % ring.length - ring.length / 2
    return float(walk_m if ring.is_ccw else -walk_m)


def _from_home_line(spot: Spot, area: PlayingArea, sign: int) -> tuple[float, float]:
    """Distance up the line that leaves home at the side of +y (or -y), and distance outside it."""
    corners = [p for p in shapely.get_coordinates(_ring(area)).tolist() if math.hypot(p[0], p[1]) > NEAR_M]
    x, y = max(corners, key=lambda p: sign * math.atan2(p[1], p[0]))
    ux, uy = x / math.hypot(x, y), y / math.hypot(x, y)
    return spot.x_m * ux + spot.y_m * uy, sign * (ux * spot.y_m - uy * spot.x_m)


def _base(area: PlayingArea, sign: int) -> tuple[str, float]:
    """The first named spot up a line from home, and how far it is from there; no name where none is marked."""
    for marking in area.markings:
        point = marking.shape
        if isinstance(point, shapely.Point) and sign * point.y > 1:
            ahead_m, out_m = _from_home_line(Spot("", point.x, point.y, 0.0, ""), area, sign)
            if abs(out_m) < 1:
                return marking.name, ahead_m
    return "", 0.0


def _up_the_line(ahead_m: float, base: str, base_m: float, home: str, away: Distance) -> str:
    if not base or ahead_m < base_m / 2:
        return f"{away(ahead_m)} up the line from {home}"
    if abs(ahead_m - base_m) < NEAR_M:
        return f"level with {base}"
    return f"{away(abs(ahead_m - base_m))} {'beyond' if ahead_m > base_m else 'short of'} {base}"
