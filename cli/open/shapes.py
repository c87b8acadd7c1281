"""Shapes on a ground as the page draws them, and their size and place in words."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.words.units import Units, distance_words, native_units, shown, symbol
from standmark.cli.words.where.place import where
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import spot_at
from standmark.sports.sport import PlayingArea

Points = list[list[float]]
MOST_KEPT = 4000  # words of shapes that are kept: most shapes stay from one change to the next
_WORDS: dict[tuple[object, bytes], str] = {}


def points(coordinates: Any, digits: int = 2) -> Points:
    """Coordinates as pairs, to the centimetre."""
    return [[float(x), float(y)] for x, y in np.asarray(coordinates, float)[:, :2].round(digits) + 0.0]


def rings_of(shape: BaseGeometry) -> list[Points]:
    """Rings of a shape, holes too, the first point not repeated; a line is one open ring."""
    rings: list[Points] = []
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon":
            rings += [points(ring.coords)[:-1] for ring in (part.exterior, *part.interiors)]
        elif part.geom_type in ("LineString", "LinearRing"):
            rings.append(points(part.coords))
    return rings


def is_line(shape: BaseGeometry) -> bool:
    """Is a shape a line rather than a surface."""
    return bool(shape.area == 0.0)


def drawing(area: PlayingArea) -> dict[str, Any]:
    """A playing area to scale: outline, lines, spots, what the sides score at, where nobody stands."""
    lines: list[dict[str, Any]] = []
    spots: list[dict[str, Any]] = []
    for marking in area.markings:
        for part in shapely.get_parts(marking.shape):
            if part.geom_type == "Point":
                spots.append({"name": marking.name, "at": points(part.coords)[0]})
            else:
                edges = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
                lines += [
                    {"name": marking.name, "points": points(edge.coords), "dashed": marking.is_dashed} for edge in edges
                ]
    return {
        "outline": rings_of(area.outline)[0],
        "lines": lines,
        "spots": spots,
        "targets": [{"name": t.name, "points": [points(bar) for bar in t.bars]} for t in area.targets],
        "run_off": rings_of(area.run_off)[0],
        "keep_clear": [
            {"name": entry.name, "reason": entry.reason, "rings": rings_of(entry.shape)} for entry in area.keep_clear
        ],
        "bounds": [round(float(v), 2) for v in area.outline.bounds],
    }


def size_words(area: PlayingArea) -> str:
    """Length and width of a playing area in the unit that its sport uses.

    >>> from standmark.sports.library import load_sport
    >>> size_words(load_sport("football").area), size_words(load_sport("american-football").area)
    ('105 × 68 m', '120 × 53.3 yd')
    """
    units = {"yd": Units.YARDS, "ft": Units.IMPERIAL, "m": Units.METRIC}[area.unit]
    long, wide = (round(shown(size_m, units), 1) for size_m in (area.length_m, area.width_m))
    return f"{long:g} × {wide:g} {symbol(units)}"


def shape_words(shape: BaseGeometry, match: Match) -> str:
    """Size and place: "24 by 2 m, mill end, left of the goal: 5 m behind the goal line"."""
    sport, names = match.sport, match.venue.side_names
    ground = (sport.key, sport.preset, sport.area.length_m, sport.area.width_m, tuple(names.items()))
    key = (ground, shape.wkb)
    if key not in _WORDS:
        if len(_WORDS) > MOST_KEPT:
            _WORDS.clear()
        _WORDS[key] = _words(shape, match)
    return _WORDS[key]


def _words(shape: BaseGeometry, match: Match) -> str:
    if shape.is_empty:
        return ""
    unit = native_units(match.sport, Units.METRIC)
    parts = shapely.get_parts(shape)
    first = parts[0]
    middle = shape.interpolate(0.5, True) if shape.geom_type == "LineString" else shape.centroid
    place = where(spot_at("", middle.x, middle.y, 1.6), match).words
    if is_line(shape):
        return f"{distance_words(shape.length, unit)} long, {place}"
    box = shapely.oriented_envelope(first)
    if box.geom_type != "Polygon":
        return place
    corners = np.asarray(box.exterior.coords)
    sides = sorted(np.hypot(*(corners[1:3] - corners[:2]).T), reverse=True)
    long, short = (distance_words(float(side), unit) for side in sides)
    number, _, symbol = long.rpartition(" ")
    size = f"{number} by {short}" if short.endswith(symbol) else f"{long} by {short}"
    return f"{size}, {place}" if len(parts) == 1 else f"{len(parts)}, each {size}"
