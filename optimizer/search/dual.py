"""The Lagrangian bound, and the prices that make it small.

For prices u in [0, 1] on the targets, max over s in S of q[s, t] <= u[t] + sum over s in S of (q[s, t] - u[t])+, so

    value(S) <= w.u + sum over s in S of rho_s(u),     rho_s(u) = sum_t w[t] (q[s, t] - u[t])+,

and the best value is at most w.u plus the greatest total of rho over rows that the cameras may take together.
A floor g_c(S) >= F_c joins with a price p_c >= 0: the same bound with weights w + sum_c p_c w_c, less sum_c p_c F_c.
The bound is convex in the prices; `descent.py` brings it down on few rows, this file reads all of them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.descent import Prices, base_at, caps_in_bound, descend, weight_at
from standmark.optimizer.search.kernel import exact_gains, gains_within
from standmark.optimizer.search.listing import rows_beyond_overlap, sets_above, sets_beyond_overlap
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.overlap import shared_at_least
from standmark.optimizer.search.slot import Slot, dearest, most_with, top

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Rows = NDArray[np.intp]

NEAR_ROWS, NEAR_SHARE = 150, 10  # rows of greatest rho that are read between rounds: at least, and one in so many
CLOSE_ENOUGH = 0.03  # share of the gap that rows outside the active ones may add when the rounds stop
TIE_SLACK = 2e-6  # rows of sets this little under the goal stay, so that ties can be settled
NEVER = 1e-3  # rows picked less often than this leave the active ones, until their rho brings them back
AIM_BELOW = 1e-7  # how far under the goal the steps aim, so that the float64 sum meets it too


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

    Rounds of subgradient steps on a few active rows alternate with readings of the rows that were dearest, at the end
    of all rows; rows of greatest rho join the active ones (column generation).

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
    best, reached = known, -np.inf
    aim = goal - AIM_BELOW * abs(goal)
    frequency = np.zeros(model.quality.shape[0])
    is_active = np.zeros(model.quality.shape[0], dtype=np.bool_)
    if active is not None:
        is_active[active] = True
    if known is not None:
        slots = known.slots
        _activate(model, is_active, slots, known.rho, n_new=n_new, caps=caps)

    def stepped(start: Prices, length: float) -> tuple[Prices, float]:
        rows, few = _active_slots(slots, is_active)
        done = descend(
            model, rows, few, caps, start, frequency[rows], level=level, goal=aim, n_steps=n_steps, length=length
        )
        frequency[rows] = done.frequency
        return done.prices, done.value

    if is_active.any():
        prices, reached = stepped(prices, length)
    for turn in range(n_rounds + 1):
        near = _nearest(best) if best is not None and turn < n_rounds else None
        if near is not None:
            found = _read(model, near, caps, prices)
            if found.value > goal and found.value - reached > CLOSE_ENOUGH * (found.value - goal):
                is_active &= frequency > NEVER
                _activate(model, is_active, near, found.rho, n_new=n_new, caps=caps)
                prices, reached = stepped(prices, length)
                length = max(0.15, 0.5 * length)
                continue
        found = _read(model, slots, caps, prices)
        if best is None or found.value < best.value:
            best = found
        slots, rho = _hopeful(model, found, caps, goal)
        best = restricted(best, slots)
        if best.value <= aim or turn == n_rounds or any(slot.rows.size < slot.count for slot in slots):
            break
        if np.isfinite(reached) and found.value - reached <= CLOSE_ENOUGH * (found.value - goal):
            break
        is_active &= frequency > NEVER
        _activate(model, is_active, slots, rho, n_new=n_new, caps=caps)
        prices, reached = stepped(best.prices if turn > 1 else prices, length)
        length = max(0.15, 0.5 * length)
    assert best is not None
    seen = np.flatnonzero(is_active)
    return replace(best, value=_certified(model, best, caps), active=seen, frequency=frequency[seen])


def read_all(model: Model, slots: tuple[Slot, ...], caps: tuple[int, ...], prices: Prices) -> Bound:
    """Bound at given prices, by one reading of every row."""
    found = _read(model, slots, caps, prices)
    return replace(found, value=_certified(model, found, caps))


def without_hopeless(model: Model, bound: Bound, caps: tuple[int, ...], goal: float) -> Bound:
    """Drop the rows that no set above a goal can hold, by the figures already read (reduced-cost fixing)."""
    slots, rho = _hopeful(model, bound, caps, goal)
    return replace(bound, slots=slots, rho=rho)


def open_sets(bound: Bound, goal: float, *, most_sets: int) -> Rows | None:
    """List the sets that may exceed a goal by the figures already read; None when they are many."""
    return sets_above(bound.slots, bound.rho, least=_least_rho(bound, goal), most_sets=most_sets)


def beyond_overlap(model: Model, bound: Bound, goal: float, *, most_sets: int) -> tuple[Bound, Rows | None]:
    """Drop rows and list sets by the figures already read, with what rows share counted once.

    Returns
    -------
    the bound with the rows that a set above the goal can hold; the sets, None when too many are met on the way
    """
    union, least = _union(bound.slots), _least_rho(bound, goal)
    shared = shared_at_least(model.quality, bound.prices.target, weight_at(model, bound.prices.floor), union)
    slots = tuple(replace(slot, rows=np.searchsorted(union, slot.rows)) for slot in bound.slots)
    slots, rho = rows_beyond_overlap(slots, bound.rho, shared, least=least)
    if any(slot.rows.size < slot.count for slot in slots):
        sets: Rows | None = np.zeros((0, sum(slot.count for slot in slots)), np.intp)
    else:
        sets = sets_beyond_overlap(slots, rho, shared, least=least, most_sets=most_sets)
    if sets is not None:
        ends = np.cumsum([slot.count for slot in slots])
        slots = tuple(
            replace(slot, rows=np.unique(sets[:, end - slot.count : end]))
            for slot, end in zip(slots, ends, strict=True)
        )
        sets = union[sets]
    slots = tuple(replace(slot, rows=union[slot.rows]) for slot in slots)
    return restricted(bound, slots), sets


def _least_rho(bound: Bound, goal: float) -> float:
    return goal - bound.base - sum(slot.count for slot in bound.slots) * bound.error


def weighed(
    model: Model, slots: tuple[Slot, ...], worth: list[Floats], caps: tuple[int, ...]
) -> tuple[float, tuple[Rows, ...]]:
    """Pick the dearest rows of a model's slots, see `dearest`."""
    return dearest(slots, worth, _groups(model, slots), caps_in_bound(model, caps))


def _groups(model: Model, slots: tuple[Slot, ...]) -> list[Rows]:
    return [model.groups[slot.rows, 0] for slot in slots]


def _read(model: Model, slots: tuple[Slot, ...], caps: tuple[int, ...], prices: Prices) -> Bound:
    weight = weight_at(model, prices.floor)
    union = _union(slots)
    everything = union.size == model.quality.shape[0]
    read, error = gains_within(model.quality, prices.target, weight, None if everything else union)
    rho = tuple(read if len(slots) == 1 else read[np.searchsorted(union, slot.rows)] for slot in slots)
    base = base_at(model, prices)
    total, _picks = weighed(model, slots, list(rho), caps)
    return Bound(base + total, prices, slots, rho, base, error, np.zeros(0, np.intp), np.zeros(0))


def _active_slots(slots: tuple[Slot, ...], is_active: NDArray[np.bool_]) -> tuple[Rows, tuple[Slot, ...]]:
    """Rows of the slots that are active, and the slots with their rows as positions among them."""
    open_rows = _union(slots)
    rows = open_rows[is_active[open_rows]]
    few = []
    for slot in slots:
        own = slot.rows[is_active[slot.rows]]
        few.append(replace(slot, rows=np.searchsorted(rows, own)))
    return rows, tuple(few)


def _nearest(bound: Bound) -> tuple[Slot, ...] | None:
    """Rows of greatest rho, to look among for rows that the steps lack; None where these are most of all rows."""
    near = tuple(
        replace(slot, rows=slot.rows[np.sort(top(values, max(NEAR_ROWS, slot.rows.size // NEAR_SHARE)))])
        for slot, values in zip(bound.slots, bound.rho, strict=True)
    )
    n_near, n_rows = (sum(slot.rows.size for slot in slots) for slots in (near, bound.slots))
    return near if 2 * n_near < n_rows else None


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


def _hopeful(
    model: Model, bound: Bound, caps: tuple[int, ...], goal: float
) -> tuple[tuple[Slot, ...], tuple[Floats, ...]]:
    """Rows for which some choice that holds them may exceed the goal, with their rho."""
    n_cameras = sum(slot.count for slot in bound.slots)
    least = goal - TIE_SLACK * abs(goal) - bound.base - n_cameras * bound.error
    most = most_with(bound.slots, list(bound.rho), _groups(model, bound.slots), caps_in_bound(model, caps))
    kept_slots, kept_rho = [], []
    for slot, values, bounds in zip(bound.slots, bound.rho, most, strict=True):
        keep = bounds > least
        kept_slots.append(slot if keep.all() else replace(slot, rows=slot.rows[keep]))
        kept_rho.append(values if keep.all() else values[keep])
    return tuple(kept_slots), tuple(kept_rho)


def restricted(bound: Bound, slots: tuple[Slot, ...]) -> Bound:
    """Keep the figures of the rows that some later, smaller slots still hold."""
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
    return bound.base + weighed(model, tuple(few), worth, caps)[0]


def _near_top(model: Model, slot: Slot, values: Floats, caps: tuple[int, ...], margin: float) -> Rows:
    caps = caps_in_bound(model, caps)
    groups = model.groups[slot.rows, 0] if len(caps) > 1 else np.zeros(values.size, np.intp)
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
