"""Positions as GPX 1.1 waypoints, to be found with a phone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gpxpy.gpx import GPX, GPXWaypoint

from standmark.cli.exports.earth import place_on_earth
from standmark.cli.words.advice_words import camera_advice
from standmark.cli.words.naming import lens_words, place_words
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.stretch import WHOLE, Stretch, plan_stretches
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import Spot


def gpx_bytes(plan: Plan, stretches: Sequence[Stretch] | None = None) -> bytes:
    """Write a waypoint for every camera and place it takes, and one for each fallback; a place once.

    Parameters
    ----------
    stretches : of the plan, if they are known already
    """
    stretches = plan_stretches(plan) if stretches is None else stretches
    document = GPX()
    document.creator = "standmark"
    document.name = plan.match.title
    for (label, spot, lens), names in wanted_places(plan, stretches).items():
        when = WHOLE if len(names) == len(stretches) else ", ".join(names)
        document.waypoints.append(_waypoint(plan.match, spot, f"{label}, {when.lower()}", lens))
    return str(document.to_xml(version="1.1")).encode("utf-8")


def wanted_places(plan: Plan, stretches: Sequence[Stretch]) -> dict[tuple[str, Spot, str], list[str]]:
    """Return every place of a plan once, as label, spot and lens, with the stretches in which it's taken."""
    wanted: dict[tuple[str, Spot, str], list[str]] = {}
    for stretch in stretches:
        for label, spot, lens in _places(plan, stretch):
            wanted.setdefault((label, spot, lens), []).append(stretch.name)
    return wanted


def _places(plan: Plan, stretch: Stretch) -> Iterator[tuple[str, Spot, str]]:
    for assignment in stretch.first.assignments:
        yield f"Camera {assignment.camera}", assignment.spot, lens_words(assignment)
        told = camera_advice(plan.advice, stretch.first.period.key, assignment.camera)
        if told is not None and told.fallback is not None:
            yield f"Camera {assignment.camera} if refused", told.fallback.spot, told.fallback.lens.name


def _waypoint(match: Match, spot: Spot, name: str, lens: str) -> GPXWaypoint:
    latitude, longitude = place_on_earth(match.venue, spot.x_m, spot.y_m)
    words = f"{place_words(spot, match)}; {lens}"
    return GPXWaypoint(latitude=latitude, longitude=longitude, name=name, description=words, symbol="Flag")
