"""Advice on the ground: how far a camera may drift, where it goes if refused, where play changes hands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

import numpy as np
import shapely

from standmark.cli.drawing.ground import Box, Ground
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, disc_ring, lines
from standmark.optimizer.advice.fallback import Fallback
from standmark.optimizer.advice.handover import Handover
from standmark.optimizer.advice.tolerance import Drift, sideways
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot

FALLBACK_MM, FALLBACK_LETTER_MM = 1.7, 2.3


def tolerance_marks(match: Match, spot: Spot, drifts: tuple[Drift, ...], index: int, ground: Ground) -> Iterator[Mark]:
    """Draw along the area how far a camera may drift: thick while it costs under a point, thin under three."""
    area = next(a for a in match.venue.allowed if a.key == spot.area)
    left = sideways(match, area, np.array([spot.x_m, spot.y_m, spot.z_m]))
    reach = {drift.direction: drift for drift in drifts if drift.direction in ("left", "right")}
    for style, ends in (("drift", _ends(reach, 3)), ("strip", _ends(reach, 1))):
        here = np.array([spot.x_m, spot.y_m])
        run = np.array([here - left * ends[1], here + left * ends[0]])
        if ends != (0.0, 0.0):
            yield Line(f"{style}-{index}", (ground.place(run),))


def fallback_marks(fallbacks: Mapping[int, Fallback], match: Match, ground: Ground) -> Iterator[Mark]:
    """Mark where to go if a spot is refused: for each camera a hollow disc, and its letter inside.

    Discs stay where the places are. Letters of places next to each other move apart, so that each can be read.

    Parameters
    ----------
    fallbacks : by index of the camera
    """
    places = [ground.point(fallback.spot.x_m, fallback.spot.y_m) for fallback in fallbacks.values()]
    for index, (x, y) in zip(fallbacks, places, strict=True):
        yield Fill(f"fallback-{index}", (disc_ring(x, y, FALLBACK_MM),))
    for index, (x, y) in zip(fallbacks, _apart(places, FALLBACK_LETTER_MM), strict=True):
        letter = match.cameras[index].name[:1]
        yield Words(f"name-{index}", x, y + 0.36 * FALLBACK_LETTER_MM, letter, FALLBACK_LETTER_MM, "middle")


def fallback_box(fallback: Fallback, ground: Ground) -> Box:
    """Box on the page that the mark of a fallback takes."""
    x, y = ground.point(fallback.spot.x_m, fallback.spot.y_m)
    return x - FALLBACK_MM, y - FALLBACK_MM, 2 * FALLBACK_MM, 2 * FALLBACK_MM


def _apart(places: Sequence[tuple[float, float]], gap: float) -> list[tuple[float, float]]:
    """Move points away from each other, in pairs, until all are a gap apart; equal ones to the left and right."""
    points = np.array(places, dtype=float).reshape(-1, 2)
    for _ in range(20):
        for first, second in combinations(range(len(points)), 2):
            way = points[second] - points[first]
            length = float(np.hypot(*way))
            along = way / length if length > 0 else np.array([1.0, 0.0])
            push = max(0.0, gap - length) / 2 * along
            points[first] -= push
            points[second] += push
    return [(float(x), float(y)) for x, y in points]


def handover_marks(handovers: tuple[Handover, ...], ground: Ground) -> Iterator[Mark]:
    """Draw the lines across which play changes hands."""
    for handover in handovers:
        yield Line("handover", lines(ground.shape(shapely.LineString(handover.points_m))))


def _ends(reach: dict[str, Drift], points: int) -> tuple[float, float]:
    """Metres to the left and right within which so many points are lost."""

    def end(direction: str) -> float:
        """Metres that way until the points are lost, or the edge."""
        drift = reach.get(direction)
        if drift is None:
            return 0.0
        lost = drift.one_point_m if points == 1 else drift.three_points_m
        return min(drift.edge_m, drift.edge_m if lost is None else lost)

    return end("left"), end("right")
