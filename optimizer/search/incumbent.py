"""Good sets found fast: greedy choice, then exchanging one row at a time; they never prove anything."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.search.dual import Bound
from standmark.optimizer.search.kernel import gains, level_worth
from standmark.optimizer.search.limits import allowed_sets, caps_after, compatible_rows, floors_met
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.slot import Domain

SHORTFALL_PRICE = 1000.0  # what one unit of weight missing from a floor costs while a set is sought
LEAST_GAIN = 1e-7  # an exchange must gain this much, relatively


@dataclass(frozen=True)
class Placed:
    """One row for each camera, in the order of the slots."""

    rows: tuple[int, ...]
    worth: float  # value less the price of what its floors lack


def greedy(model: Model, domain: Domain) -> Placed | None:
    """Place the camera that adds most, again and again; None where the limits leave a camera without a row."""
    left = [slot.count for slot in domain.slots]
    rows_by_slot: list[list[int]] = [[] for _ in domain.slots]
    chosen: list[int] = []
    worth = -np.inf
    while sum(left):
        best: tuple[float, int, int] | None = None
        for which, slot in enumerate(domain.slots):
            if left[which]:
                row, value = _best_beside(model, chosen, slot.rows, domain.caps)
                if row is not None and (best is None or value > best[0]):
                    best = value, which, row
        if best is None:
            return None
        worth, which, row = best
        left[which] -= 1
        rows_by_slot[which].append(row)
        chosen.append(row)
    return Placed(tuple(row for rows in rows_by_slot for row in rows), worth)


def exchange(model: Model, domain: Domain, placed: Placed, bound: Bound | None = None) -> Placed:
    """Move one camera at a time to the row that is best with the others in place, until none gains.

    Parameters
    ----------
    bound : of this domain; rows that it shows to gain nothing beside the others are not read
    """
    open_rows = [slot.rows for slot in domain.slots for _ in range(slot.count)]
    slot_of = [which for which, slot in enumerate(domain.slots) for _ in range(slot.count)]
    rows, worth = list(placed.rows), placed.worth
    camera = unchanged = 0
    while unchanged < len(rows) and len(rows) > 1:
        others, own = rows[:camera] + rows[camera + 1 :], open_rows[camera]
        if bound is not None and not len(model.floor_need):
            own = own[bound.rho[slot_of[camera]] > worth - _most_beside(model, others, bound)]
        row, value = _best_beside(model, others, own, domain.caps)
        if row is not None and value > worth + LEAST_GAIN * abs(worth):
            rows[camera], worth, unchanged = row, value, 0
        camera, unchanged = (camera + 1) % len(rows), unchanged + 1
    return Placed(tuple(rows), worth)


def _most_beside(model: Model, others: list[int], bound: Bound) -> float:
    """Most that rows are worth together with one more row, less the rho of that row.

    A row adds sum_t w[t] (q[t] - level[t])+ to a level, which is at most its rho and sum_t w[t] (u[t] - level[t])+.
    """
    joined = np.maximum(model.quality[others].max(axis=0), bound.prices.target)
    return level_worth(joined, model.weight) + bound.error


def value_of(model: Model, rows: tuple[int, ...] | list[int]) -> float:
    """Weighted best quality of a set, summed in float64."""
    return float(model.weight @ model.quality[list(rows)].max(axis=0).astype(np.float64))


def confirmed(model: Model, caps: tuple[int, ...], placed: Placed | None) -> float:
    """Value of a set in float64, -inf where it breaks a limit."""
    if placed is None:
        return -np.inf
    sets = np.array([placed.rows])
    is_allowed = bool(allowed_sets(model, sets, caps)[0]) and bool(floors_met(model, sets)[0])
    return value_of(model, placed.rows) if is_allowed else -np.inf


def _best_beside(model: Model, chosen: list[int], rows: Rows, caps: tuple[int, ...]) -> tuple[int | None, float]:
    everything = rows.size == model.quality.shape[0]
    for row in chosen:
        caps = caps_after(model, row, caps)
    if not chosen:
        level: Singles = np.zeros(model.quality.shape[1], np.float32)
    else:
        level = model.quality[chosen].max(axis=0)
    worth = _worths(model, level, None if everything else rows)
    allowed = rows
    for row in chosen:
        allowed = compatible_rows(model, row, caps, allowed)
    if not allowed.size:
        return None, -np.inf
    values = worth if allowed.size == rows.size else worth[np.searchsorted(rows, allowed)]
    best = int(values.argmax())
    return int(allowed[best]), float(values[best])


def _worths(model: Model, level: Singles, rows: Rows | None) -> Floats:
    worth = gains(model.quality, level, model.weight, rows) + level_worth(level, model.weight)
    for weight, need in zip(model.floor_weight, model.floor_need, strict=True):
        covered = gains(model.quality, level, weight, rows) + level_worth(level, weight)
        worth -= SHORTFALL_PRICE * np.maximum(need - covered, 0)
    return worth
