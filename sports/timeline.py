"""When each period of a match starts, and how much of the match it lasts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
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
