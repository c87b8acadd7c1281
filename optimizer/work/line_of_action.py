"""Cameras on opposite sides of the line of action: pictures in which the two sides of the match swap direction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import PeriodPlan
from standmark.sports.sport import PlayingArea

ON_AXIS_M = 0.5  # a camera this near the line of action is on neither side of it


@dataclass(frozen=True)
class Crossing:
    """Who stands on which side in one period; neutral cameras are left out."""

    period: str  # key
    right: tuple[str, ...]  # cameras at y < 0: right of the line for someone who looks along +x
    left: tuple[str, ...]  # cameras at y > 0


def crossings(match: Match, periods: tuple[PeriodPlan, ...]) -> tuple[Crossing, ...]:
    """Periods in which cameras stand on both sides of the line of action; none where the rules do not ask."""
    if match.rules.same_side == "off":
        return ()
    told = [_crossing(match, period) for period in periods]
    return tuple(c for c in told if c.right and c.left)


def _crossing(match: Match, period: PeriodPlan) -> Crossing:
    spots_m = np.array([[a.spot.x_m, a.spot.y_m] for a in period.assignments])
    side = line_side(match.sport.area, spots_m)
    right, left = (
        tuple(a.camera for a, s in zip(period.assignments, side, strict=True) if s == sign) for sign in (-1, 1)
    )
    return Crossing(period.period.key, right, left)


def line_side(area: PlayingArea, xyz_m: Floats) -> NDArray[np.int8]:
    """Side of the line of action on which a camera stands: -1 at y < 0, +1 at y > 0, 0 neutral.

    A camera beyond the end line looks along the line of action, so it cuts with both sides (common
    practice, no source); so does one that stands on the axis itself.

    Parameters
    ----------
    xyz_m : shape (n, 2) or (n, 3)

    Returns
    -------
    shape (n,)
    """
    low_x, _, high_x, _ = area.outline.bounds
    is_neutral = (xyz_m[:, 0] <= low_x) | (xyz_m[:, 0] >= high_x) | (np.abs(xyz_m[:, 1]) < ON_AXIS_M)
    return np.where(is_neutral, 0, np.sign(xyz_m[:, 1])).astype(np.int8)
