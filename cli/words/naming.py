"""Plain words for places, lenses and reasons: what a person reads instead of coordinates and factors."""

from __future__ import annotations

from functools import partial

from standmark.cli.words.place_forms import (
    has_home_corner,
    home_corner_words,
    is_rectangle,
    oval_words,
    rectangle_words,
)
from standmark.cli.words.units import Units, distance_words, height_words, shown, symbol
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Assignment, Spot

# what to say of the factor that costs most, and what would mend it
LIMITS = {
    "size": "what costs most is size: part of the action is too small in the frame or too wide for the lens",
    "faces": "what costs most is facing: part of the action shows backs or profiles to this spot",
    "clear": "what costs most is people and things in the way of the action from this spot and height",
    "light": "what costs most is the sun: part of the action lies against the light from here",
    "held": "what costs most is late framing: play jumps out of a tight frame before an operator has caught up",
}


def place_words(spot: Spot, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where a spot is so that someone can walk to it, and how high the lens is."""
    return f"{walk_words(spot, match, units=units)}, lens {height_words(spot.z_m, units)} up"


def walk_words(spot: Spot, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where a spot is so that someone can walk to it.

    "Left" and "right" are those of a person who stands there and looks at the playing area.
    """
    area, names = match.sport.area, match.venue.side_names
    say = rectangle_words if is_rectangle(area) else home_corner_words if has_home_corner(area) else oval_words
    away = partial(distance_words, units=units)
    return say(spot, area, names, away)


def coordinate_words(spot: Spot, units: Units = Units.METRIC) -> str:
    """Pitch coordinates, to the centimetre or to a tenth of a foot.

    >>> spot = Spot("side:-0.00,-9.24,1.90", -0.001, -9.24, 1.9, "side")
    >>> coordinate_words(spot), coordinate_words(spot, Units.IMPERIAL)
    ('x 0.00, y -9.24', 'x 0.0, y -30.3 ft')
    """
    digits = 2 if units is Units.METRIC else 1
    x, y = (round(shown(value, units), digits) + 0.0 for value in (spot.x_m, spot.y_m))  # no -0.00
    return f"x {x:.{digits}f}, y {y:.{digits}f}" + ("" if units is Units.METRIC else f" {symbol(units)}")


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
