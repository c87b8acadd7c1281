"""Plain words for places, lenses and reasons: what a person reads instead of coordinates and factors."""

from __future__ import annotations

from standmark.cli.words.moments import moment_words
from standmark.cli.words.units import Units, height_words
from standmark.cli.words.where.place import where
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.targets import moment_weights
from standmark.optimizer.work.assignment import Assignment, Spot


def place_words(spot: Spot, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where a spot is so that someone can walk to it, and how high the lens is."""
    return f"{walk_words(spot, match, units=units)}, lens {height_words(spot.z_m, units)} up"


def way_words(spot: Spot, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where to go, as after a verb: "to the far side, at halfway: 3 m outside the touchline, lens 1.6 m up"."""
    place = where(spot, match, units=units)
    return f"{place.to}{f': {place.detail}' if place.detail else ''}, lens {height_words(spot.z_m, units)} up"


def walk_words(spot: Spot, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where a spot is so that someone can walk to it.

    "Left" and "right" are those of a person who stands there and looks at the playing area.
    """
    return where(spot, match, units=units).words


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


def why_words(assignment: Assignment, match: Match, *, limit: str = "") -> str:
    """Say what a place is good for, and what holds it back.

    Parameters
    ----------
    limit : a sentence about what holds it back, where advice was asked for
    """
    weight = moment_weights(match)
    moments = {m.key: m for m in match.sport.moments}
    seen = assignment.seen_by_moment
    gained = sorted(seen, key=lambda key: -seen[key] * weight[key])[:2]
    good = " and ".join(moment_words(match.sport, moments[key]).plural for key in gained)
    return f"Best for {good}. {limit}".strip()
