"""Where a spot is beside a rectangular playing area: behind an end line, along a side, or off a corner."""

from __future__ import annotations

import math

from standmark.cli.words.where.painted import LEVEL_M, NEARBY_M, PaintedLine, lines_across, lines_at_end
from standmark.cli.words.where.way import (
    IN_LINE_M,
    NEAR_M,
    NO_DISTANCE_M,
    WIDE_TARGET_M,
    NamedGround,
    Where,
    end_target,
    halfway_of,
    hand_at_end,
    middle_of,
    target_half_width_m,
)
from standmark.optimizer.work.assignment import Spot

ROUNDED_M = 0.5  # the line lies this much further away than its straight edges: the spot is off a rounded corner
BESIDE_POST_M = 5.0  # this near to a post, the post is what one measures from
MIDDLE_SHARE = 0.08  # of the length: this near to halfway a place is called after it
CORNER_SHARE = 0.36  # of the length: this far from halfway a place is called after its corner


def rectangle_where(spot: Spot, ground: NamedGround) -> Where:
    """Say where a spot is at a rectangle, or one with rounded corners."""
    area = ground.area
    low_x, low_y, high_x, high_y = area.outline.bounds
    beyond_x = spot.x_m - high_x if spot.x_m > 0 else low_x - spot.x_m
    beyond_y = spot.y_m - high_y if spot.y_m > 0 else low_y - spot.y_m
    end, side = ground.end(spot.x_m), ground.side(spot.y_m)
    if ground.holds(spot.x_m, spot.y_m):
        inside = f"{ground.away(-beyond_y)} inside the {area.side_line} on the {side}"
        return Where("on the playing area", f"{along_words(spot.x_m, ground)}, {inside}")
    corner = f"corner of the {end} and the {side}"
    if ground.from_line_m(spot.x_m, spot.y_m) - math.hypot(max(beyond_x, 0.0), max(beyond_y, 0.0)) > ROUNDED_M:
        return Where(corner, f"{_out(spot, ground)}, {along_words(spot.x_m, ground)}")
    back_line = area.outer_line or area.end_line
    if beyond_x > NEAR_M and beyond_y > NEAR_M:
        out = f"{ground.away(beyond_y)} outside the {area.side_line}"
        return Where(corner, f"{ground.away(beyond_x)} behind the {back_line}, {out}")
    if beyond_x > NEAR_M:
        back = f"{ground.away(beyond_x)} behind the {back_line}"
        return Where(f"{end}, {_end_part(spot, ground)}", f"{back}, {_across(spot, ground)}")
    back = "" if beyond_y < NO_DISTANCE_M else f"{ground.away(beyond_y)} outside "
    along = "" if abs(spot.x_m) < IN_LINE_M else f", {along_words(spot.x_m, ground)}"
    part = _side_part(spot, ground)
    if end in part:
        along = along.replace(f" at the {end}", "").replace(f" toward the {end}", "")
    return Where(f"{side}, {part}", f"{back or 'at '}the {area.side_line}{along}")


def _end_part(spot: Spot, ground: NamedGround) -> str:
    """Part of an end: behind what stands there, or on which hand of it."""
    target = end_target(ground.area, 1 if spot.x_m > 0 else -1)
    if abs(spot.y_m) < max(IN_LINE_M, target_half_width_m(ground.area)):
        return f"behind the {target or 'middle'}"
    return f"{hand_at_end(spot.x_m, spot.y_m)} of the {target or 'middle'}"


def _side_part(spot: Spot, ground: NamedGround) -> str:
    """Part of a side: at halfway, near a corner, or between."""
    share = abs(spot.x_m) / ground.area.length_m
    end = ground.end(spot.x_m)
    if share < MIDDLE_SHARE:
        return f"{'at' if abs(spot.x_m) < IN_LINE_M else 'near'} {halfway_of(ground.area)}"
    return f"near the corner of the {end}" if share > CORNER_SHARE else f"toward the {end}"


def _across(spot: Spot, ground: NamedGround) -> str:
    """Where along an end line: from the middle or a post, then from a painted line nearby."""
    area = ground.area
    target = end_target(area, 1 if spot.x_m > 0 else -1)
    if abs(spot.y_m) < IN_LINE_M:
        return f"in line with {middle_of(area, target)}"
    hand, away_m, half_m = hand_at_end(spot.x_m, spot.y_m), abs(spot.y_m), target_half_width_m(area)
    has_posts = target is not None and 2 * half_m > WIDE_TARGET_M
    if has_posts and 0 < away_m - half_m <= BESIDE_POST_M:
        return f"{ground.walked(away_m - half_m)} past the {hand}-hand post"
    said = f"{ground.walked(away_m)} {hand} of {middle_of(area, target)}"
    line = _nearest(lines_at_end(area), away_m)
    return said if line is None else f"{said}, {_from_edge(away_m, line, ground)}"


def _from_edge(away_m: float, line: PaintedLine, ground: NamedGround) -> str:
    off_m = away_m - line.away_m
    if abs(off_m) < LEVEL_M:
        return f"in line with {line.name}"
    return f"{ground.away(abs(off_m))} {'outside' if off_m > 0 else 'inside'} {line.name}"


def _nearest(lines: tuple[PaintedLine, ...], away_m: float) -> PaintedLine | None:
    near = [line for line in lines if abs(line.away_m - away_m) <= NEARBY_M]
    return min(near, key=lambda line: abs(line.away_m - away_m), default=None)


def along_words(x_m: float, ground: NamedGround) -> str:
    """Say where along the length something is: level with a line, or so far from the nearest of them."""
    area, end, away_m = ground.area, ground.end(x_m), abs(x_m)
    halfway, end_m = halfway_of(area), area.length_m / 2
    if away_m < IN_LINE_M:
        return f"level with {halfway}"
    if abs(end_m - away_m) < NEAR_M:
        return f"level with the {area.end_line} at the {end}"
    if away_m > end_m:
        return f"{ground.walked(away_m - end_m)} beyond the {area.end_line} at the {end}"
    line = min(lines_across(area), key=lambda line: abs(line.away_m - away_m), default=None)
    known = {0.0: halfway, end_m: f"the {area.end_line} at the {end}"}
    if line is not None and line.away_m < end_m - NEAR_M and abs(line.away_m - away_m) <= NEARBY_M:
        known[line.away_m] = f"{line.name} at the {end}"
    at_m = min(known, key=lambda m: abs(m - away_m))
    if abs(at_m - away_m) < LEVEL_M and 0 < at_m < end_m:
        return f"level with {known[at_m]}"
    if at_m == 0.0:
        return f"{ground.walked(away_m)} from {halfway} toward the {end}"
    if at_m == end_m:
        return f"{ground.walked(end_m - away_m)} short of {known[at_m]}"
    return (
        f"{ground.walked(abs(at_m - away_m))} from {known[at_m]}, toward {halfway if at_m > away_m else 'the corner'}"
    )


def _out(spot: Spot, ground: NamedGround) -> str:
    """Distance from a rounded corner, where end and side line are one: "2 m outside the boards"."""
    ends, sides = ground.area.end_line.split()[-1], ground.area.side_line.split()[-1]
    away = ground.away(ground.from_line_m(spot.x_m, spot.y_m))
    return f"{away} outside the {sides if sides == ends else 'line'}"
