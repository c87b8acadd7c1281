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

from standmark.geometry.arrays import Flags, Floats, Singles
from standmark.optimizer.search.descent import Effort, Prices, base_at, descend, relaxed_caps, weight_at
from standmark.optimizer.search.kernel import exact_gains, gains_within
from standmark.optimizer.search.listing import rows_beyond_overlap, sets_above, sets_beyond_overlap
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.overlap import shared_at_least
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.slot import Domain, Slot, dearest, most_with, top, with_rows

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
    domain: Domain  # rows that can still be part of a set above the goal
    rho: tuple[Floats, ...]  # for each slot, what its rows add above the prices
    base: float  # the bound without its rows
    error: float  # most that one rho is off
    active: Rows  # rows that the steps looked at
    frequency: Floats  # shape (n_active,), how often the steps picked them, fading


def minimize_bound(
    model: Model,
    domain: Domain,
    prices: Prices,
    *,
    level: Singles,
    goal: float,
    effort: Effort,
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
    effort : most steps and rounds
    active : rows to start the steps with; None begins with a reading
    known : bound already read for this domain, to go on from
    """
    best, reached = known, -np.inf
    aim = goal - AIM_BELOW * abs(goal)
    frequency = np.zeros(model.quality.shape[0])
    is_active = np.zeros(model.quality.shape[0], dtype=np.bool_)
    if active is not None:
        is_active[active] = True
    if known is not None:
        domain = known.domain
        _activate(model, is_active, known, effort.n_new)

    def stepped(start: Prices, effort: Effort) -> tuple[Prices, float]:
        rows, few = _active_rows(domain, is_active)
        done = descend(model, rows, few, start, frequency[rows], level=level, goal=aim, effort=effort)
        frequency[rows] = done.frequency
        return done.prices, done.value

    if is_active.any():
        prices, reached = stepped(prices, effort)
    for turn in range(effort.n_rounds + 1):
        near = _dearest_part(best) if best is not None and turn < effort.n_rounds else None
        if near is not None:
            bound = _read(model, near, prices)
            if bound.value > goal and bound.value - reached > CLOSE_ENOUGH * (bound.value - goal):
                is_active &= frequency > NEVER
                _activate(model, is_active, bound, effort.n_new)
                prices, reached = stepped(prices, effort)
                effort = replace(effort, length=max(0.15, 0.5 * effort.length))
                continue
        bound = _read(model, domain, prices)
        if best is None or bound.value < best.value:
            best = bound
        hopeful = without_hopeless(model, bound, goal)
        domain = hopeful.domain
        best = restricted(best, domain)
        if best.value <= aim or turn == effort.n_rounds or domain.is_empty:
            break
        if np.isfinite(reached) and bound.value - reached <= CLOSE_ENOUGH * (bound.value - goal):
            break
        is_active &= frequency > NEVER
        _activate(model, is_active, hopeful, effort.n_new)
        prices, reached = stepped(best.prices if turn > 1 else prices, effort)
        effort = replace(effort, length=max(0.15, 0.5 * effort.length))
    assert best is not None
    seen = np.flatnonzero(is_active)
    return replace(best, value=_certified(model, best), active=seen, frequency=frequency[seen])


def read_all(model: Model, domain: Domain, prices: Prices) -> Bound:
    """Bound at given prices, by one reading of every row."""
    bound = _read(model, domain, prices)
    return replace(bound, value=_certified(model, bound))


def without_hopeless(model: Model, bound: Bound, goal: float) -> Bound:
    """Drop the rows that no set above a goal can hold, by the figures already read (reduced-cost fixing)."""
    domain = bound.domain
    least = goal - TIE_SLACK * abs(goal) - bound.base - domain.n_cameras * bound.error
    most = most_with(relaxed_caps(model, domain), list(bound.rho), _groups(model, domain))
    kept_rows, kept_rho = [], []
    for slot, values, bounds in zip(domain.slots, bound.rho, most, strict=True):
        keep = bounds > least
        kept_rows.append(slot.rows if keep.all() else slot.rows[keep])
        kept_rho.append(values if keep.all() else values[keep])
    return replace(bound, domain=with_rows(domain, kept_rows), rho=tuple(kept_rho))


def open_sets(bound: Bound, goal: float, *, most_sets: int) -> Rows | None:
    """List the sets that may exceed a goal by the figures already read; None if they are many."""
    return sets_above(bound.domain, bound.rho, least=_least_rho(bound, goal), most_sets=most_sets)


def beyond_overlap(model: Model, bound: Bound, goal: float, *, most_sets: int) -> tuple[Bound, Rows | None]:
    """Drop rows and list sets by the figures already read, with what rows share counted once.

    Returns
    -------
    the bound with the rows that a set above the goal can hold; the sets, None if too many are met on the way
    """
    union, least = bound.domain.rows, _least_rho(bound, goal)
    shared = shared_at_least(model.quality, bound.prices.target, weight_at(model, bound.prices.floor), union)
    domain = with_rows(bound.domain, [np.searchsorted(union, slot.rows) for slot in bound.domain.slots])
    domain, rho = rows_beyond_overlap(domain, bound.rho, shared, least=least)
    if domain.is_empty:
        sets: Rows | None = np.zeros((0, domain.n_cameras), np.intp)
    else:
        sets = sets_beyond_overlap(domain, rho, shared, least=least, most_sets=most_sets)
    if sets is not None:
        ends = np.cumsum([slot.count for slot in domain.slots])
        columns = [sets[:, end - slot.count : end] for slot, end in zip(domain.slots, ends, strict=True)]
        domain = with_rows(domain, [np.unique(own) for own in columns])
        sets = union[sets]
    return restricted(bound, with_rows(domain, [union[slot.rows] for slot in domain.slots])), sets


def _least_rho(bound: Bound, goal: float) -> float:
    return goal - bound.base - bound.domain.n_cameras * bound.error


def subproblem(model: Model, domain: Domain, worth: list[Floats]) -> float:
    """Solve the Lagrangian subproblem: the greatest total worth of rows within the caps of the bound."""
    return dearest(relaxed_caps(model, domain), worth, _groups(model, domain))[0]


def _groups(model: Model, domain: Domain) -> list[Rows]:
    return [model.groups[slot.rows, 0] for slot in domain.slots]


def _read(model: Model, domain: Domain, prices: Prices) -> Bound:
    weight, union, slots = weight_at(model, prices.floor), domain.rows, domain.slots
    everything = union.size == model.quality.shape[0]
    read, error = gains_within(model.quality, prices.target, weight, None if everything else union)
    rho = tuple(read if len(slots) == 1 else read[np.searchsorted(union, slot.rows)] for slot in slots)
    base = base_at(model, prices)
    total = subproblem(model, domain, list(rho))
    return Bound(base + total, prices, domain, rho, base, error, np.zeros(0, np.intp), np.zeros(0))


def _active_rows(domain: Domain, is_active: Flags) -> tuple[Rows, Domain]:
    """Rows of the domain that are active, and the domain of these, its rows as positions among them."""
    open_rows = domain.rows
    rows = open_rows[is_active[open_rows]]
    return rows, with_rows(domain, [np.searchsorted(rows, own[is_active[own]]) for own in _rows_by_slot(domain)])


def _rows_by_slot(domain: Domain) -> list[Rows]:
    return [slot.rows for slot in domain.slots]


def _dearest_part(bound: Bound) -> Domain | None:
    """Rows of greatest rho, to look among for rows that the steps lack; None where these are most of all rows."""
    near = with_rows(
        bound.domain,
        [
            own[np.sort(top(values, max(NEAR_ROWS, own.size // NEAR_SHARE)))]
            for own, values in zip(_rows_by_slot(bound.domain), bound.rho, strict=True)
        ],
    )
    return near if 2 * near.n_rows < bound.domain.n_rows else None


def _activate(model: Model, is_active: Flags, bound: Bound, n_new: int) -> None:
    for slot, values in zip(bound.domain.slots, bound.rho, strict=True):
        is_active[slot.rows[top(values, slot.count + n_new)]] = True
        if len(bound.domain.caps) > 1:
            is_active[slot.rows[_near_top(model, bound.domain, slot, values, 0.0)]] = True


def restricted(bound: Bound, domain: Domain) -> Bound:
    """Keep the figures of the rows that a later, smaller domain still holds."""
    rho = tuple(
        values if values.size == slot.rows.size else values[np.searchsorted(before.rows, slot.rows)]
        for before, slot, values in zip(bound.domain.slots, domain.slots, bound.rho, strict=True)
    )
    return replace(bound, domain=domain, rho=rho)


def _certified(model: Model, bound: Bound) -> float:
    """Sum the bound again in float64, over the rows that may be among the dearest."""
    weight = weight_at(model, bound.prices.floor)
    few, worth = [], []
    for slot, values in zip(bound.domain.slots, bound.rho, strict=True):
        few.append(slot.rows[_near_top(model, bound.domain, slot, values, 2 * bound.error)])
        worth.append(exact_gains(model.quality, bound.prices.target, weight, few[-1]))
    return bound.base + subproblem(model, with_rows(bound.domain, few), worth)


def _near_top(model: Model, domain: Domain, slot: Slot, values: Floats, margin: float) -> Rows:
    caps = relaxed_caps(model, domain).caps
    groups = model.groups[slot.rows, 0] if len(caps) > 1 else np.zeros(values.size, np.intp)
    near = np.zeros(values.size, dtype=np.bool_)
    for group in range(len(caps)):
        own = np.flatnonzero(groups == group)
        if own.size:
            least = values[own[top(values[own], slot.count)]].min()
            near[own[values[own] >= least - margin]] = True
    return np.flatnonzero(near)
