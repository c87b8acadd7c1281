"""What a plan promised each camera of each moment, and what it would have promised another operator."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Operator
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.operator_file import wished
from standmark.optimizer.scoring.logs.filmed import FACTOR_OF
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.quality import Factors, Surroundings, row_factors
from standmark.optimizer.value.targets import Targets, period_targets
from standmark.sports.sport import Period

# Grid on which promises are worked out; between its points they are interpolated in the logarithms.
DELAYS_S = (0.05, 0.10, 0.16, 0.25, 0.40, 0.65, 1.10)
WISHES = (0.5, 0.7, 1.0, 1.4, 2.0)
OUTCOMES = ("got", *FACTOR_OF.values())
LEAST_FACTOR = 1e-6  # keeps logarithms finite


@dataclass(frozen=True)
class PlannedCamera:
    """A camera as a plan places it in one period."""

    name: str
    position_m: tuple[float, float, float]
    outfit: Outfit
    seen_by_moment: Mapping[str, float]  # what the plan promised


@dataclass(frozen=True)
class PlannedPeriod:
    """One period of a plan."""

    period: Period
    cameras: tuple[PlannedCamera, ...]


@dataclass(frozen=True)
class PlannedMatch:
    """What a plan promised: enough to work the promise out for another operator."""

    digest: str
    match: Match  # the sport at its size, the deliverable, who attacks where first; the venue is not the true one
    periods: tuple[PlannedPeriod, ...]


@dataclass(frozen=True, eq=False)
class Promise:
    """Chances of one camera at one kind of moment in one period: got, or lost by each factor."""

    camera: str
    period: str
    moment: str
    attack: int  # -1, 0, +1; 0 both ends
    outcomes: Floats  # shape (n_delays, n_wishes, n_outcomes), sums to 1 over the last axis
    stated: Floats  # shape (n_outcomes,), for the operator that the plan was made for


def promises(planned: PlannedMatch) -> list[Promise]:
    """Work out every promise of a plan, for each end apart and both together.

    What stands in the way at the ground is not known here: it is what the plan's own figure is lower by.
    """
    promised: list[Promise] = []
    for period in planned.periods:
        targets = period_targets(planned.match, period.period)
        for camera in period.cameras:
            promised += _camera_promises(planned.match, period.period.key, camera, targets)
    return promised


def _camera_promises(match: Match, period: str, camera: PlannedCamera, targets: Targets) -> list[Promise]:
    def chances(delay_s: float, wish: float) -> Floats:
        outfit = replace(camera.outfit, operator=Operator("", delay_s))
        factors = row_factors(
            np.array(camera.position_m), targets, outfit=outfit, deliverable=wished(match.deliverable, wish),
            around=Surroundings(),
        )  # fmt: skip
        return _outcomes(factors)

    grid = np.array([[chances(delay_s, wish) for wish in WISHES] for delay_s in DELAYS_S])
    own = chances(camera.outfit.operator.delay_s, 1.0)
    promised = []
    for index, key in enumerate(targets.moment_keys):
        mine = targets.moment == index
        if not mine.any() or key not in camera.seen_by_moment:
            continue
        weight = np.where(mine, targets.weight, 0.0)
        base = float(own[:, 0] @ weight / weight.sum())
        blocked = 1.0 - min(1.0, camera.seen_by_moment[key] / base) if base > 0 else 0.0
        for attack in sorted({0, *targets.attack_x[mine].tolist()}):
            share = weight if attack == 0 else np.where(targets.attack_x == attack, weight, 0.0)
            share = share / share.sum()
            parts = (_blocked(np.tensordot(g, share, axes=(-2, 0)), blocked) for g in (grid, own))
            promised.append(Promise(camera.name, period, key, int(attack), *parts))
    return promised


def _outcomes(factors: Factors) -> Floats:
    """Chance of each outcome at each target, shape (n_targets, n_outcomes).

    Losses are shared out by how much each factor adds to them on the scale on which factors add up, the logarithm.
    """
    cost = np.array([-np.log(np.clip(getattr(factors, name), LEAST_FACTOR, 1.0)) for name in OUTCOMES[1:]])
    total = cost.sum(axis=0)
    share = np.divide(cost, total, out=np.zeros_like(cost), where=total > 0)
    return np.column_stack([factors.seen, *((1.0 - factors.seen) * share)])


def _blocked(outcomes: Floats, blocked: float) -> Floats:
    """Move a share of what is got to what somebody or something in the way costs."""
    moved = outcomes[..., 0] * blocked
    shifted = outcomes.copy()
    shifted[..., 0] -= moved
    shifted[..., OUTCOMES.index("clear")] += moved
    return shifted
