"""The first bound: prices found on a sample of the rows, then one reading of all of them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np

from standmark.optimizer.search.descent import Effort, Prices
from standmark.optimizer.search.dual import Bound, minimize_bound, open_sets, read_all, without_hopeless
from standmark.optimizer.search.incumbent import Placed, confirmed, exchange, greedy, value_of
from standmark.optimizer.search.kernel import gains_of_sets
from standmark.optimizer.search.limits import allowed_sets, floors_met
from standmark.optimizer.search.model import Model, submodel
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.slot import Domain, top, with_rows

SAMPLE_ROWS = 1_000  # at most, and no more than make so many figures:
SAMPLE_VALUES = 4_000_000
WIDE_ROWS = 4_000  # of a second sample, read once before all rows are
LEAST_PER_SLOT = 100
ROUNDS = (3, 5)  # of column generation, a search for better sets after each
CORE_SETS = 1_000  # sets of often picked rows that are tried
CORE_TRIES = 50  # of them looked at for the floors
STEPS = Effort(n_steps=30, n_rounds=0, n_new=24, length=0.4)  # its rounds are given by `ROUNDS`
SAMPLE_STEPS = Effort(n_steps=40, n_rounds=4, n_new=16)
TOP_ROWS = 100  # rows for each camera that exchanges try after the first reading of all rows
START = np.float32(0.8)  # first prices, as a share of what a good set reaches
SEED = 20_260_701


@dataclass(frozen=True, eq=False)
class Begun:
    """A good set and prices that are known already."""

    placed: Placed
    prices: Prices


def first_bound(
    model: Model,
    domain: Domain,
    *,
    best: float,
    tolerance: float,
    ceiling: float = np.inf,
    rounds: tuple[int, ...] = ROUNDS,
    start: Begun | None = None,
) -> tuple[Placed | None, Bound]:
    """Bound all sets, and find a good one on the way.

    Parameters
    ----------
    best : value of the best set known so far, -inf for none
    tolerance : share of its value by which the best set may fall short of the bound
    ceiling : rows stay that a set above this value can hold, however good the sets are that are met
    rounds : of column generation, a search for better sets after each
    start : to go on from; the sample is spared

    Returns
    -------
    the best set met; the bound, with the rows that a better set can hold
    """

    def goal_with(placed: Placed | None) -> float:
        return min(ceiling, goal_above(max(best, confirmed(model, domain.caps, placed)), tolerance))

    if domain.n_cameras == 1:
        placed, bound = _bound_of_one(model, domain)
        return placed, without_hopeless(model, bound, goal_with(placed))
    zero = np.zeros(model.quality.shape[1], np.float32)
    near = np.zeros(0, np.intp)
    is_sampled = domain.n_rows > 2 * _sample_rows(model)
    if start is not None:
        placed, prices = start.placed, start.prices
    elif is_sampled:
        placed, prices, near = _from_sample(model, domain, best, tolerance)
        if domain.n_rows > 2 * WIDE_ROWS:
            prices, near = _widened(model, domain, prices, near, goal_with(placed))
    else:
        placed = _improved(model, domain, None)
        prices = _prices_under(model, placed)
    bound = read_all(model, domain, prices)
    if is_sampled or start is not None:
        placed = _improved(model, _restrict(bound.domain, np.union1d(near, _top_rows(bound))), placed)
    known, active = bound, near
    for turn, n_rounds in enumerate(rounds):
        goal = goal_with(placed)
        bound = minimize_bound(
            model,
            known.domain,
            known.prices,
            level=zero,
            goal=goal,
            effort=replace(STEPS, n_rounds=n_rounds),
            active=active,
            known=without_hopeless(model, known, goal),
        )
        if bound.value <= goal or open_sets(bound, goal, most_sets=CORE_SETS) is not None:
            break
        if turn == 0:
            placed = _from_core(model, bound, placed)
        known, active = bound, bound.active
    return placed, without_hopeless(model, bound, goal_with(placed))


def _bound_of_one(model: Model, domain: Domain) -> tuple[Placed | None, Bound]:
    """Read every row once: without prices the bound of one camera is the value of its best row."""
    bound = read_all(model, domain, _prices_under(model, None))
    row = int(bound.domain.slots[0].rows[bound.rho[0].argmax()])
    return (greedy(model, domain) if len(model.floor_need) else Placed((row,), bound.value)), bound


def _from_core(model: Model, bound: Bound, placed: Placed | None) -> Placed | None:
    """Try all sets of the rows that the steps picked most often, then exchange the best of them among all rows."""
    sets = _core_sets(bound)
    sets = sets[allowed_sets(model, sets, bound.domain.caps)]
    options = [] if placed is None else [placed]
    if len(sets):
        level = np.zeros(model.quality.shape[1], np.float32)
        order = np.argsort(-gains_of_sets(model.quality, level, model.weight, sets)[0], kind="stable")
        fit = order[floors_met(model, sets[order[:CORE_TRIES]])[: order.size].nonzero()[0]] if order.size else order
        if fit.size:
            members = tuple(sets[fit[0]].tolist())
            options.append(exchange(model, bound.domain, Placed(members, value_of(model, members)), bound))
    return max(options, key=lambda item: item.worth, default=None)


def _core_sets(bound: Bound) -> Rows:
    """Every set of a few rows of each slot, picked most often; as few rows as give at most `CORE_SETS` sets."""
    frequency = dict(zip(bound.active.tolist(), bound.frequency.tolist(), strict=True))
    ranked = [sorted(slot.rows.tolist(), key=lambda row: -frequency.get(row, 0.0)) for slot in bound.domain.slots]
    size = 1
    counts = [slot.count for slot in bound.domain.slots]
    while size < max(map(len, ranked)):
        n_sets = math.prod(math.comb(min(size + 1, len(own)), c) for own, c in zip(ranked, counts, strict=True))
        if n_sets > CORE_SETS:
            break
        size += 1
    sets = product(*(combinations(sorted(own[:size]), c) for own, c in zip(ranked, counts, strict=True)))
    return np.array([[row for part in one for row in part] for one in sets], dtype=np.intp).reshape(-1, sum(counts))


def goal_above(value: float, tolerance: float) -> float:
    """Value that a set must exceed to be of interest; without an incumbent, anything from 0 up is."""
    return -1e-9 if value == -np.inf else value + tolerance * abs(value)


def _prices_under(model: Model, placed: Placed | None) -> Prices:
    u = np.zeros(model.quality.shape[1], np.float32)
    if placed is not None:
        u = START * model.quality[list(placed.rows)].max(axis=0)
    return Prices(u, np.zeros(len(model.floor_need)))


def _from_sample(model: Model, domain: Domain, best: float, tolerance: float) -> tuple[Placed | None, Prices, Rows]:
    rows = _sample(domain, _sample_rows(model))
    coarse = submodel(model, rows)
    own = _positions(domain, rows)
    placed = greedy(coarse, own)
    prices = _prices_under(coarse, placed)
    goal = goal_above(max(best, confirmed(coarse, own.caps, placed)), tolerance)
    zero = np.zeros_like(prices.target)
    bound = minimize_bound(coarse, own, prices, level=zero, goal=goal, effort=SAMPLE_STEPS)
    if placed is not None:
        placed = _improved(coarse, _restrict(own, np.union1d(bound.active, placed.rows)), placed)
        placed = placed and replace(placed, rows=tuple(rows[list(placed.rows)].tolist()))
    return placed, bound.prices, rows[bound.active]


def _improved(model: Model, domain: Domain, placed: Placed | None) -> Placed | None:
    """Take the better of a set exchanged further and a new greedy one, on few rows."""
    options = [] if placed is None else [exchange(model, domain, placed)]
    if not domain.is_empty:
        fresh = greedy(model, domain)
        if fresh is not None:
            options.append(exchange(model, domain, fresh))
    return max(options, key=lambda item: item.worth, default=None)


def _widened(model: Model, domain: Domain, prices: Prices, near: Rows, goal: float) -> tuple[Prices, Rows]:
    """Prices that hold for more than the few rows they were found on: the dearest of a wider sample join these."""
    seen = read_all(model, _restrict(domain, np.union1d(_sample(domain, WIDE_ROWS), near)), prices)
    dearest = [
        slot.rows[top(rho, slot.count + STEPS.n_new)] for slot, rho in zip(seen.domain.slots, seen.rho, strict=True)
    ]
    rows = np.unique(np.concatenate([near, *dearest]))
    level = np.zeros_like(prices.target)
    few, own, active = submodel(model, rows), _positions(domain, rows), np.arange(rows.size)
    bound = minimize_bound(few, own, prices, level=level, goal=goal, effort=replace(STEPS, n_new=0), active=active)
    return bound.prices, rows


def _sample_rows(model: Model) -> int:
    return min(SAMPLE_ROWS, SAMPLE_VALUES // max(int(model.quality.shape[1]), 1))


def _sample(domain: Domain, n_rows: int) -> Rows:
    total = domain.n_rows
    generator = np.random.default_rng(SEED)
    picked = []
    for slot in domain.slots:
        wanted = max(LEAST_PER_SLOT, n_rows * slot.rows.size // total)
        picked.append(generator.permutation(slot.rows)[:wanted])
    return np.unique(np.concatenate(picked))


def _positions(domain: Domain, rows: Rows) -> Domain:
    """Express a domain in positions among some sorted rows; rows outside are left out."""
    return with_rows(domain, [np.flatnonzero(np.isin(rows, slot.rows)) for slot in domain.slots])


def _restrict(domain: Domain, rows: Rows) -> Domain:
    return with_rows(domain, [slot.rows[np.isin(slot.rows, rows)] for slot in domain.slots])


def _top_rows(bound: Bound) -> Rows:
    """Rows of greatest rho, `TOP_ROWS` for each camera of all slots."""
    n_rows = TOP_ROWS * bound.domain.n_cameras
    dear = [
        slot.rows[np.argsort(-values, kind="stable")[:n_rows]]
        for slot, values in zip(bound.domain.slots, bound.rho, strict=True)
    ]
    return np.unique(np.concatenate(dear))
