"""Painted lines that help someone find a spot: lines across the playing area, and what meets its end lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from standmark.cli.words.units import YARD_M
from standmark.geometry.kept import kept
from standmark.sports.sport import Marking, PlayingArea

LEVEL_M = 0.75  # nearer than this to a line counts as level with it
NEARBY_M = 8.0  # a line further away than this doesn't help to find a spot
NUMBERED = "yard lines"  # painted every five yards, and numbered from the goal line
TEN_METRE = "ten-metre lines"  # the same in metres
LEAST_LENGTH_M = 0.5  # a shorter piece is a dash, not a line to stand by
NO_LANDMARK = ("corner arc", "hash marks", "substitution", "scrum line", "interchange", "centre", "midline")


@dataclass(frozen=True)
class PaintedLine:
    """A painted line and how far it lies from the middle of the ground, on both sides of it."""

    name: str  # with its article: "the 22 m line", "the edge of the penalty area"
    away_m: float


@kept(4)
def lines_across(area: PlayingArea) -> tuple[PaintedLine, ...]:
    """Lines that run across the playing area, with their distance from halfway along the length."""
    return _unique(line for marking in area.markings for line in _across(marking, area))


@kept(4)
def lines_at_end(area: PlayingArea) -> tuple[PaintedLine, ...]:
    """Lines that run into an end line, with their distance from the middle of that line."""
    return _unique(line for marking in area.markings for line in _into_end(marking, area))


def _unique(lines: Iterator[PaintedLine]) -> tuple[PaintedLine, ...]:
    unique: dict[tuple[str, float], PaintedLine] = {}
    for line in lines:
        unique.setdefault((line.name, round(line.away_m, 1)), line)
    return tuple(sorted(unique.values(), key=lambda line: line.away_m))


def _across(marking: Marking, area: PlayingArea) -> Iterator[PaintedLine]:
    for start, end in _pieces(marking):
        runs_across = abs(start[0] - end[0]) < 0.01 and abs(start[1] - end[1]) > LEAST_LENGTH_M
        away_m = abs(float(start[0]))
        if not runs_across or _is_outline(marking, area) or away_m < LEVEL_M:
            continue
        if marking.name.startswith((NUMBERED, TEN_METRE)):
            yield from _numbered(marking.name, away_m, area)
        elif not marking.name.startswith(NO_LANDMARK):
            yield PaintedLine(called(marking.name), away_m)


def _numbered(name: str, away_m: float, area: PlayingArea) -> Iterator[PaintedLine]:
    """Number a line by its distance from the goal line, as it's painted beside it."""
    unit_m, said = (YARD_M, "{}-yard line") if name.startswith(NUMBERED) else (1.0, "{} m line")
    number = round((area.length_m / 2 - away_m) / unit_m)
    if name.startswith(NUMBERED):
        number = round((_goal_line_m(area) - away_m) / unit_m)
    if number > 0:
        yield PaintedLine(f"the {said.format(number)}", away_m)


def _goal_line_m(area: PlayingArea) -> float:
    """Distance of the goal line from halfway."""
    for marking in area.markings:
        if marking.name == "goal line":
            return float(abs(marking.shape.bounds[0]))
    return area.length_m / 2


def _into_end(marking: Marking, area: PlayingArea) -> Iterator[PaintedLine]:
    if _is_outline(marking, area) or marking.name.startswith((*NO_LANDMARK, NUMBERED)):
        return
    for start, end in _pieces(marking):
        runs_along = abs(start[1] - end[1]) < 0.01 and abs(start[0] - end[0]) > LEAST_LENGTH_M
        is_near_end = max(abs(start[0]), abs(end[0])) > 0.35 * area.length_m
        meets_end = any(abs(abs(x) - area.length_m / 2) < 0.05 for x in (start[0], end[0]))
        if is_near_end and (runs_along or meets_end):
            point = start if abs(start[0]) > abs(end[0]) else end
            if abs(point[1]) > LEVEL_M:
                yield PaintedLine(called(marking.name), abs(float(point[1])))


def called(name: str) -> str:
    """Name of a marking in a sentence: a line by its name, an area by its edge.

    >>> called("22 m line"), called("penalty area"), called("goal-area line, 6 m")
    ('the 22 m line', 'the edge of the penalty area', 'the goal-area line')
    """
    plain = name.split(",")[0]
    if plain.startswith("three-point"):
        return "the three-point line"  # an arc and two straight pieces
    is_line = "line" in plain.split() or plain.endswith(("line", "lines", "rope", "arc", "crease", "mark"))
    return f"the {plain}" if is_line else f"the edge of the {plain}"


def _pieces(marking: Marking) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    for part in shapely.get_parts(marking.shape):
        if part.geom_type in ("LineString", "LinearRing"):
            points = shapely.get_coordinates(part)
            yield from pairwise(points)


def _is_outline(marking: Marking, area: PlayingArea) -> bool:
    low_x, low_y, high_x, high_y = area.outline.bounds
    bounds = marking.shape.bounds
    return bool(
        np.allclose(bounds, (low_x, low_y, high_x, high_y), atol=0.1) and marking.shape.geom_type != "MultiLineString"
    )
