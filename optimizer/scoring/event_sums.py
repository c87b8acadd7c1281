"""Running sums over events that come in parts, and the interval that follows from how matches differ."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.scoring.events import UNKNOWN, Captures, Events, Kinds

N_RESAMPLES = 2000
INTERVAL = 0.95
BLOCK_VALUES = 2_000_000


@dataclass(frozen=True, eq=False)
class EventSums:
    """Sums over all events so far; its size depends on the sport and the number of matches only."""

    n_events: int
    n_outside: int  # events in no zone of their moment
    weight: Floats  # shape (n_moments,), event weight that counts as each moment
    captured: Floats  # shape (n_moments,), of which captured
    promised: Floats  # shape (n_moments,), of which promised by the zones
    match_weight: Floats  # shape (n_matches,)
    match_captured: Floats  # shape (n_matches,)


@dataclass(frozen=True)
class EventScore:
    """Share of real events captured usably. Shares are weighted by the events' weights, 0..1."""

    n_events: int
    n_matches: int  # 0: the events do not say
    captured: float
    promised: float  # what the zones promise for the same mixture of moments and periods
    interval: tuple[float, float] | None  # of `captured`, 95 %, by resampling whole matches; None below two matches
    captured_by_moment: dict[str, float]
    promised_by_moment: dict[str, float]
    weight_by_moment: dict[str, float]  # share of the event weight
    outside: float  # share of events, unweighted, in no zone of their moment


def no_events(n_moments: int) -> EventSums:
    """Sums over no events, to start from."""
    none = np.zeros(n_moments)
    return EventSums(0, 0, none, none, none, np.zeros(0), np.zeros(0))


def add(total: EventSums, events: Events, kinds: Kinds, captures: Captures) -> EventSums:
    """Add a part of the events to the sums."""
    weighted = kinds.share * events.weight[:, None]
    captured = weighted * captures.captured
    n_matches = max(len(total.match_weight), int(events.match.max(initial=UNKNOWN)) + 1)
    known = events.match != UNKNOWN
    sums = [
        np.bincount(events.match[known], values[known], minlength=n_matches)
        for values in (events.weight, captured.sum(axis=1))
    ]
    return replace(
        total,
        n_events=total.n_events + len(events.weight),
        n_outside=total.n_outside + int(kinds.outside.sum()),
        weight=total.weight + weighted.sum(axis=0),
        captured=total.captured + captured.sum(axis=0),
        promised=total.promised + (weighted * captures.promised).sum(axis=0),
        match_weight=_grown(total.match_weight, n_matches) + sums[0],
        match_captured=_grown(total.match_captured, n_matches) + sums[1],
    )


def event_score(total: EventSums, moment_keys: tuple[str, ...], *, seed: int = 1) -> EventScore:
    """Turn the sums into shares.

    Raises
    ------
    ValueError : the events have no weight
    """
    weight = total.weight.sum()
    if weight <= 0:
        raise ValueError("all events have weight 0")
    seen = [i for i in range(len(moment_keys)) if total.weight[i] > 0]
    n_matches = int((total.match_weight > 0).sum())
    return EventScore(
        n_events=total.n_events,
        n_matches=n_matches,
        captured=float(total.captured.sum() / weight),
        promised=float(total.promised.sum() / weight),
        interval=match_interval(total.match_captured, total.match_weight, seed=seed) if n_matches > 1 else None,
        captured_by_moment={moment_keys[i]: float(total.captured[i] / total.weight[i]) for i in seen},
        promised_by_moment={moment_keys[i]: float(total.promised[i] / total.weight[i]) for i in seen},
        weight_by_moment={moment_keys[i]: float(total.weight[i] / weight) for i in seen},
        outside=total.n_outside / total.n_events,
    )


def match_interval(
    captured: Floats, weight: Floats, *, seed: int = 1, n_resamples: int = N_RESAMPLES
) -> tuple[float, float]:
    """Percentile bootstrap interval of sum(captured) / sum(weight), whole matches drawn with replacement.

    Parameters
    ----------
    captured, weight : shape (n_matches,), sums of each match; matches without weight are left out

    References
    ----------
    [1] B. Efron, R. J. Tibshirani, An Introduction to the Bootstrap, 1993, chapter 13: percentile intervals
        (from memory).
    """
    kept = weight > 0
    captured, weight = captured[kept], weight[kept]
    n = len(weight)
    rng = np.random.default_rng(seed)
    shares = []
    for start in range(0, n_resamples, rows := max(1, BLOCK_VALUES // n)):
        counts = rng.multinomial(n, np.full(n, 1 / n), size=min(rows, n_resamples - start))
        shares.append((counts @ captured) / (counts @ weight))
    low, high = np.quantile(np.concatenate(shares), [(1 - INTERVAL) / 2, (1 + INTERVAL) / 2])
    return float(low), float(high)


def _grown(values: Floats, n: int) -> Floats:
    return np.concatenate([values, np.zeros(n - len(values))])
