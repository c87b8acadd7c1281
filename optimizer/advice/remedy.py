"""What limits a camera and what would fix it: each factor's cost, and the gain of each change, worked out."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.stage import Stage, others_level, worth_beside
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.quality import FACTORS, row_factors

RISE_M = 1.5  # how much higher the lens is tried
REACH = 1.5  # how much longer, and how much wider, a lens is tried
FASTER = 1.5  # how much faster a support is tried
QUICKER_S = 0.10  # how much less late an operator is tried: a practised one becomes an expert
MENDS = {
    "size": ("longer lens", "wider lens", "higher"),
    "clear": ("higher",),
    "held": ("quicker operator", "faster support"),
    "light": (),
    "faces": (),
}  # factor -> changes that can fix it; what none of them fixes needs another place or another camera


@dataclass(frozen=True)
class Remedy:
    """One change at the same spot and the coverage it adds to the stage."""

    change: str  # "higher", "longer lens", "wider lens", "faster support", "quicker operator"
    amount: float  # m higher; mm of the new longest or shortest focal length; times as fast; s of the new delay
    gain: float


@dataclass(frozen=True)
class Limits:
    """What keeps one camera of a stage from more."""

    cost: dict[str, float]  # factor -> coverage that the stage would gain if this factor were perfect here
    factor: str  # the dearest one
    remedies: tuple[Remedy, ...]  # every change tried, best first

    @property
    def remedy(self) -> Remedy | None:
        """Best change for the dearest factor, if one helps by a tenth of a point."""
        fitting = (r for r in self.remedies if r.change in MENDS[self.factor] and r.gain >= 0.001)
        return next(fitting, None)


def limits(match: Match, stage: Stage, camera: int) -> Limits:
    """Work out what each factor costs one camera of a stage and what each change at its spot would gain."""
    outfit = stage.grid.rows.outfit(stage.chosen[camera])
    cost = _costs(match, stage, camera, outfit)
    spot_m = stage.grid.candidates.xyz_m[stage.positions[camera]]
    here = _worth(match, stage, camera, spot_m, outfit)
    remedies = [
        Remedy(
            change,
            amount,
            max(_worth(match, stage, camera, spot_m + np.array([0.0, 0.0, rise_m]), changed) - here, 0.0),
        )
        for change, amount, rise_m, changed in _changes(outfit)
    ]
    remedies.sort(key=lambda r: -r.gain)
    return Limits(cost, max(FACTORS, key=lambda name: cost[name]), tuple(remedies))


def _changes(outfit: Outfit) -> list[tuple[str, float, float, Outfit]]:
    """Changes to try: name, amount, rise of the lens, outfit."""
    lens, support, operator = outfit.lens, outfit.support, outfit.operator
    delay_s = max(operator.delay_s - QUICKER_S, 0.0)
    short, long = lens.focal_mm
    return [
        ("higher", RISE_M, RISE_M, outfit),
        ("longer lens", long * REACH, 0.0, replace(outfit, lens=replace(lens, focal_mm=(short, long * REACH)))),
        ("wider lens", short / REACH, 0.0, replace(outfit, lens=replace(lens, focal_mm=(short / REACH, long)))),
        (
            "faster support",
            FASTER,
            0.0,
            replace(outfit, support=replace(support, pan_deg_s=support.pan_deg_s * FASTER)),
        ),
        ("quicker operator", delay_s, 0.0, replace(outfit, operator=replace(operator, delay_s=delay_s))),
    ]


def _costs(match: Match, stage: Stage, camera: int, outfit: Outfit) -> dict[str, float]:
    spot_m = stage.grid.candidates.xyz_m[stage.positions[camera]]
    parts = [
        row_factors(spot_m, targets, outfit=outfit, deliverable=match.deliverable, around=around)
        for targets, around in zip(stage.task.targets, stage.task.around, strict=True)
    ]
    level, weight = others_level(stage, camera).astype(np.float64), stage.problem.weight
    full = float(weight @ np.maximum(level, np.concatenate([p.quality for p in parts])))
    without = {name: np.concatenate([p.quality_without(name) for p in parts]) for name in FACTORS}
    return {name: float(weight @ np.maximum(level, without[name])) - full for name in FACTORS}


def _worth(match: Match, stage: Stage, camera: int, spot_m: Floats, outfit: Outfit) -> float:
    return float(worth_beside(match, stage, camera, (outfit,))(np.asarray(spot_m)[None])[0])
