"""What a picture is made of: filled shapes, lines and words, in millimetres on a page, y downward.

A picture is laid out once and then painted by whichever back end is asked (`svg`, `paint`), so that screen,
print and vector file show the same thing. A mark carries the name of its style; `palette` says how it looks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats


@dataclass(frozen=True, eq=False)
class Fill:
    """A surface within closed rings; a ring inside another, run the other way round, is a hole."""

    style: str
    rings: tuple[Floats, ...]  # each of shape (n, 2)


@dataclass(frozen=True, eq=False)
class Line:
    """One or more open or closed lines of one style."""

    style: str
    parts: tuple[Floats, ...]  # each of shape (n, 2)


ANCHORS = ("start", "middle", "end")


@dataclass(frozen=True)
class Words:
    """One line of text on its baseline."""

    style: str
    x_mm: float
    y_mm: float
    text: str
    size_mm: float  # height of the font (em)
    anchor: str = "start"  # which end lies at x, one of ANCHORS
    turn_deg: float = 0.0  # anticlockwise


Mark = Fill | Line | Words


@dataclass(frozen=True)
class Picture:
    """A finished page or panel."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    title: str  # what it is, for those who cannot see it
    description: str  # what it says, in words and numbers


def box_ring(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Floats:
    """Closed ring of an upright rectangle whose upper left corner is given."""
    right, low = x_mm + width_mm, y_mm + height_mm
    return np.array([[x_mm, y_mm], [right, y_mm], [right, low], [x_mm, low], [x_mm, y_mm]])


def disc_ring(x_mm: float, y_mm: float, radius_mm: float, *, points: int = 36) -> Floats:
    """Closed ring round a middle."""
    turn = np.linspace(0.0, 2 * math.pi, points + 1)
    return np.column_stack([x_mm + radius_mm * np.cos(turn), y_mm + radius_mm * np.sin(turn)])


def rings(shape: BaseGeometry) -> tuple[Floats, ...]:
    """Closed rings of every polygon in a shape, holes among them, which run the other way round."""
    outlines = []
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon" and not part.is_empty:
            part = shapely.orient_polygons(part) if part.interiors else part
            outlines += [np.asarray(ring.coords)[:, :2] for ring in (part.exterior, *part.interiors)]
    return tuple(outlines)


def lines(shape: BaseGeometry) -> tuple[Floats, ...]:
    """Every line in a shape; a polygon counts as its outline."""
    paths = []
    for part in shapely.get_parts(shape):
        if part.is_empty or part.geom_type == "Point":
            continue
        edges = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        paths += [np.asarray(edge.coords)[:, :2] for edge in edges]
    return tuple(paths)


def hatch(shape: BaseGeometry, *, spacing_mm: float, turn_deg: float = 45.0) -> tuple[Floats, ...]:
    """Parallel lines over a shape, cut at its edges; drawn as lines, so that every back end shows them alike.

    Parameters
    ----------
    shape : in page millimetres
    turn_deg : direction of the lines, anticlockwise from the horizontal
    """
    if shape.is_empty or shape.area == 0:
        return ()
    low_x, low_y, high_x, high_y = shape.bounds
    along = np.array([math.cos(math.radians(turn_deg)), -math.sin(math.radians(turn_deg))])
    across = np.array([-along[1], along[0]])
    corners = np.array([(low_x, low_y), (low_x, high_y), (high_x, low_y), (high_x, high_y)])
    reach, off = corners @ along, corners @ across
    steps = np.arange(math.ceil(off.min() / spacing_mm), math.floor(off.max() / spacing_mm) + 1) * spacing_mm
    ends = np.stack([steps[:, None] * across + reach.min() * along, steps[:, None] * across + reach.max() * along], 1)
    cut: NDArray[np.object_] = np.asarray(shapely.intersection(shapely.linestrings(ends), shape))
    return tuple(xy for part in cut for xy in lines(part) if len(xy) > 1)


def shifted(marks: Iterable[Mark], x_mm: float, y_mm: float) -> tuple[Mark, ...]:
    """Move marks across the page."""
    by = np.array([x_mm, y_mm])
    return tuple(_shifted(mark, by) for mark in marks)


def _shifted(mark: Mark, by: Floats) -> Mark:
    match mark:
        case Fill():
            return Fill(mark.style, _moved(mark.rings, by))
        case Line():
            return Line(mark.style, _moved(mark.parts, by))
        case Words():
            x, y = mark.x_mm + float(by[0]), mark.y_mm + float(by[1])
            return Words(mark.style, x, y, mark.text, mark.size_mm, mark.anchor, mark.turn_deg)


def _moved(parts: Sequence[Floats], by: Floats) -> tuple[Floats, ...]:
    return tuple(part + by for part in parts)
