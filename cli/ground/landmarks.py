"""Points of a playing area that can be found in a photograph, each with a name: corners of its lines, posts, marks."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.arrays import Floats
from standmark.geometry.errors import InputError, shown
from standmark.sports.sport import PlayingArea

Point3 = tuple[float, float, float]
CORNER_DEG = 20.0  # a line that turns by more has a corner there
FEW = 8  # points of a bar; a hoop has more and no corners
ON_AXIS_M = 0.3  # nearer to an axis than this is neither side of it
SAME_M = 0.02
SIDES = ("+x", "-x", "+y", "-y")


def landmarks(area: PlayingArea, side_names: Mapping[str, str]) -> dict[str, Point3]:
    """Points that have a name, in the pitch frame [m], such as "penalty area front, left end, far side"."""
    by_name: dict[str, list[Point3]] = {}
    for base, point in (*_line_points(area), *_target_points(area)):
        places = [
            side_names[side]
            for side, value in zip(SIDES, (point[0], -point[0], point[1], -point[1]), strict=True)
            if value > ON_AXIS_M
        ]
        name = ", ".join([base, *places])
        if all(math.dist(point, other) > SAME_M for other in by_name.setdefault(name, [])):
            by_name[name].append(point)
    named: dict[str, Point3] = {}
    for name, points in by_name.items():
        base, _, where = name.partition(", ")
        points.sort(key=lambda p: (-abs(p[0]), -abs(p[1])))
        words = [""] if len(points) == 1 else [" back", " front"] if len(points) == 2 else _counted(len(points))
        for word, point in zip(words, points, strict=True):
            named[f"{base}{word}, {where}" if where else f"{base}{word}"] = point
    return named


def landmark(words: str, known: Mapping[str, Point3], side_names: Mapping[str, str]) -> Point3:
    """Place of a mark by its name; order, case and commas do not matter, and +x, -y stand for the sides' names.

    Raises
    ------
    InputError : no mark is called so; the nearest names are given
    """
    spoken = words.lower()
    for side in SIDES:
        spoken = spoken.replace(side, f" {side_names[side].lower()} ")
    wanted = _tokens(spoken)
    for name, point in known.items():
        if _tokens(name) == wanted:
            return point
    near = get_close_matches(spoken, [name.lower() for name in known], n=3, cutoff=0.4)
    hint = " or ".join(f'"{name}"' for name in near)
    hint = f"did you mean {hint}? " if near else ""
    raise InputError(f'no mark "{shown(words)}"; {hint}standmark spot --list shows them all')


def _tokens(words: str) -> list[str]:
    return sorted(re.findall(r"[^\W_]+", words.lower()))


def _counted(n: int) -> list[str]:
    return [f" {number}" for number in range(1, n + 1)]


def _line_points(area: PlayingArea) -> Iterator[tuple[str, Point3]]:
    for marking in area.markings:
        base = "corner" if _is_outline(marking.shape, area) else marking.name
        for part in shapely.get_parts(marking.shape):
            for x, y in _corners(shapely.get_coordinates(part)):
                yield base, (x, y, 0.0)


def _is_outline(shape: BaseGeometry, area: PlayingArea) -> bool:
    corners = {(round(x, 2), round(y, 2)) for x, y in shapely.get_coordinates(shape).tolist()}
    outer = {(round(x, 2), round(y, 2)) for x, y in shapely.get_coordinates(area.outline).tolist()}
    return corners == outer


def _corners(line: Floats) -> list[tuple[float, float]]:
    """Corners and ends of a line; of a round one the points furthest along x and y."""
    if len(line) < 3:
        return [(float(x), float(y)) for x, y in line]
    is_closed = bool(np.allclose(line[0], line[-1]))
    ring = line[:-1] if is_closed else line
    before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
    there, on = np.arctan2(*(ring - before).T[::-1]), np.arctan2(*(after - ring).T[::-1])
    turn = np.abs((on - there + math.pi) % (2 * math.pi) - math.pi)
    is_corner = turn > math.radians(CORNER_DEG)
    if not is_closed:
        is_corner[[0, -1]] = True
    if not is_corner.any():
        middle = ring.mean(axis=0)
        picks = [ring[:, 0].argmax(), ring[:, 0].argmin(), ring[:, 1].argmax(), ring[:, 1].argmin()]
        return [(float(x), float(y)) for x, y in np.where(np.abs(ring[picks] - middle) < 0.05, middle, ring[picks])]
    return [(float(x), float(y)) for x, y in ring[is_corner]]


def _target_points(area: PlayingArea) -> Iterator[tuple[str, Point3]]:
    for target in area.targets:
        base = target.name.split(" (")[0]
        for bar in _bars(target.bars):
            for x, y, z in bar:
                yield f"{base} {'foot' if z < SAME_M else 'top'}", (x, y, z)


def _bars(bars: Sequence[Sequence[Point3]]) -> list[Sequence[Point3]]:
    """Bars with corners: what is round has none that a picture shows."""
    return [bar for bar in bars if len(bar) <= FEW][:1]
