"""Where a spot is at a ground that opens from one corner: behind home, along a foul line, or beyond the fence."""

from __future__ import annotations

import math

import shapely

from standmark.cli.words.where.oval import round_boundary_m
from standmark.cli.words.where.way import IN_LINE_M, NEAR_M, NamedGround, Where
from standmark.optimizer.work.assignment import Spot
from standmark.sports.sport import PlayingArea


def home_corner_where(spot: Spot, ground: NamedGround) -> Where:
    """Say where a spot is at a ground with one home corner."""
    area, home, sign = ground.area, ground.area.target_name, 1 if spot.y_m > 0 else -1
    ahead_m, out_m = _from_home_line(spot, area, sign)
    if ground.holds(spot.x_m, spot.y_m):
        return Where("on the field of play", f"{ground.away(math.hypot(spot.x_m, spot.y_m))} from {home}")
    if _from_home_line(spot, area, 1)[0] <= 0 and _from_home_line(spot, area, -1)[0] <= 0:
        back = f"{ground.walked(-spot.x_m)} back"
        if abs(spot.y_m) < IN_LINE_M:
            return Where(f"behind {home}", f"{back}, in line with it")
        return Where(
            f"behind {home}", f"{back}, {ground.walked(abs(spot.y_m))} {'left' if sign > 0 else 'right'} of it"
        )
    if out_m < ground.from_line_m(spot.x_m, spot.y_m) - NEAR_M or out_m <= 0:
        round_m = round_boundary_m(spot, area, 0.0)
        hand = "right" if round_m > 0 else "left"
        along = "at its middle"
        if abs(round_m) >= IN_LINE_M:
            along = f"{ground.walked(abs(round_m))} round to the {hand} of its middle"
        return Where(
            f"beyond the {area.end_line}", f"{ground.away(ground.from_line_m(spot.x_m, spot.y_m))} back, {along}"
        )
    base, base_m = _base(area, sign)
    side = ground.names["+y" if sign > 0 else "-y"]
    line = f"{base.replace(' ', '-')} line" if base else f"{area.side_line} on the {side}"
    return Where(side, f"{ground.away(out_m)} outside the {line}, {_up_the_line(ahead_m, base, base_m, home, ground)}")


def _from_home_line(spot: Spot, area: PlayingArea, sign: int) -> tuple[float, float]:
    """Distance up the line that leaves home at the side of +y (or -y), and distance outside it."""
    ring = shapely.get_coordinates(area.outline)
    corners = [p for p in ring.tolist() if math.hypot(p[0], p[1]) > NEAR_M]
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


def _up_the_line(ahead_m: float, base: str, base_m: float, home: str, ground: NamedGround) -> str:
    if not base or ahead_m < base_m / 2:
        return f"{ground.walked(ahead_m)} up the line from {home}"
    if abs(ahead_m - base_m) < NEAR_M:
        return f"level with {base}"
    return f"{ground.walked(abs(ahead_m - base_m))} {'beyond' if ahead_m > base_m else 'short of'} {base}"
