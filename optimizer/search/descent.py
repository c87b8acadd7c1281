"""Prices on targets and floors, and subgradient steps that bring the Lagrangian bound of a few rows down.

Deflected steps of Polyak's length (Held, Wolfe and Crowder, Validation of subgradient optimization, Mathematical
Programming 6, 1974; Camerini, Fratta and Maffioli, On improving relaxation methods by modified gradient techniques,
Mathematical Programming Study 3, 1975, from memory). Nothing here proves anything: any prices give a valid bound, see
`dual.py`. docs/search.md sets the whole method beside the literature.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.compiled import kernel
from standmark.optimizer.search.kernel import NAME, gains
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.slot import Domain, dearest

DEFLECTION = 0.7  # share of the last direction kept in the next
PATIENCE = 4  # steps without gain before the length shrinks
SHRINK = 0.6
SHORTEST = 0.02  # length, as a share of Polyak's, at which the steps stop
MEMORY = 0.94  # how much of a row's frequency outlasts one step
FLOOR_HASTE = 60.0  # how fast prices of floors move beside those of targets; found by trial
FEW_VALUES = 1_500_000  # up to this many one thread is as fast as two
NO_GAIN = 3e-5  # a step gains when it lowers the bound by more than this share of the gap


@dataclass(frozen=True, eq=False)
class Prices:
    """Multipliers: any values in range give a valid bound."""

    target: Singles  # shape (n_targets,), in [0, 1]
    floor: Floats  # shape (n_floors,), >= 0


def weight_at(model: Model, floor_price: Floats) -> Floats:
    """Weights of the targets with the floors' prices in them."""
    return model.weight if not floor_price.size else model.weight + floor_price @ model.floor_weight


def base_at(model: Model, prices: Prices) -> float:
    """Sum the part of the bound that no row changes."""
    weight = weight_at(model, prices.floor)
    return float(weight @ prices.target.astype(np.float64)) - float(prices.floor @ model.floor_need)


def relaxed_caps(model: Model, domain: Domain) -> Domain:
    """Leave out the caps that the bound does not respect: all of them, when rows count in several periods apart."""
    return domain if model.groups.shape[1] == 1 else replace(domain, caps=domain.caps[:1])


@dataclass(frozen=True)
class Effort:
    """How long the bound of one node is brought down, at most."""

    n_steps: int  # subgradient steps in a round
    n_rounds: int  # rounds of steps, with a reading of rows after each
    n_new: int  # rows of each slot that join the active ones after a reading
    length: float = 0.5  # of the first step, as a share of Polyak's


@dataclass(frozen=True, eq=False)
class Descent:
    """Where the steps came to."""

    prices: Prices
    value: float  # bound at these prices, on the rows looked at only
    frequency: Floats  # shape (n_rows,), how often the steps picked each row, fading


def descend(
    model: Model,
    rows: Rows,
    domain: Domain,
    prices: Prices,
    frequency: Floats,
    *,
    level: Singles,
    goal: float,
    effort: Effort,
) -> Descent:
    """Take subgradient steps on a few rows.

    Parameters
    ----------
    rows : rows of the model to look at; the domain's rows are positions among them
    frequency : shape (n_rows,), as an earlier descent left it
    level : shape (n_targets,), least prices
    goal : value aimed at; the steps end when the bound is there
    effort : its number of steps, and the length of the first
    """
    quality = model.quality[rows]
    groups = [model.groups[rows[slot.rows], 0] for slot in domain.slots]
    domain = relaxed_caps(model, domain)
    u, p = prices.target, prices.floor
    best, best_value = prices, np.inf
    drift, floor_drift = np.zeros_like(u), np.zeros_like(p)
    frequency = frequency.copy()
    weight = weight_at(model, p).astype(np.float32)
    floor_scale = FLOOR_HASTE / np.maximum(model.floor_weight.sum(axis=1), 1e-12) ** 2
    buffer = np.empty_like(quality) if quality.size <= FEW_VALUES and kernel(NAME) is None else None
    length, stalled = effort.length, 0
    for _step in range(effort.n_steps):
        rho, value = _read_few(quality, u, weight, buffer)
        total, picks = dearest(domain, [rho[slot.rows] for slot in domain.slots], groups)
        value += total - (float(p @ model.floor_need) if p.size else 0.0)
        stalled = 0 if value < best_value - NO_GAIN * abs(value - goal) else stalled + 1
        if value < best_value:
            best, best_value = Prices(u, p), value
        if stalled >= PATIENCE:
            length, stalled = SHRINK * length, 0
        if best_value <= goal or not np.isfinite(value) or length < SHORTEST:
            break
        picked: Rows = np.concatenate([slot.rows[pick] for slot, pick in zip(domain.slots, picks, strict=True)])
        frequency *= MEMORY
        frequency[picked] += 1 - MEMORY
        norm = turned(drift, quality, picked, prices=u, weight=weight)
        if p.size:
            reach = np.maximum(quality[picked] - u, 0).sum(axis=0) + u
            floor_drift = model.floor_weight @ reach - model.floor_need + DEFLECTION * floor_drift
            norm += float(floor_scale @ (floor_drift * floor_drift))
        if norm <= 0:
            break
        stride = length * (value - goal) / norm
        u = u - np.float32(stride) * drift
        np.maximum(u, level, out=u)
        np.minimum(u, 1, out=u)
        if p.size:
            p = _kept_up(model, np.maximum(p - stride * floor_scale * floor_drift, 0), p)
            weight = weight_at(model, p).astype(np.float32)
    return Descent(best, best_value, frequency)


def turned(drift: Singles, quality: Singles, picked: Rows, *, prices: Singles, weight: Singles) -> float:
    """Turn the direction of the steps toward a new subgradient, in place.

    Parameters
    ----------
    drift : shape (n_targets,), last direction
    quality : shape (n_rows, n_targets)
    picked : rows that are dearest at the prices
    prices, weight : shape (n_targets,)

    Returns
    -------
    square of its length, weighted
    """
    compiled = kernel(NAME)
    if compiled is not None and quality.flags.c_contiguous:
        square, kept = np.empty(1), np.array([DEFLECTION], np.float32)
        compiled.turned(square, drift, quality, prices, weight, picked, kept)
        return float(square[0])
    drift *= np.float32(DEFLECTION)
    drift += 1
    for row in picked.tolist():
        drift -= quality[row] > prices
    return float(weight @ (drift * drift))


def _kept_up(model: Model, p: Floats, before: Floats) -> Floats:
    """Where nothing but floors counts their prices matter as shares only; keep them from all sinking to 0."""
    if model.weight.any():
        return p
    total = float(p @ model.floor_need)
    return p * (float(before @ model.floor_need) / total) if total > 0 else before


def _read_few(quality: Singles, u: Singles, weight: Singles, buffer: Singles | None) -> tuple[Floats, float]:
    """What the rows add above the prices, and what the prices themselves are worth."""
    base = float(np.vecdot(u, weight))
    if buffer is None:
        return gains(quality, u, weight.astype(np.float64)), base
    np.maximum(quality, u, out=buffer)
    rho: Floats = np.vecdot(buffer, weight).astype(np.float64)
    rho -= base
    return rho, base
