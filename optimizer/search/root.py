"""The first bound: prices found on a sample of the rows, then one reading of all of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.descent import Prices
from standmark.optimizer.search.dual import Bound, tighten, without_hopeless
from standmark.optimizer.search.incumbent import Placed, confirmed, exchange, greedy
from standmark.optimizer.search.model import Model, submodel
from standmark.optimizer.search.slot import Slot

Rows = NDArray[np.intp]

SAMPLE_ROWS = 1_000
LEAST_PER_SLOT = 100
START = np.float32(0.8)  # first prices, as a share of what a good set reaches
SEED = 20_260_701


def first_bound(
    model: Model, slots: tuple[Slot, ...], caps: tuple[int, ...], *, best: float, tolerance: float
) -> tuple[Placed | None, Bound]:
    """Bound all sets, and find a good one on the way.

    Parameters
    ----------
    best : value of the best set known so far, -inf for none
    tolerance : share of its value by which the best set may fall short of the bound

    Returns
    -------
    the best set met; the bound, with the rows that a better set can hold
    """
    zero = np.zeros(model.quality.shape[1], np.float32)
    near = np.zeros(0, np.intp)
    if sum(slot.rows.size for slot in slots) > 2 * SAMPLE_ROWS:
        placed, prices, near = _from_sample(model, slots, caps, best, tolerance)
    else:
        placed = _improved(model, slots, caps, None)
        prices = _prices_under(model, placed)
    bound = tighten(model, slots, caps, prices, level=zero, goal=-np.inf, n_steps=0, n_rounds=0, n_new=0)
    n_top = 100 * sum(slot.count for slot in slots)
    placed = _improved(model, _restrict(bound.slots, np.union1d(near, _top_rows(bound, n_top))), caps, placed)
    goal = goal_above(max(best, confirmed(model, caps, placed)), tolerance)
    bound = tighten(
        model,
        bound.slots,
        caps,
        bound.prices,
        level=zero,
        goal=goal,
        n_steps=40,
        n_rounds=8,
        n_new=24,
        length=0.4,
        active=near,
        known=without_hopeless(model, bound, caps, goal),
    )
    return _improved(model, bound.slots, caps, placed), bound


def goal_above(value: float, tolerance: float) -> float:
    """Value that a set must exceed to be of interest; without an incumbent, anything from 0 up is."""
    return -1e-9 if value == -np.inf else value + tolerance * abs(value)


def _prices_under(model: Model, placed: Placed | None) -> Prices:
    u = np.zeros(model.quality.shape[1], np.float32)
    if placed is not None:
        u = START * model.quality[list(placed.rows)].max(axis=0)
    return Prices(u, np.zeros(len(model.floor_need)))


def _from_sample(
    model: Model, slots: tuple[Slot, ...], caps: tuple[int, ...], best: float, tolerance: float
) -> tuple[Placed | None, Prices, Rows]:
    rows = _sample(slots)
    coarse = submodel(model, rows)
    own = _positions(slots, rows)
    placed = greedy(coarse, own, caps)
    prices = _prices_under(coarse, placed)
    goal = goal_above(max(best, confirmed(coarse, caps, placed)), tolerance)
    zero = np.zeros_like(prices.target)
    bound = tighten(coarse, own, caps, prices, level=zero, goal=goal, n_steps=40, n_rounds=4, n_new=16)
    if placed is not None:
        placed = _improved(coarse, _restrict(own, np.union1d(bound.active, placed.rows)), caps, placed)
        placed = placed and replace(placed, rows=tuple(rows[list(placed.rows)].tolist()))
    return placed, bound.prices, rows[bound.active]


def _improved(model: Model, slots: tuple[Slot, ...], caps: tuple[int, ...], placed: Placed | None) -> Placed | None:
    """Take the better of a set exchanged further and a new greedy one, on few rows."""
    found = [] if placed is None else [exchange(model, slots, caps, placed)]
    if all(slot.rows.size >= slot.count for slot in slots):
        fresh = greedy(model, slots, caps)
        if fresh is not None:
            found.append(exchange(model, slots, caps, fresh))
    return max(found, key=lambda item: item.worth, default=None)


def _sample(slots: tuple[Slot, ...]) -> Rows:
    total = sum(slot.rows.size for slot in slots)
    generator = np.random.default_rng(SEED)
    picked = []
    for slot in slots:
        wanted = max(LEAST_PER_SLOT, SAMPLE_ROWS * slot.rows.size // total)
        picked.append(generator.permutation(slot.rows)[:wanted])
    return np.unique(np.concatenate(picked))


def _positions(slots: tuple[Slot, ...], rows: Rows) -> tuple[Slot, ...]:
    """Express slots in positions among some sorted rows; rows outside are left out."""
    return tuple(replace(slot, rows=np.flatnonzero(np.isin(rows, slot.rows))) for slot in slots)


def _restrict(slots: tuple[Slot, ...], rows: Rows) -> tuple[Slot, ...]:
    return tuple(replace(slot, rows=slot.rows[np.isin(slot.rows, rows)]) for slot in slots)


def _top_rows(bound: Bound, n_rows: int) -> Rows:
    found = [np.zeros(0, np.intp)]
    for slot, values in zip(bound.slots, bound.rho, strict=True):
        found.append(slot.rows[np.argsort(-values, kind="stable")[:n_rows]])
    return np.unique(np.concatenate(found))
