"""How play moves, counted from events with times: plays, the zones in which they start, and what follows them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices

LONGEST_BREAK_S = 180.0  # more between two plays is an interval: the second does not follow the first


@dataclass(frozen=True, eq=False)
class TimedEvents:
    """Events in any order."""

    match: Indices  # shape (n,), number of the match
    time_s: Floats  # shape (n,), in the match
    x_m: Floats  # shape (n,), as the side that acts sees it, which attacks toward +x
    side: Indices  # shape (n,), 0 or 1


@dataclass(frozen=True, eq=False)
class FlowCounts:
    """Plays that were followed by another one."""

    same: Indices  # shape (n_zones, n_zones), next play of the same side, by zone of the first and of the next
    other: Indices  # the same for next plays of the other side, as that side sees them
    walk_s: tuple[float, float]  # seconds between the end of a play and the next one: same side, other side
    n_plays: int
    n_matches: int


def count_flow(events: TimedEvents, edges_m: Floats, *, play_s: float) -> FlowCounts:
    """Count which plays follow which.

    A play starts with an event and lasts `play_s`; events within it belong to it. The seconds from its end to the
    start of the next play, the median of them, are those in which one can walk.

    Parameters
    ----------
    edges_m : shape (n_zones + 1,), rising; events beyond the ends count in the outer zones
    """
    order = np.lexsort((events.time_s, events.match))
    match, time_s, side = events.match[order], events.time_s[order], events.side[order]
    starts = _starts(match, time_s, play_s)
    match, time_s, side = match[starts], time_s[starts], side[starts]
    n = len(edges_m) - 1
    zone = np.clip(np.searchsorted(edges_m, events.x_m[order][starts], side="right") - 1, 0, n - 1)
    gap_s = np.diff(time_s)
    follows = (match[1:] == match[:-1]) & (gap_s <= LONGEST_BREAK_S)
    is_same = side[1:] == side[:-1]
    counts = [np.zeros((n, n), np.intp) for _ in range(2)]
    for total, own in zip(counts, (follows & is_same, follows & ~is_same), strict=True):
        np.add.at(total, (zone[:-1][own], zone[1:][own]), 1)
    walk_s = [
        max(float(np.median(gap_s[own])) - play_s, 0.0) if own.any() else 0.0
        for own in (follows & is_same, follows & ~is_same)
    ]
    return FlowCounts(counts[0], counts[1], (walk_s[0], walk_s[1]), len(starts), len(np.unique(match)))


def _starts(match: Indices, time_s: Floats, play_s: float) -> Indices:
    """Events that start a play, in order."""
    starts: list[int] = []
    for at in range(len(match)):
        if not starts or match[at] != match[starts[-1]] or time_s[at] - time_s[starts[-1]] >= play_s:
            starts.append(at)
    return np.array(starts, dtype=np.intp)
