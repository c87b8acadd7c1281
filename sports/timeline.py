"""When each period of a match starts, how much of it each lasts, and what a clock shows then."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from typing import Protocol

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.sports.sport import Period


def period_starts_min(periods: Sequence[Period]) -> list[float]:
    """Minutes from the start of the match to the start of each period, clock stops left out."""
    starts = [0.0]
    for period in periods[:-1]:
        starts.append(starts[-1] + period.minutes + period.break_after_min)
    return starts


class Lasting(Protocol):
    """A part of a match that has a length."""

    @property
    def minutes(self) -> float:
        """Length of the part."""
        ...


def length_shares(parts: Iterable[Lasting]) -> Floats:
    """Share of their whole length that each of some parts of a match lasts, shape (n_parts,)."""
    minutes = np.array([part.minutes for part in parts])
    shares: Floats = minutes / minutes.sum()
    return shares


def later(start: datetime, minutes: float) -> datetime:
    """Time some minutes after an aware one, in its zone: counted in UTC, as clocks may change on the way."""
    return (start.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(start.tzinfo)


def clock_words(time: datetime, *, with_offset: bool = False) -> str:
    """Time of day as a clock shows it; the offset from UTC tells two readings of one hour apart.

    >>> clock_words(datetime.fromisoformat("2027-10-31T02:30+02:00"), with_offset=True)
    '02:30 (UTC+02:00)'
    """
    return f"{time:%H:%M} (UTC{time.isoformat()[-6:]})" if with_offset else f"{time:%H:%M}"


def clocks_change(times: Iterable[datetime]) -> bool:
    """Whether the clocks are changed between the first and the last of some aware times.

    >>> clocks_change([datetime(2027, 7, 1, 12, tzinfo=UTC), datetime(2027, 7, 1, 15, tzinfo=UTC)])
    False
    """
    return len({time.utcoffset() for time in times}) > 1
