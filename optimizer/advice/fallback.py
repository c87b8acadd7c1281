"""Where to go when a spot is refused: the best other place for one camera, the others staying where they are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Flags, Floats
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.refine import climb
from standmark.optimizer.choice.rules import keeps_floors
from standmark.optimizer.choice.stage import Stage, others_level, worth_beside
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot, spot_at


@dataclass(frozen=True)
class Fallback:
    """Another spot for one camera and what the stage covers with it."""

    spot: Spot
    lens: Lens
    coverage: float
    loss: float  # coverage given up


@dataclass(frozen=True, eq=False)
class SpotValues:
    """Coverage of a stage with one camera at each place it may take, best height and lens, the others kept."""

    xyz_m: Floats  # shape (n, 3)
    coverage: Floats  # shape (n,)


def spot_values(stage: Stage, worths: Floats) -> SpotValues:
    """Value of every allowed spot of one camera.

    Parameters
    ----------
    worths : shape (n_rows,), as `row_worths` gives them
    """
    value = worths.reshape(-1, stage.grid.rows.n_positions).max(axis=0)
    xyz_m = stage.grid.candidates.xyz_m
    order = np.argsort(-value, kind="stable")
    order = order[np.isfinite(value[order])]
    _, first = np.unique(xyz_m[order, :2], axis=0, return_index=True)
    kept = order[np.sort(first)]
    return SpotValues(xyz_m[kept], value[kept])


def fallback_beyond(match: Match, stage: Stage, camera: int, worths: Floats, *, distance_m: float) -> Fallback | None:
    """Best spot at least a distance away from the planned one; None when there is no such place."""
    here_m = stage.grid.candidates.xyz_m[stage.positions[camera]]

    def is_far(xyz_m: Floats) -> Flags:
        return np.asarray(np.hypot(*(xyz_m[:, :2] - here_m[:2]).T) >= distance_m)

    return _best_where(match, stage, camera, worths, is_far)


def fallback_outside(match: Match, stage: Stage, camera: int, worths: Floats) -> Fallback | None:
    """Best spot in another allowed area; None when the camera has no other."""
    places = stage.grid.candidates
    own = places.area[stage.positions[camera]]
    others = np.where(np.tile(places.area != own, len(stage.grid.rows.outfits)), worths, -np.inf)
    return _best_where(match, stage, camera, others, lambda xyz_m: np.ones(len(xyz_m), dtype=bool))


def _best_where(
    match: Match, stage: Stage, camera: int, worths: Floats, is_allowed: Callable[[Floats], Flags]
) -> Fallback | None:
    places, rows = stage.grid.candidates, stage.grid.rows
    values = np.where(np.tile(is_allowed(places.xyz_m), len(rows.outfits)), worths, -np.inf)
    row = _best_row(stage, camera, values)
    if row is None:
        return None
    area = int(places.area[rows.position(row)])
    worth = worth_beside(match, stage, camera, (rows.outfit(row),))
    spot_m = climb(
        match, places.xyz_m[rows.position(row)], match.venue.allowed[area], match.cameras[camera],
        worth=lambda xyz_m: np.where(is_allowed(xyz_m), worth(xyz_m), -np.inf),
    )  # fmt: skip
    coverage = float(worth(spot_m[None])[0])
    here = float(worth(places.xyz_m[[stage.positions[camera]]])[0])
    planned = max(here, stage.value)
    return Fallback(
        spot_at(places.area_keys[area], *spot_m), rows.outfit(row).lens, coverage, max(planned - coverage, 0.0)
    )


def _best_row(stage: Stage, camera: int, values: Floats) -> int | None:
    """Row of the highest value that still reaches every least coverage; None where no row may be taken."""
    level = others_level(stage, camera)
    for row in np.argsort(-values, kind="stable"):
        if not np.isfinite(values[row]):
            return None
        if keeps_floors(stage.problem, np.maximum(level, stage.problem.quality[row])):
            return int(row)
    return None
