"""Plain words for places, lenses and reasons: what a person reads instead of coordinates and factors."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import shapely

from standmark.cli.units import Units, distance_words, height_words
from standmark.optimizer.assignment import Assignment, Spot
from standmark.optimizer.match import Match
from standmark.sports.sport import PlayingArea

# what to say of the factor that costs most, and what would mend it
LIMITS = {
    "size": "what costs most is size: part of the action is too small in the frame or too wide for the lens",
    "facing": "what costs most is facing: part of the action shows backs or profiles to this spot",
    "clear": "what costs most is people and things in the way of the action from this spot and height",
    "light": "what costs most is the sun: part of the action lies against the light from here",
    "follow": "what costs most is following: action close by moves faster than the support can pan",
}


Distance = Callable[[float], str]  # metres -> words in the reader's unit
NEAR_M = 0.3  # nearer than this to a line's prolongation counts as level with it


def place_words(spot: Spot, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where a spot is so that someone can walk to it.

    "Left" and "right" are those of a person who stands there and looks at the playing area.
    """
    area, names = match.sport.area, match.venue.side_names
    say = _rectangle_words if _is_rectangle(area) else _outline_words
    away = partial(distance_words, units=units)
    return f"{say(spot, area, names, away)}, lens {height_words(spot.z_m, units)} up"


def _is_rectangle(area: PlayingArea) -> bool:
    box = shapely.box(*area.outline.bounds)
    return bool(area.outline.symmetric_difference(box).area < 0.05 * box.area)


def _rectangle_words(spot: Spot, area: PlayingArea, names: dict[str, str], away: Distance) -> str:
    low_x, low_y, high_x, high_y = area.outline.bounds
    beyond_x = spot.x_m - high_x if spot.x_m > 0 else low_x - spot.x_m
    beyond_y = spot.y_m - high_y if spot.y_m > 0 else low_y - spot.y_m
    end, side = names["+x" if spot.x_m > 0 else "-x"], names["+y" if spot.y_m > 0 else "-y"]
    back_line = area.outer_line or area.end_line
    if beyond_x > NEAR_M and beyond_y > NEAR_M:
        return (
            f"off the corner of the {end} and the {side}, {away(beyond_x)} behind the {back_line} "
            f"and {away(beyond_y)} outside the {area.side_line}"
        )
    if beyond_x > NEAR_M:
        hand = _hand(spot.y_m, looks_plus=spot.x_m < 0)
        off_m = away(abs(spot.y_m))
        across = f"{off_m} to the {hand} of the {area.target_name}" if abs(spot.y_m) >= 0.5 else (
            f"in line with the {area.target_name}"
        )  # fmt: skip
        return f"behind the {back_line} at the {end}, {away(beyond_x)} back, {across}"
    along = _along(spot, area, names, away)
    return f"outside the {area.side_line} on the {side}, {away(max(beyond_y, 0.0))} back, {along}"


def _hand(y_m: float, *, looks_plus: bool) -> str:
    """Left or right of the middle, for someone at an end who looks along +x (or along -x)."""
    return "left" if (y_m > 0) == looks_plus else "right"


def _along(spot: Spot, area: PlayingArea, names: dict[str, str], away: Distance) -> str:
    if abs(spot.x_m) < 0.5:
        return "level with halfway"
    end = names["+x" if spot.x_m > 0 else "-x"]
    from_end = area.length_m / 2 - abs(spot.x_m)
    if from_end < 0:
        return f"{away(-from_end)} beyond the {area.end_line} at the {end}"
    if from_end < abs(spot.x_m):
        return f"{away(from_end)} short of the {area.end_line} at the {end}"
    return f"{away(abs(spot.x_m))} from halfway toward the {end}"


def _outline_words(spot: Spot, area: PlayingArea, names: dict[str, str], away: Distance) -> str:
    """For ovals, circles and sectors: distance outside the line and direction from the middle."""
    point = shapely.Point(spot.x_m, spot.y_m)
    middle = area.outline.centroid
    turn = math.degrees(math.atan2(spot.y_m - middle.y, spot.x_m - middle.x))
    axis, off = min(
        ((key, (turn - angle + 180) % 360 - 180) for key, angle in (("+x", 0), ("+y", 90), ("-x", 180), ("-y", 270))),
        key=lambda pair: abs(pair[1]),
    )
    around = "" if abs(off) < 3 else f", {abs(off):.0f} degrees round to the {'right' if off > 0 else 'left'}"
    out_m = area.outline.distance(point)
    return f"{away(out_m)} outside the {area.side_line} at the {names[axis]}{around} (as you face the middle)"


def lens_words(assignment: Assignment) -> str:
    """Lens and the focal range that it works in."""
    short, long = assignment.focal_mm
    used = f"at {short:.0f} mm" if long - short < 1 else f"from {short:.0f} to {long:.0f} mm"
    return f"{assignment.lens.name} {used}" if assignment.lens.focal_mm[0] != assignment.lens.focal_mm[1] else (
        f"{assignment.lens.name} mm prime"
    )  # fmt: skip


def percent(share: float) -> str:
    """Share as whole per cent."""
    return f"{100 * share:.0f} %"


def why_words(assignment: Assignment, match: Match, *, limit: str | None = None) -> str:
    """One sentence: what this spot is good for, and which factor limits it.

    Parameters
    ----------
    limit : the computed sentence about what limits it, where advice was asked for
    """
    names = {m.key: m.name for m in match.sport.moments}
    worth = {m.key: m.rate_per_match * m.importance for m in match.sport.moments}
    gained = sorted(assignment.by_moment, key=lambda k: -assignment.by_moment[k] * worth[k])[:2]
    good = " and ".join(f"{names[k].lower()} ({percent(assignment.by_moment[k])})" for k in gained)
    if limit is not None:
        return f"it pays most for {good}; {limit}"
    sizes = ", ".join(f"{name} {percent(value)}" for name, value in assignment.factors.items())
    return f"it pays most for {good}; {LIMITS[assignment.limit]} (mean factors: {sizes})"
