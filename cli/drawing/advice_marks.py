"""Advice on the ground: how far a camera may drift, where play changes hands."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.marks import Line, Mark, lines
from standmark.optimizer.advice.handover import Handover
from standmark.optimizer.advice.tolerance import Drift, sideways
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot


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
