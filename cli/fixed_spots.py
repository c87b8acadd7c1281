"""Cameras that a match file fixes where the ground lets nobody stand."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.optimizer.assignment import Spot
from standmark.optimizer.match import Match
from standmark.optimizer.score.breach import spot_breach
from standmark.sports.toml_file import line_of


def fixed_spot_warnings(match: Match, text: str, *, file: str) -> Iterator[str]:
    """Warn of every fixed camera that may not stand at its spot, naming the periods unless it is all of them.

    Parameters
    ----------
    text : of the match file, for the line
    """
    for index, camera in enumerate(match.cameras):
        if camera.fixed is None:
            continue
        spot = Spot("", camera.fixed.x_m, camera.fixed.y_m, camera.fixed.z_m, "")
        periods: dict[str, list[str]] = {}
        for period in match.sport.periods:
            if breach := spot_breach(match, spot, period):
                periods.setdefault(breach, []).append(period.name)
        for breach, names in periods.items():
            when = "" if len(names) == len(match.sport.periods) else f" in {', '.join(names)}"
            line = line_of(text, ("camera", index, "at_m"))
            yield (
                f"{file}:{line}: camera[{index + 1}].at_m: warning: {camera.name} at {spot.x_m:g}, {spot.y_m:g}{when} "
                f"{breach}: ask before anybody goes there"
            )
