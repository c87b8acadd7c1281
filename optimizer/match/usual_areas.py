"""Usual and raised places of a sport as areas of a ground, with its ends and sides called by their names."""

from __future__ import annotations

from collections.abc import Mapping

from standmark.optimizer.match.match import AllowedArea
from standmark.sports.place_kind import GROUND, POSTURE_EYE_M
from standmark.sports.sport import PLAIN_SIDES, Place, Sport


def side_names(sport: Sport, own: Mapping[str, str] | None = None) -> dict[str, str]:
    """Names of the ends and sides: those of the ground before those of the sport before "+x end" and the like."""
    return PLAIN_SIDES | sport.area.side_names | dict(own or {})


def default_areas(sport: Sport, names: Mapping[str, str] | None = None) -> tuple[AllowedArea, ...]:
    """Usual places of a sport, as allowed areas; ends and sides are called by their names, where there are any."""
    called = {before: (names or {}).get(side, before) for side, before in side_names(sport).items()}
    return tuple(_area_of(place, called) for place in sport.area.places)


def raised_areas(sport: Sport, names: Mapping[str, str] | None = None) -> tuple[AllowedArea, ...]:
    """Raised places that a ground of the sport may have, as areas to ask for."""
    called = {before: (names or {}).get(side, before) for side, before in side_names(sport).items()}
    return tuple(_area_of(place, called) for place in sport.area.raised)


def _area_of(place: Place, called: Mapping[str, str]) -> AllowedArea:
    floor_m = 0.0 if place.kind == GROUND.key else max(place.lens_height_m[0] - POSTURE_EYE_M["stand"], 0.0)
    return AllowedArea(
        place.key,
        _renamed(place.name, called),
        place.shape,
        place.lens_height_m,
        kind=place.kind,
        floor_m=floor_m,
        postures=place.postures,
        supports=place.supports,
    )


def _renamed(text: str, called: Mapping[str, str]) -> str:
    """Put the ground's names of ends and sides in the place of the sport's."""
    for before, after in called.items():
        text = text.replace(f"({before}", f"({after}").replace(f", {before})", f", {after})")
    return text
