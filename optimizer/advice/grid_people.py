"""What people do to the pictures of a plan's positions: what they hide, and how far their faces show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.choice.grid import Grid
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.value.people import people_shares
from standmark.optimizer.value.quality import Surroundings
from standmark.optimizer.value.targets import Targets, same_places

LEAST_WORTH = 1e-3  # of a target under the present wish for faces: less is not told from nothing


@dataclass(frozen=True, eq=False)
class GridPeople:
    """For every position of a grid and all targets of a picture or stage, shape (n_positions, n_targets)."""

    clear: Singles  # share in sight past other people
    faces: Singles  # share of the picture that shows faces
    matter: Floats  # shape (n_targets,), how much faces matter

    def worth(self, wish: float) -> Singles:
        """Share of the value that a wish for faces leaves."""
        return np.asarray(1.0 - (wish * self.matter).astype(np.float32) * (1.0 - self.faces))


def grid_people(grid: Grid) -> tuple[GridPeople, ...]:
    """Work out what people do to every picture of a grid, in its order."""
    return tuple(
        GridPeople(*people_shares(grid.candidates.xyz_m, p.targets), p.targets.faces_matter) for p in grid.pictures
    )


def stage_people(stage: Stage, people: Sequence[GridPeople]) -> GridPeople:
    """What people do to the pictures of a stage, its periods side by side."""
    own = [people[i] for i in stage_pictures(stage)]
    if len(own) == 1:
        return own[0]
    return GridPeople(
        np.hstack([p.clear for p in own]), np.hstack([p.faces for p in own]), np.concatenate([p.matter for p in own])
    )


def stage_pictures(stage: Stage) -> list[int]:
    """Index of the picture that each period of a stage asks for."""

    def index(targets: Targets, around: Surroundings) -> int:
        pictures = enumerate(stage.grid.pictures)
        return next(i for i, p in pictures if p.around == around and same_places(p.targets, targets))

    return [index(t, a) for t, a in zip(stage.task.targets, stage.task.around, strict=True)]
