"""Usual and raised places of a sport as areas of a ground, with its ends and sides called by their names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

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
    return AllowedArea(
        place.key,
        _renamed(place.name, called),
        place.shape,
        place.lens_height_m,
        kind=place.kind,
        floor_m=floor_under(place.kind, place.lens_height_m),
        postures=place.postures,
        supports=place.supports,
    )


def moved_area(area: AllowedArea, usual: AllowedArea, *, lens_height_m: tuple[float, float] | None) -> AllowedArea:
    """Give an area what one stands on, and how, at a place of the sport; its height too where none is given."""
    heights_m = lens_height_m or usual.lens_height_m
    return replace(
        area,
        lens_height_m=heights_m,
        kind=usual.kind,
        floor_m=floor_under(usual.kind, heights_m),
        postures=usual.postures,
        supports=usual.supports,
    )


def floor_under(kind: str, lens_height_m: tuple[float, float]) -> float:
    """Height of what one stands on [m]: the ground, or as far below the lowest lens as somebody's eye is up."""
    return 0.0 if kind == GROUND.key else max(lens_height_m[0] - POSTURE_EYE_M["stand"], 0.0)


def _renamed(text: str, called: Mapping[str, str]) -> str:
    """Put the ground's names of ends and sides in the place of the sport's."""
    for before, after in called.items():
        text = text.replace(f"({before}", f"({after}").replace(f", {before})", f", {after})")
    return text
