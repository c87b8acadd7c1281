"""A sun too low for the sky that the settings are reckoned with."""

from __future__ import annotations

from standmark.geometry.light.sun import HORIZON_DEG
from standmark.optimizer.match.light_kinds import SKIES, Sky
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.sun_path import match_sun

# Under 10 degrees clear air takes over a stop more from the sun than at the heights the exposure table is for: air
# mass 5.6 against 1.2 at 60 degrees, extinction 0.21 for each (from memory).
LOW_DEG = 10.0


def low_sun_words(match: Match, sky: Sky) -> str:
    """Warn where the sun sinks, or has not risen, so far that a match is darker than its sky says; else empty."""
    sun = match_sun(match)
    if sun is None:
        return ""
    lowest_deg = min(at.elevation_deg for at in (*sun.path, *sun.times))
    dimmest = SKIES["dusk" if lowest_deg < HORIZON_DEG else "low sun"]
    darker = sky.ev100 - dimmest.ev100
    if lowest_deg >= LOW_DEG or darker <= 0:
        return ""
    first, last = (_height_words(at.elevation_deg) for at in (sun.path[0], sun.path[-1]))
    sets = "".join(f" ({at.name} at {at.at:%H:%M})" for at in sun.times if at.name in ("sunrise", "sunset"))
    return (
        f"The sun is {first} at the start, {last} at the end{sets}: for part of the match count on about {darker:.0f} "
        f"stop{'s' if darker > 1 else ''} less than the figure below, and measure again in every break."
    )


def _height_words(elevation_deg: float) -> str:
    return f"{elevation_deg:.0f} degrees up" if elevation_deg > 0 else "down"
