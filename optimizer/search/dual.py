"""The Lagrangian bound, and the prices that make it small.

For prices u in [0, 1] on the targets, max over s in S of q[s, t] <= u[t] + sum over s in S of (q[s, t] - u[t])+, so

    value(S) <= w.u + sum over s in S of rho_s(u),     rho_s(u) = sum_t w[t] (q[s, t] - u[t])+,

and the best value is at most w.u plus the greatest total of rho over rows that the cameras may take together.
A floor g_c(S) >= F_c joins with a price p_c >= 0: the same bound with weights w + sum_c p_c w_c, less sum_c p_c F_c.
The bound is convex in the prices; deflected subgradient steps with Polyak's length bring it down (Held, Wolfe and
Crowder, Validation of subgradient optimization, Mathematical Programming 6, 1974; Camerini, Fratta and Maffioli, On
improving relaxation methods by modified gradient techniques, Mathematical Programming Study 3, 1975).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.kernel import ROUNDING, exact_gains, gains
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.slot import Choice, Slot, choose, top

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Rows = NDArray[np.intp]

DEFLECTION = 0.7  # share of the last direction kept in the next
PATIENCE = 4  # steps without gain before the length shrinks
SHRINK = 0.6
SHORTEST = 0.02  # length, as a share of Polyak's, at which the steps stop
CLOSE_ENOUGH = 0.03  # share of the gap that rows outside the active ones may add when the rounds stop
AIM_BELOW = 1e-7  # how far under the goal the steps aim, so that the float64 sum meets it too
MEMORY = 0.94  # how much of a row's frequency outlasts one step


@dataclass(frozen=True, eq=False)
class Prices:
    """Multipliers: any values in range give a valid bound."""

    target: Singles  # shape (n_targets,), in [0, 1]
    floor: Floats  # shape (n_floors,), >= 0


@dataclass(frozen=True, eq=False)
class Bound:
    """The bound of one node at its best prices."""

    value: float  # no allowed set of the node is worth more; holds to float64 rounding
    prices: Prices
    slots: tuple[Slot, ...]  # rows that can still be part of a set above the goal
    rho: tuple[Floats, ...]  # for each slot, what its rows add above the prices
    base: float  # the bound without its rows
    error: float  # most that one rho is off
    active: Rows  # rows that the steps looked at
    frequency: Floats  # shape (n_active,), how often the steps picked them, fading


@dataclass(frozen=True, eq=False)
class _Reading:
    base: float
    rho: tuple[Floats, ...]
    error: float
    choice: Choice
    value: float  # base + choice.total, as read


def weight_at(model: Model, floor_price: Floats) -> Floats:
    """Weights of the targets with the floors' prices in them."""
    return model.weight if not floor_price.size else model.weight + floor_price @ model.floor_weight


def base_at(model: Model, prices: Prices) -> float:
    """Sum the part of the bound that no row changes."""
    weight = weight_at(model, prices.floor)
    return float(weight @ prices.target.astype(np.float64)) - float(prices.floor @ model.floor_need)


def tighten(
    model: Model,
    slots: tuple[Slot, ...],
    caps: tuple[int, ...],
    prices: Prices,
    *,
    level: Singles,
    goal: float,
    n_steps: int,
    n_rounds: int,
    n_new: int,
    length: float = 0.5,
    active: Rows | None = None,
    known: Bound | None = None,
) -> Bound:
    """Bring the bound of a node down and drop rows that no set above the goal can hold.

    Rounds of subgradient steps on a few active rows alternate with readings of all rows; rows of greatest rho join
    the active ones (column generation).

    Parameters
    ----------
    level : shape (n_targets,), quality that every set of the node reaches; prices stay at or above it
    goal : value that the bound has to sink to
    n_steps, n_rounds : most steps in a round, most rounds
    n_new : rows of each slot that join the active ones after a reading
    length : first step as a share of Polyak's
    active : rows to start the steps with; None begins with a reading
    known : bound already read for these slots, to go on from
    """
    best = known
    reached = -np.inf
    aim = goal - AIM_BELOW * abs(goal)
    frequency = np.zeros(model.quality.shape[0])
    is_active = np.zeros(model.quality.shape[0], dtype=np.bool_)
    if active is not None:
        is_active[active] = True
    if known is not None:
        slots, prices = known.slots, known.prices
        _activate(model, is_active, slots, known.rho, n_new=n_new, caps=caps)
    if is_active.any():
        prices, reached = _descend(
            model, slots, caps, prices, is_active, frequency, level=level, goal=aim, n_steps=n_steps, length=length
        )
    for turn in range(n_rounds + 1):
        reading = _read(model, slots, caps, prices)
        if best is None or reading.value < best.value:
            best = _as_bound(reading, prices, slots)
        slots, rho = _without_hopeless(slots, reading, goal)
        best = _restricted(best, slots)
        if best.value <= aim or turn == n_rounds or any(slot.rows.size < slot.count for slot in slots):
            break
        if np.isfinite(reached) and reading.value - reached <= CLOSE_ENOUGH * (reading.value - goal):
            break
        _activate(model, is_active, slots, rho, n_new=n_new, caps=caps)
        start = best.prices if turn > 1 else prices
        prices, reached = _descend(
            model, slots, caps, start, is_active, frequency, level=level, goal=aim, n_steps=n_steps, length=length
        )
        length = max(0.15, 0.5 * length)
    assert best is not None
    seen = np.flatnonzero(is_active)
    return replace(best, value=_certified(model, best, caps), active=seen, frequency=frequency[seen])


def without_hopeless(model: Model, bound: Bound, caps: tuple[int, ...], goal: float) -> Bound:
    """Drop the rows that no set above a goal can hold, by the figures already read (reduced-cost fixing)."""
    choice = choose(bound.slots, list(bound.rho), model.group, caps)
    reading = _Reading(bound.base, bound.rho, bound.error, choice, bound.base + choice.total)
    slots, rho = _without_hopeless(bound.slots, reading, goal)
    return replace(bound, slots=slots, rho=rho)


def _read(model: Model, slots: tuple[Slot, ...], caps: tuple[int, ...], prices: Prices) -> _Reading:
    weight = weight_at(model, prices.floor)
    union = _union(slots)
    everything = union.size == model.quality.shape[0]
    read = gains(model.quality, prices.target, weight, None if everything else union)
    rho = tuple(read if len(slots) == 1 else read[np.searchsorted(union, slot.rows)] for slot in slots)
    choice = choose(slots, list(rho), model.group, caps)
    base = base_at(model, prices)
    return _Reading(base, rho, ROUNDING * float(read.max(initial=0.0)), choice, base + choice.total)


def _descend(
    model: Model,
    slots: tuple[Slot, ...],
    caps: tuple[int, ...],
    prices: Prices,
    is_active: NDArray[np.bool_],
    frequency: Floats,
    *,
    level: Singles,
    goal: float,
    n_steps: int,
    length: float,
) -> tuple[Prices, float]:
    """Subgradient steps on the active rows; returns the best prices and the bound they give on those rows."""
    rows, few = _active_slots(slots, is_active)
    quality = model.quality[rows]
    u, p = prices.target, prices.floor
    best, best_value = prices, np.inf
    drift: Singles = np.zeros_like(u)
    floor_drift = np.zeros_like(p)
    stalled = 0
    weight = weight_at(model, p)
    single = weight.astype(np.float32)
    floor_scale = 1.0 / np.maximum(model.floor_weight.sum(axis=1), 1e-12)
    for _step in range(n_steps):
        base = float(single @ u) - float(p @ model.floor_need)
        rho = gains(quality, u, weight)
        choice = choose(few, [rho[slot.rows] for slot in few], model.group[rows], caps)
        value = base + choice.total
        picked = np.concatenate([slot.rows[pick] for slot, pick in zip(few, choice.picks, strict=True)])
        stalled = 0 if value < best_value - 3e-5 * abs(value - goal) else stalled + 1
        if value < best_value:
            best, best_value = Prices(u, p), value
        if best_value <= goal or not np.isfinite(value):
            break
        if stalled >= PATIENCE:
            length, stalled = SHRINK * length, 0
        if length < SHORTEST:
            break
        frequency *= MEMORY
        frequency[rows[picked]] += 1 - MEMORY
        above = quality[picked] > u
        drift = 1 - _count(above) + np.float32(DEFLECTION) * drift
        norm = float(single @ (drift * drift))
        if p.size:
            reach = np.maximum(quality[picked] - u, 0).sum(axis=0) + u
            floor_drift = model.floor_weight @ reach - model.floor_need + DEFLECTION * floor_drift
            norm += float(floor_scale @ (floor_drift * floor_drift))
        if norm <= 0:
            break
        stride = length * (value - goal) / norm
        u = np.minimum(np.maximum(u - np.float32(stride) * drift, level), 1)
        if p.size:
            p = np.maximum(p - stride * floor_scale * floor_drift, 0)
            weight = weight_at(model, p)
            single = weight.astype(np.float32)
    return best, best_value


def _count(above: NDArray[np.bool_]) -> Singles:
    counts: Singles = above[0].astype(np.float32)
    for line in above[1:]:
        counts += line
    return counts


def _active_slots(slots: tuple[Slot, ...], is_active: NDArray[np.bool_]) -> tuple[Rows, tuple[Slot, ...]]:
    """Rows of the slots that are active, and the slots with their rows as positions among them."""
    open_rows = _union(slots)
    rows = open_rows[is_active[open_rows]]
    few = []
    for slot in slots:
        own = slot.rows[is_active[slot.rows]]
        few.append(replace(slot, rows=np.searchsorted(rows, own)))
    return rows, tuple(few)


def _activate(
    model: Model,
    is_active: NDArray[np.bool_],
    slots: tuple[Slot, ...],
    rho: tuple[Floats, ...],
    *,
    n_new: int,
    caps: tuple[int, ...],
) -> None:
    for slot, values in zip(slots, rho, strict=True):
        is_active[slot.rows[top(values, slot.count + n_new)]] = True
        if len(caps) > 1:
            is_active[slot.rows[_near_top(model, slot, values, caps, 0.0)]] = True


def _without_hopeless(
    slots: tuple[Slot, ...], reading: _Reading, goal: float
) -> tuple[tuple[Slot, ...], tuple[Floats, ...]]:
    """Reduced-cost fixing: a row stays if some choice that holds it may exceed the goal."""
    n_cameras = sum(slot.count for slot in slots)
    least = goal - reading.base - n_cameras * reading.error
    kept_slots, kept_rho = [], []
    for slot, values, others in zip(slots, reading.rho, reading.choice.others, strict=True):
        keep = others + values > least
        kept_slots.append(slot if keep.all() else replace(slot, rows=slot.rows[keep]))
        kept_rho.append(values[keep])
    return tuple(kept_slots), tuple(kept_rho)


def _as_bound(reading: _Reading, prices: Prices, slots: tuple[Slot, ...]) -> Bound:
    none = np.zeros(0)
    return Bound(reading.value, prices, slots, reading.rho, reading.base, reading.error, np.zeros(0, np.intp), none)


def _restricted(bound: Bound, slots: tuple[Slot, ...]) -> Bound:
    rho = tuple(
        values if values.size == slot.rows.size else values[np.searchsorted(before.rows, slot.rows)]
        for before, slot, values in zip(bound.slots, slots, bound.rho, strict=True)
    )
    return replace(bound, slots=slots, rho=rho)


def _certified(model: Model, bound: Bound, caps: tuple[int, ...]) -> float:
    """Sum the bound again in float64, over the rows that may be among the dearest."""
    weight = weight_at(model, bound.prices.floor)
    few, worth = [], []
    for slot, values in zip(bound.slots, bound.rho, strict=True):
        near = _near_top(model, slot, values, caps, 2 * bound.error)
        rows = slot.rows[near]
        few.append(replace(slot, rows=rows))
        worth.append(exact_gains(model.quality, bound.prices.target, weight, rows))
    return bound.base + choose(tuple(few), worth, model.group, caps).total


def _near_top(model: Model, slot: Slot, values: Floats, caps: tuple[int, ...], margin: float) -> Rows:
    groups = model.group[slot.rows] if len(caps) > 1 else np.zeros(values.size, np.intp)
    near = np.zeros(values.size, dtype=np.bool_)
    for group in range(len(caps)):
        own = np.flatnonzero(groups == group)
        if own.size:
            least = values[own[top(values[own], slot.count)]].min()
            near[own[values[own] >= least - margin]] = True
    return np.flatnonzero(near)


def _union(slots: tuple[Slot, ...]) -> Rows:
    if len(slots) == 1:
        return slots[0].rows
    rows: Rows = np.unique(np.concatenate([slot.rows for slot in slots]))
    return rows
