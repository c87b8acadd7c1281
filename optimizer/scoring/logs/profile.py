"""What logs say of an operator: the delay, the wish for size, and how often moments happen.

Each is drawn toward our own value as far as data are few. Delay and wish have log-normal priors, and the likelihood of
a log is multinomial: of the moments that were the camera's job some were got, others lost for a reason that was said
or not. Rates have gamma priors worth PRIOR_MATCHES matches; counts are Poisson, so the posterior is gamma as well
(Gelman and others, Bayesian Data Analysis, 3rd edition, 2013, sections 2.6 and 2.7).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.scoring.logs.filmed import FACTOR_OF, Count
from standmark.optimizer.scoring.logs.held_to_promise import promise_of
from standmark.optimizer.scoring.logs.interval import LEVEL, rate_interval
from standmark.optimizer.scoring.logs.promise import DELAYS_S, OUTCOMES, WISHES, PlannedMatch, Promise

PRIOR_DELAY_S = 0.25  # a practised operator
DELAY_SPREAD = 0.5  # standard deviation of its logarithm: 95 % between 0.09 and 0.67 s; ours, no source
WISH_SPREAD = 0.25  # of the logarithm of the wish, around 1: 95 % between 0.61 and 1.63; ours, no source
PRIOR_MATCHES = 5.0  # what our own rate is worth against counts
ENOUGH_MATCHES = 5  # under it nothing changes ...
OVERWHELMING = 0.999  # ... unless our value lies outside an interval as wide as this
DELAY_GRID_S = np.exp(np.linspace(np.log(DELAYS_S[0]), np.log(DELAYS_S[-1]), 41))
WISH_GRID = np.exp(np.linspace(np.log(WISHES[0]), np.log(WISHES[-1]), 25))
LEAST_CHANCE = 1e-4  # of any outcome: a slip of the finger must not rule out what is true


@dataclass(frozen=True)
class Learned:
    """One figure before and after."""

    before: float
    before_interval: tuple[float, float]
    after: float
    after_interval: tuple[float, float]
    is_used: bool  # False: too little to go by, `before` stays in force

    @property
    def value(self) -> float:
        """The figure to use."""
        return self.after if self.is_used else self.before


@dataclass(frozen=True)
class LearnedProfile:
    """What was learned of one operator."""

    n_matches: int
    delay_s: Learned
    wish: Learned  # times the size that the deliverable wants
    rates: Mapping[str, Mapping[str, Learned]]  # sport key -> moment key -> times a match


@dataclass(frozen=True, eq=False)
class FilmedMatch:
    """A log with its plan's promises."""

    planned: PlannedMatch
    promises: tuple[Promise, ...]
    counts: tuple[Count, ...]


def learn(matches: Sequence[FilmedMatch]) -> LearnedProfile:
    """Work out what logs say.

    Parameters
    ----------
    matches : at least one
    """
    on_delay, on_wish = _log_normal(DELAY_GRID_S, PRIOR_DELAY_S, DELAY_SPREAD), _log_normal(WISH_GRID, 1.0, WISH_SPREAD)
    prior = on_delay[:, None] + on_wish
    chance = prior + sum(_log_likelihood(match) for match in matches)
    before, after = (_normalised(log) for log in (prior, chance))
    return LearnedProfile(
        n_matches=len(matches),
        delay_s=_learned(DELAY_GRID_S, before.sum(axis=1), after.sum(axis=1), len(matches), PRIOR_DELAY_S),
        wish=_learned(WISH_GRID, before.sum(axis=0), after.sum(axis=0), len(matches), 1.0),
        rates=_rates(matches),
    )


def _log_normal(values: Floats, middle: float, spread: float) -> Floats:
    return np.asarray(-0.5 * (np.log(values / middle) / spread) ** 2)


def _normalised(log: Floats) -> Floats:
    chance = np.exp(log - log.max())
    return np.asarray(chance / chance.sum())


def _log_likelihood(match: FilmedMatch) -> Floats:
    """Of one log, shape (n_delays, n_wishes)."""
    by_row = {(p.camera, p.period, p.moment, p.attack): p for p in match.promises}
    total = np.zeros((len(DELAY_GRID_S), len(WISH_GRID)))
    for count in match.counts:
        promise = promise_of(count, by_row) if count.asked else None
        if promise is None:
            continue
        faced = min(count.why.get("faced away", 0), count.lost)
        got = count.got + faced  # seen, though not the face
        said = {factor: count.why.get(reason, 0) for reason, factor in FACTOR_OF.items()}
        unsaid = max(count.asked - got - sum(said.values()), 0)
        if not got and not unsaid and not any(said.values()):
            continue
        log_chances = _log_chances(promise)
        times = {"got": got, "lost": unsaid} | said
        for outcome, log_chance in log_chances.items():
            if times[outcome]:
                total += times[outcome] * log_chance
    return total


@lru_cache(maxsize=1024)
def _log_chances(promise: Promise) -> dict[str, Floats]:
    """Logarithm of the chance of each outcome, and of being lost at all, on the grid of delays and wishes."""
    chances = chances_at(promise, DELAY_GRID_S, WISH_GRID)
    all_chances = {"lost": 1.0 - chances[..., 0]} | {name: chances[..., i] for i, name in enumerate(OUTCOMES)}
    return {name: np.log(np.maximum(chance, LEAST_CHANCE)) for name, chance in all_chances.items()}


def chances_at(promise: Promise, delays_s: Floats, wishes: Floats) -> Floats:
    """Chances between the points of a promise's grid, linear in the logarithms.

    Returns
    -------
    shape (n_delays, n_wishes, n_outcomes)
    """
    along_delay, along_wish = (
        _weights(np.log(values), np.log(grid)) for values, grid in ((delays_s, DELAYS_S), (wishes, WISHES))
    )
    return np.asarray(np.einsum("di,wj,ijo->dwo", along_delay, along_wish, promise.outcomes))


def _weights(values: Floats, grid: Floats) -> Floats:
    """Linear interpolation as a matrix, shape (n_values, n_grid)."""
    return np.array([np.interp(values, grid, row) for row in np.eye(len(grid))]).T


def _learned(values: Floats, before: Floats, after: Floats, n_matches: int, middle: float) -> Learned:
    """Sum up a figure: its median on the grid, and the interval of equal tails."""
    intervals = [_interval(values, chance, LEVEL) for chance in (before, after)]
    low, high = _interval(values, after, OVERWHELMING)
    is_used = n_matches >= ENOUGH_MATCHES or not low <= middle <= high
    return Learned(middle, intervals[0], _quantile(values, after, 0.5), intervals[1], is_used)


def _interval(values: Floats, chance: Floats, level: float) -> tuple[float, float]:
    tail = (1.0 - level) / 2.0
    return _quantile(values, chance, tail), _quantile(values, chance, 1.0 - tail)


def _quantile(values: Floats, chance: Floats, level: float) -> float:
    """Quantile of a density on a logarithmic grid; each point stands for the cell around it."""
    logs = np.log(values)
    step = logs[1] - logs[0]
    edges = np.concatenate([[logs[0] - step / 2], logs + step / 2])
    return float(np.exp(np.interp(level, np.concatenate([[0.0], np.cumsum(chance)]), edges)))


def _rates(matches: Sequence[FilmedMatch]) -> dict[str, dict[str, Learned]]:
    """Rates of every sport that was filmed; a moment counts where somebody counted it at all in that match."""
    counted: dict[tuple[str, str], list[int]] = {}
    ours: dict[tuple[str, str], float] = {}
    for match in matches:
        sport = match.planned.match.sport
        known = {moment.key: moment.rate_per_match for moment in sport.moments}
        for moment in {count.moment for count in match.counts} & set(known):
            key = (sport.key, moment)
            counted.setdefault(key, []).append(_times_happened(match, moment))
            ours[key] = known[moment]
    rates: dict[str, dict[str, Learned]] = {}
    for (sport_key, moment), times in sorted(counted.items()):
        if ours[sport_key, moment] > 0:
            rates.setdefault(sport_key, {})[moment] = learned_rate(ours[sport_key, moment], times)
    return rates


def _times_happened(match: FilmedMatch, moment: str) -> int:
    """How often a moment happened: the most that any one camera counted."""
    by_camera: dict[str, int] = {}
    for count in match.counts:
        if count.moment == moment:
            by_camera[count.camera] = by_camera.get(count.camera, 0) + count.happened
    return max(by_camera.values(), default=0)


def learned_rate(ours: float, times: Sequence[int]) -> Learned:
    """Rate per match from counts of some matches: our own rate is worth PRIOR_MATCHES of them.

    >>> learned_rate(2.0, [4, 4, 4, 4, 4]).after
    3.0
    """
    shape, matches = ours * PRIOR_MATCHES + sum(times), PRIOR_MATCHES + len(times)
    low, high = rate_interval(shape, matches, level=OVERWHELMING)
    return Learned(
        before=ours,
        before_interval=rate_interval(ours * PRIOR_MATCHES, PRIOR_MATCHES),
        after=shape / matches,
        after_interval=rate_interval(shape, matches),
        is_used=len(times) >= ENOUGH_MATCHES or not low <= ours <= high,
    )
