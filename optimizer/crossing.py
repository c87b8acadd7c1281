"""Cameras on opposite sides of the line of action: pictures in which the two sides of the match swap direction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.optimizer.assignment import PeriodPlan
from standmark.optimizer.match import Match
from standmark.optimizer.rules import line_side


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
