"""When each period of a match starts."""

from __future__ import annotations

from collections.abc import Sequence

from standmark.sports.sport import Period


def period_starts_min(periods: Sequence[Period]) -> list[float]:
    """Minutes from the start of the match to the start of each period, clock stops left out."""
    starts = [0.0]
    for period in periods[:-1]:
        starts.append(starts[-1] + period.minutes + period.break_after_min)
    return starts
