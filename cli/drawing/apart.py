"""Discs of places that lie close together: moved apart on the page, so that no letter is covered."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from standmark.cli.drawing.marks import Line, Mark

STEP_MM, FARTHEST_MM, TURNS = 0.25, 15.0, 32  # how finely, how far and in how many directions a free place is sought
LEADER_FROM_MM = 0.3  # beyond the edge of its disc: a place nearer than this needs no line
AWAY_MM = np.repeat(np.arange(STEP_MM, FARTHEST_MM, STEP_MM), TURNS)
TURN_RAD = np.tile(np.arange(TURNS) * 2 * math.pi / TURNS, len(AWAY_MM) // TURNS)
TRIES_MM = np.vstack([np.zeros((1, 2)), AWAY_MM[:, None] * np.column_stack([np.cos(TURN_RAD), np.sin(TURN_RAD)])])

Point = tuple[float, float]  # on the page [mm]


def apart(places: Sequence[Point], gap_mm: float, *, fixed: Sequence[Point] = (), fixed_mm: float = 0.0) -> list[Point]:
    """Return where points go so that each is a gap from the others and from some fixed ones.

    One after the other takes the free place nearest to its own; where none is near, that which is clearest.

    Parameters
    ----------
    fixed : points that stay
    fixed_mm : least distance from those

    >>> apart([(0.0, 0.0), (1.0, 0.0), (9.0, 0.0)], 4.0)
    [(0.0, 0.0), (4.0, 0.0), (9.0, 0.0)]
    >>> apart([(1.0, 0.0)], 4.0, fixed=[(0.0, 0.0)], fixed_mm=3.0)
    [(3.0, 0.0)]
    """
    taken = list(fixed)
    for place in places:
        short = np.full(len(TRIES_MM), 0.0)  # of the gaps, at every place tried [mm]
        tries = np.array(place) + TRIES_MM
        for number, other in enumerate(taken):
            least = fixed_mm if number < len(fixed) else gap_mm
            short = np.maximum(short, least - np.hypot(*(tries - np.array(other)).T))
        free = short <= 1e-9
        x, y = tries[np.argmax(free) if free.any() else np.argmin(short)].tolist()
        taken.append((x, y))
    return taken[len(fixed) :]


def leader_marks(place: Point, moved: Point, radius_mm: float, index: int) -> Iterator[Mark]:
    """Draw a line, in the colour of a camera, from a place to its disc where the disc was moved off it."""
    if math.dist(place, moved) > radius_mm + LEADER_FROM_MM:
        yield Line(f"edge-{index}", (np.array([place, moved]),))
