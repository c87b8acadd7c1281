"""Where a spot is outside an oval: so far round from the middle of an end or a side, and by a fielding place."""

from __future__ import annotations

import math

import shapely

from standmark.cli.words.where.way import IN_LINE_M, NamedGround, Where, end_target, middle_of
from standmark.optimizer.work.assignment import Spot
from standmark.sports.sport import PlayingArea

# Fielding places on the boundary in front of a right-hander, as an angle from straight behind the bowler, off side
# positive: common practice, no source; each name holds for the middle of its sector.
FIELDING = (
    (0, "straight behind the bowler"),
    (22, "at long-off"),
    (55, "at extra cover on the boundary"),
    (85, "at deep point"),
    (-90, "at deep square leg"),
    (-55, "at deep midwicket"),
    (-22, "at long-on"),
)


def oval_where(spot: Spot, ground: NamedGround, *, is_cricket: bool) -> Where:
    """Say where a spot is outside the boundary of an oval."""
    area = ground.area
    turn = math.degrees(math.atan2(spot.y_m, spot.x_m))
    angle, key = min(
        ((0, "+x"), (90, "+y"), (180, "-x"), (-90, "-y")), key=lambda pair: abs((turn - pair[0] + 180) % 360 - 180)
    )
    round_m = round_boundary_m(spot, area, math.radians(angle))
    target = end_target(area, 1 if key == "+x" else -1) if key.endswith("x") else None
    line = area.side_line if key.endswith("y") or target is not None else area.end_line
    if ground.holds(spot.x_m, spot.y_m):
        inside = ground.away(ground.from_line_m(spot.x_m, spot.y_m))
        return Where("on the playing area", f"{inside} inside the {line} at the {ground.names[key]}")
    hand = "right" if round_m > 0 else "left"
    if abs(round_m) < IN_LINE_M:
        part, along = "", "at its middle" if target is None else f"in line with the {target}"
    else:
        middle = "its middle" if target is None else middle_of(area, target)
        part = f", {hand} of {middle if target is None else f'the {target}'}"
        along = f"{ground.walked(abs(round_m))} round from {middle}"
    back = f"{ground.away(ground.from_line_m(spot.x_m, spot.y_m))} outside the {line}"
    fielding = f", {_fielding(spot, ground)}" if is_cricket else ""
    return Where(f"{ground.names[key]}{part}", f"{back}, {along}{fielding}")


def _fielding(spot: Spot, ground: NamedGround) -> str:
    """Fielding place for a right-hander who faces the end that the spot is nearer to."""
    sign = 1 if spot.x_m >= 0 else -1
    turn = math.degrees(math.atan2(-sign * spot.y_m, sign * spot.x_m))
    name = min(FIELDING, key=lambda place: abs((turn - place[0] + 180) % 360 - 180))[1]
    return f"{name} when the bowling is from the {ground.end(sign)}"


def round_boundary_m(spot: Spot, area: PlayingArea, direction_rad: float) -> float:
    """Walk along the boundary from where a direction from the origin meets it; positive to the right, facing in."""
    ring = shapely.LinearRing(shapely.get_coordinates(area.outline))
    reach_m = 2 * (area.length_m + area.width_m)
    ray = shapely.LineString([(0, 0), (reach_m * math.cos(direction_rad), reach_m * math.sin(direction_rad))])
    crossing = max(shapely.get_coordinates(ray.intersection(ring)).tolist(), key=lambda p: math.hypot(p[0], p[1]))
    start_m, end_m = (ring.project(shapely.Point(p)) for p in (crossing, (spot.x_m, spot.y_m)))
    walk_m = (end_m - start_m + ring.length / 2) % ring.length - ring.length / 2
    return float(walk_m if ring.is_ccw else -walk_m)
