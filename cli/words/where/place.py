"""Where a spot is, on any ground: `where` is the function to call."""

from __future__ import annotations

import shapely

from standmark.cli.words.units import Units, native_units
from standmark.cli.words.where.home_corner import home_corner_where
from standmark.cli.words.where.oval import oval_where
from standmark.cli.words.where.rectangle import rectangle_where
from standmark.cli.words.where.way import NamedGround, Where
from standmark.geometry.kept import kept
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot
from standmark.sports.place_kind import RAISED_KINDS
from standmark.sports.sport import PlayingArea

HALFWAY = ", at halfway"


def where(spot: Spot, match: Match, *, units: Units = Units.METRIC, in_paces: bool = False) -> Where:
    """Return what a spot is called and how to find it.

    "Left" and "right" are those of a person who stands there and faces the playing area; left and right end are
    those seen from the benches. A raised place is called by what it is, and where it is follows.

    Parameters
    ----------
    units : lengths; metric means the sport's own units, so yards on a field that's measured in yards
    in_paces : say a distance that's walked in paces too
    """
    place = _on_the_ground(spot, match, units=units, in_paces=in_paces)
    raised = raised_name(spot, match)
    if not raised:
        return place
    name = place.name.replace(HALFWAY, "") if HALFWAY.strip(" ,") in raised else place.name
    return Where(raised, f"{name}, {place.detail}" if place.detail else name)


def raised_name(spot: Spot, match: Match) -> str:
    """Return what a raised place is called: "seat in the stand at halfway"; "" on the ground."""
    areas = (*match.venue.allowed, *match.venue.asked)
    return next((a.name for a in areas if a.key == spot.area and a.kind in RAISED_KINDS), "")


def _on_the_ground(spot: Spot, match: Match, *, units: Units, in_paces: bool) -> Where:
    area = match.sport.area
    ground = NamedGround(area, match.venue.side_names, native_units(match.sport, units), in_paces)
    if is_rectangle(area):
        return rectangle_where(spot, ground)
    if area.has_home_corner:
        return home_corner_where(spot, ground)
    return oval_where(spot, ground, is_cricket=match.sport.key == "cricket")


@kept(16)
def is_rectangle(area: PlayingArea) -> bool:
    """Is the playing area a rectangle, or one with rounded corners."""
    box = shapely.box(*area.outline.bounds)
    return bool(area.outline.symmetric_difference(box).area < 0.05 * box.area)
