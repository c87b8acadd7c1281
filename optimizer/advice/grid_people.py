"""What people do to the pictures of a plan's positions: what they hide, how far their faces show, what is then seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.choice.grid import Grid
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.value.people import face_worth, people_shares, seen_of
from standmark.optimizer.value.quality import Surroundings
from standmark.optimizer.value.targets import Targets, same_places
from standmark.optimizer.work.duty import faces_share
from standmark.sports.timeline import length_shares


@dataclass(frozen=True, eq=False)
class GridPeople:
    """For every position of a grid and all targets of a picture or stage, shape (n_positions, n_targets)."""

    clear: Singles  # share in sight past other people
    faces: Singles  # share of the picture that shows faces
    matter: Floats  # shape (n_targets,), how much faces matter

    def worth(self, wish: float) -> Singles:
        """Share of the value that a wish for faces leaves."""
        return face_worth(self.faces, faces_matter=self.matter, wish=wish)


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


def rows_seen(
    stages: Sequence[Stage], rows: Sequence[Sequence[int]], grid: Grid, people: Sequence[GridPeople], *, wish: float
) -> tuple[float, float]:
    """What some rows capture usably of the whole match, and the share of that with faces, from what they are worth.

    Parameters
    ----------
    rows : of each stage, on the grid
    grid : of the stages, with more outfits where rows need them
    people : for each picture of the grid
    wish : for faces, under which the quality of the grid was worked out
    """
    each = []
    for stage, chosen in zip(stages, rows, strict=True):
        positions = [grid.rows.position(row) for row in chosen]
        parts = []
        for targets, i in zip(stage.task.targets, stage_pictures(stage), strict=True):
            faces, quality = people[i].faces[positions], grid.pictures[i].quality[list(chosen)]
            seen = seen_of(quality, faces, faces_matter=people[i].matter, wish=wish)
            shown = seen * faces
            parts.append([float(targets.weight @ part.max(axis=0)) for part in (seen, shown)])
        each.append(stage.task.shares @ np.array(parts))
    captured, shown_too = (length_shares(s.task for s in stages) @ np.array(each)).tolist()
    return captured, faces_share(captured, shown_too)


def stage_pictures(stage: Stage) -> list[int]:
    """Index of the picture that each of the targets of a stage asks for."""

    def index(targets: Targets, around: Surroundings) -> int:
        pictures = enumerate(stage.grid.pictures)
        return next(i for i, p in pictures if p.around == around and same_places(p.targets, targets))

    return [index(t, a) for t, a in zip(stage.task.targets, stage.task.around, strict=True)]
