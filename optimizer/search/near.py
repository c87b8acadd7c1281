"""Sets nearly as good as the best, so that a second wish can choose among them."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.search.clash import clash, clashes_of
from standmark.optimizer.search.descent import Prices
from standmark.optimizer.search.dual import Bound, open_sets, read_all, without_hopeless
from standmark.optimizer.search.exact import full_domain
from standmark.optimizer.search.incumbent import value_of
from standmark.optimizer.search.kernel import gains_of_sets, gains_within
from standmark.optimizer.search.limits import allowed_sets, floors_met, within_caps
from standmark.optimizer.search.model import Kind, Model, binding_floors, kinds_of, model_of
from standmark.optimizer.search.problem import Certificate, Rows, SearchProblem, SearchResult
from standmark.optimizer.search.slot import with_rows

Score = Callable[[Rows], Floats]
MostScore = Callable[[Rows, Floats], Floats]

ROUNDING_SLACK = 1e-9  # of all weight: a set this little outside still counts as near
MOST_LISTED = 1_000_000  # pairs whose bounds are looked at: beyond it those nearest the best
BLOCK = 64  # rows at a time, each held against all others
LOOKED_AT = 4_096  # pairs at a time whose values are bounded more closely, and worked out
SCORED = 256  # the same for scores, which take longer
FEW_TARGETS = 8  # one target in so many, those that tell rows apart, is summed before all are
SPREAD_ROWS = 48  # rows that say which targets these are
NARROWED = 0.7  # share of what may be given up that is tried next where the pairs are too many to list


@dataclass(frozen=True, eq=False)
class Near:
    """The rows that sets near the best can hold, as a problem of their own."""

    problem: SearchProblem
    rows: Rows  # ascending: row i of the problem is row rows[i] of the whole one

    def inside(self, chosen: tuple[int, ...]) -> tuple[int, ...]:
        """Return rows of the whole problem as rows of this one, which has them."""
        return tuple(np.searchsorted(self.rows, chosen).tolist())

    def outside(self, chosen: tuple[int, ...]) -> tuple[int, ...]:
        """Return rows of this problem as rows of the whole one."""
        return tuple(self.rows[list(chosen)].tolist())


@dataclass(frozen=True, eq=False)
class BestPair:
    """The pair of highest score, and how many were looked at."""

    rows: tuple[int, ...]  # row of each camera
    value: float
    score: float
    n_valued: int
    is_complete: bool  # no pair near the best scores more


def near_problem(problem: SearchProblem, result: SearchResult, *, within: float) -> Near:
    """Leave out the rows that are in no allowed set worth at most `within` less than a result, by its certificate.

    Raises
    ------
    ValueError
        where the result has no rows
    """
    if not result.rows:
        raise ValueError(f"result: status {result.status!r} without rows; near sets need one to start from")
    model, kinds = model_of(problem), kinds_of(problem.rows_by_camera)
    least = (result.value - within) / model.scale
    bound = _near_bound(problem, model, kinds, result.certificate, least - ROUNDING_SLACK)
    own = {camera: slot.rows for kind, slot in zip(kinds, bound.domain.slots, strict=True) for camera in kind.cameras}
    rows = bound.domain.rows
    inside = {id(kept): np.searchsorted(rows, kept) for kept in own.values()}
    kept = replace(
        problem,
        quality=problem.quality[rows],
        rows_by_camera=tuple(inside[id(own[camera])] for camera in range(len(own))),
        xy_m=None if problem.xy_m is None else problem.xy_m[rows],
        group=None if problem.group is None else problem.group[rows],
        clashes=None if problem.clashes is None else clashes_of(problem.clashes, rows),
        period_mask=None if problem.period_mask is None else problem.period_mask[rows],
    )
    return Near(kept, rows)


def best_pair(
    problem: SearchProblem,
    certificate: Certificate,
    start: tuple[int, ...],
    *,
    least: float,
    score: Score,
    most_score: MostScore,
    most_valued: int,
    time_limit_s: float | None = None,
) -> BestPair:
    """Choose rows for two cameras by a score, among all allowed pairs that are worth enough.

    Pairs are taken in the order of what they can score at most, and those that few targets do not rule out are valued,
    so that few are and fewer are scored.

    Parameters
    ----------
    certificate : bounds the value of every pair
    start : a pair that is worth enough
    least : value that a pair must have
    score : takes pairs of rows of shape (n, 2), one column for each camera, and returns what to rank them by, shape
        (n,); ties go to the higher value, then to the lower rows
    most_score : takes pairs, either row first, and the most that they may be worth, shape (n,), and returns what they
        score at most
    most_valued, time_limit_s : stop after so many pairs, or about so long
    """
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    model, kinds = model_of(problem), kinds_of(problem.rows_by_camera)
    scaled = least / model.scale - ROUNDING_SLACK
    first = np.array([start], np.intp)
    best = BestPair(start, value_of(model, start) * model.scale, float(score(first)[0]), 0, is_complete=False)
    bound = _near_bound(problem, model, kinds, certificate, scaled)
    rho = _rho_of_rows(model, bound)
    pairs, most_worth, is_complete = _pairs_near(model, bound, scaled, rho)
    closer = _closer_bound(model, bound, rho)
    most = most_score(pairs, most_worth * model.scale)
    hopeful = np.flatnonzero(most >= best.score)
    order = hopeful[np.argsort(-most[hopeful])]
    for begin in range(0, len(order), LOOKED_AT):
        some = order[begin : begin + LOOKED_AT]
        some = some[most[some] >= best.score]
        if not len(some):
            break
        if best.n_valued >= most_valued or time.monotonic() > deadline:
            is_complete = False
            break
        few = pairs[some]
        at_most = closer(few)
        few = few[(at_most >= scaled) & (most_score(few, at_most * model.scale) >= best.score)]
        few = few[allowed_sets(model, few, bound.domain.caps)]
        worth = _worths(model, few, scaled)
        best = replace(best, n_valued=best.n_valued + len(few))
        few, worth = _by_camera(kinds, bound, few[worth >= scaled]), worth[worth >= scaled]
        best = _better(best, few, worth * model.scale, score=score, most_score=most_score)
    return replace(best, is_complete=is_complete)


def _near_bound(
    problem: SearchProblem, model: Model, kinds: tuple[Kind, ...], certificate: Certificate, least: float
) -> Bound:
    """Bound at the prices of a certificate, with the rows that a set worth at least so much can hold."""
    domain = full_domain(model, kinds)
    domain = with_rows(domain, [within_caps(model, model.caps, slot.rows) for slot in domain.slots])
    prices = Prices(certificate.target_price, certificate.floor_price[binding_floors(problem)])
    return without_hopeless(model, read_all(model, domain, prices), least)


def _pairs_near(model: Model, bound: Bound, least: float, rho: Floats) -> tuple[Rows, Floats, bool]:
    """Pairs that may be worth so much, in the order of the slots, the most that each may be, and if these are all.

    Pairs that clash are left out; others that are not allowed may be among them.
    """
    goal, sets = least, _listed(model, bound, least)
    while sets is None:
        goal = bound.value - NARROWED * (bound.value - goal)
        sets = _listed(model, bound, goal)
    return sets, bound.base + rho[sets].sum(axis=1) + 2 * bound.error, goal == least


def _listed(model: Model, bound: Bound, goal: float) -> Rows | None:
    """Pairs that may exceed a goal and do not clash, None if they are too many."""
    if model.clashes is None:
        return open_sets(bound, goal, most_sets=MOST_LISTED)
    first, second = bound.domain.slots[0].rows, bound.domain.slots[-1].rows
    least, n_listed, parts = goal - bound.base - 2 * bound.error, 0, [np.zeros((0, 2), np.intp)]
    for start in range(0, first.size, BLOCK):
        some = first[start : start + BLOCK]
        is_open = bound.rho[0][start : start + BLOCK, None] + bound.rho[-1] > least
        if len(bound.domain.slots) == 1:
            is_open &= some[:, None] < second
        is_open &= ~clash(model.clashes, some[:, None], second)
        one, other = np.nonzero(is_open)
        parts.append(np.column_stack([some[one], second[other]]))
        n_listed += one.size
        if n_listed > MOST_LISTED:
            return None
    return np.concatenate(parts)


def _by_camera(kinds: tuple[Kind, ...], bound: Bound, pairs: Rows) -> Rows:
    """Pairs in the order of the slots with one column for each camera; cameras alike take their rows ascending."""
    cameras = [camera for slot in bound.domain.slots for camera in kinds[slot.kind].cameras]
    columns = np.empty_like(pairs)
    columns[:, cameras] = np.sort(pairs, axis=1) if len(kinds) == 1 else pairs
    return columns


def _rho_of_rows(model: Model, bound: Bound) -> Floats:
    """What each row adds above the prices, 0 for rows that are left out."""
    rho = np.zeros(len(model.quality))
    for slot, values in zip(bound.domain.slots, bound.rho, strict=True):
        rho[slot.rows] = values
    return rho


def _closer_bound(model: Model, bound: Bound, rho: Floats) -> Callable[[Rows], Floats]:
    """Ready a bound on the value of pairs: summed over a few targets, and at the prices over all others."""
    spread = model.weight * model.quality[:: -(-len(model.quality) // SPREAD_ROWS)].std(axis=0)
    few = np.sort(np.argsort(-spread, kind="stable")[: -(-spread.size // FEW_TARGETS)])
    quality, weight, prices = np.ascontiguousarray(model.quality[:, few]), model.weight[few], bound.prices.target[few]
    own, own_error = gains_within(quality, prices, weight)
    rest = rho - own
    base = bound.base - float(weight @ prices.astype(np.float64))

    def most(pairs: Rows) -> Floats:
        summed, error = gains_of_sets(quality, np.zeros_like(prices), weight, pairs)
        summed += rest[pairs].sum(axis=1) + (base + error + 2 * (bound.error + own_error))
        return summed

    return most


def _worths(model: Model, pairs: Rows, least: float) -> Floats:
    """Value of pairs, in float64 where single precision is in doubt; -inf where floors are not met."""
    level = np.zeros(model.weight.size, np.float32)
    worth, error = gains_of_sets(model.quality, level, model.weight, pairs)
    for index in np.flatnonzero(np.abs(worth - least) <= error):
        worth[index] = value_of(model, pairs[index].tolist())
    worth[~floors_met(model, pairs)] = -np.inf
    return worth


def _better(best: BestPair, pairs: Rows, values: Floats, *, score: Score, most_score: MostScore) -> BestPair:
    """Score pairs, the most promising first, and keep the best."""
    most = most_score(pairs, values)
    order = np.argsort(-most, kind="stable")
    for begin in range(0, len(order), SCORED):
        some = order[begin : begin + SCORED]
        some = some[most[some] >= best.score]
        if not len(some):
            break
        for value, points, rows in zip(values[some], score(pairs[some]), pairs[some].tolist(), strict=True):
            if (points, value, [-row for row in rows]) > (best.score, best.value, [-row for row in best.rows]):
                best = replace(best, rows=tuple(rows), value=float(value), score=float(points))
    return best
