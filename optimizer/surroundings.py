"""What the ground adds to the view in a period: fixed obstacles, the sport's own goals and nets, and the light."""

from __future__ import annotations

from standmark.optimizer.match import Match
from standmark.optimizer.quality import Surroundings
from standmark.sports.sport import Period


def period_surroundings(match: Match, period: Period) -> Surroundings:
    """Build the light and sight models of one period."""
    return Surroundings()
