"""Floors on their own: a set can only meet a floor if its rows can, whatever they are worth otherwise.

Each floor is bounded like a value of its own, with the weight on its targets only. Rows that no set above the floor
can hold go, and a node where the bound stays below the floor is empty.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Singles
from standmark.optimizer.search.descent import Effort, Prices
from standmark.optimizer.search.dual import Bound, minimize_bound
from standmark.optimizer.search.incumbent import Placed
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.root import first_bound
from standmark.optimizer.search.slot import Domain

BELOW = 1e-9  # how far under a floor rows are still kept, against rounding in float64
ROUNDS = (2,)


@dataclass(frozen=True, eq=False)
class Reached:
    """Rows with which every floor may be met, as far as bounds tell."""

    domain: Domain
    bounds: tuple[Bound, ...]  # one for each floor; rows and rho before later floors took theirs
    placed: tuple[Placed, ...]  # sets that cover much of some floor

    def tightest(self, model: Model) -> Bound:
        """Bound of the floor that is nearest to out of reach."""
        slack = [bound.value / need for bound, need in zip(self.bounds, model.floor_need, strict=True)]
        return self.bounds[int(np.argmin(slack))]


def floor_model(model: Model, index: int) -> Model:
    """Model that values the targets of one floor only, without floors."""
    n_targets = model.weight.size
    return replace(
        model, weight=model.floor_weight[index], floor_weight=np.zeros((0, n_targets)), floor_need=np.zeros(0)
    )


def reach_from_nothing(model: Model, domain: Domain) -> Reached | None:
    """Bound every floor over all rows; None proves that one of them cannot be met."""
    bounds, sets = [], []
    for index, need in enumerate(model.floor_need):
        placed, bound = first_bound(
            floor_model(model, index), domain, best=-np.inf, tolerance=0.0, ceiling=_goal(need), rounds=ROUNDS
        )
        if bound.value < need or bound.domain.is_empty:
            return None
        domain = bound.domain
        bounds.append(bound)
        sets += [] if placed is None else [placed]
    return Reached(domain, tuple(bounds), tuple(sets))


def reach(
    models: tuple[Model, ...],
    needs: tuple[float, ...],
    domain: Domain,
    prices: tuple[Prices, ...],
    *,
    level: Singles,
    active: Rows,
    effort: Effort,
) -> Reached | None:
    """Bound every floor over the rows of a node; None proves that one of them cannot be met."""
    bounds = []
    for model, need, before in zip(models, needs, prices, strict=True):
        start = Prices(np.maximum(before.target.astype(np.float32), level), before.floor)
        bound = minimize_bound(model, domain, start, level=level, goal=_goal(need), effort=effort, active=active)
        if bound.value < need or bound.domain.is_empty:
            return None
        domain = bound.domain
        bounds.append(bound)
    return Reached(domain, tuple(bounds), ())


def _goal(need: float) -> float:
    return need - BELOW * abs(need)
