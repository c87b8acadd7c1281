"""Cameras with a role of their own and all others as one search problem: what each role asks beside the film.

The value of a choice is the mean of what the film gets from all cameras and of what each role gets from its own
cameras, by its own wish; a role counts ROLE_WORTH times. In the search's form a camera with a role has rows of its own,
and every role has columns of its own, in which all other rows have nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.optimizer.choice.candidates import Candidates
from standmark.optimizer.choice.grid import Grid, StageTask, known_quality, match_tasks, quality_grid, task_quality
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.choice.rules import stage_problem, stage_weight
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.role import role_wish
from standmark.optimizer.search import SearchProblem, clashes_of
from standmark.optimizer.value.outfit import Outfit, Rows

OWN_WISH = ("wide", "faces")
ROLE_WORTH = 3.0  # of what a role asks, beside the film: who gives a camera a role wants that first; our taste


@dataclass(frozen=True, eq=False)
class Wish:
    """What the film or one role asks, and the cameras that serve it."""

    cameras: tuple[int, ...]
    match: Match  # with the deliverable that is asked for
    tasks: tuple[StageTask, ...]


@dataclass(frozen=True, eq=False)
class Joint:
    """One stage as a search problem."""

    problem: SearchProblem
    place: Indices  # shape (n_rows,), position of each row
    outfit: Indices  # shape (n_rows,), index of its outfit

    def weighted(self, part: float) -> SearchProblem:
        """Return the problem with its stage's share of the match in its weights."""
        return replace(self.problem, weight=self.problem.weight * part)


def match_wishes(match: Match) -> tuple[Wish, ...]:
    """List the film and every role that asks for something else, the film first."""
    cameras = range(len(match.cameras))
    wishes = [(tuple(cameras), match)]
    for role in OWN_WISH:
        own = tuple(i for i in cameras if match.cameras[i].role == role)
        if own:
            wishes.append((own, replace(match, deliverable=role_wish(match, match.cameras[own[0]]))))
    return tuple(Wish(own, asked, tuple(match_tasks(asked))) for own, asked in wishes)


def wish_grids(wishes: Sequence[Wish], candidates: Candidates, known: Sequence[Grid], memory: Memory) -> list[Grid]:
    """Work out what every row is worth for the film, and for each role what the rows of its own cameras are.

    Cameras record in the modes that the film asks for, whatever their role.

    Parameters
    ----------
    known : grids of the same wishes on the first of the candidates; empty for none
    """
    film = wishes[0].match
    before: list[Grid] | list[None] = list(known) or [None for _ in wishes]
    grids = []
    for wish, grid in zip(wishes, before, strict=True):
        rows = match_rows(replace(film, cameras=tuple(film.cameras[i] for i in wish.cameras)), candidates)
        grids.append(quality_grid(wish.match, wish.tasks, candidates, known=grid, memory=memory, rows=rows))
    return grids


def joint_problem(wishes: Sequence[Wish], grids: Sequence[Grid], stage: int) -> Joint:
    """Put one stage with all its wishes into the form that the search takes; targets of the film come first."""
    film, grid = wishes[0], grids[0]
    task = film.tasks[stage]
    base = stage_problem(film.match, task, candidates=grid.candidates, rows=grid.rows, quality=task_quality(grid, task))
    parts = [(w, g, task_quality(g, w.tasks[stage])) for w, g in zip(wishes[1:], grids[1:], strict=True)]
    with_role = {i for w, _, _ in parts for i in w.cameras}
    rows_of = base.rows_by_camera
    sharing = [[i for i in film.cameras if i not in with_role], *(w.cameras for w, _, _ in parts)]
    own = [np.unique(np.concatenate([np.empty(0, np.intp), *(rows_of[i] for i in group)])) for group in sharing]
    row = np.concatenate(own)
    widths = [base.quality.shape[1], *(q.shape[1] for _, _, q in parts)]
    first_row, first_column = np.cumsum([0, *map(len, own)]), np.cumsum(widths)
    quality = np.zeros((len(row), sum(widths)), np.float32)
    rows_by_camera = list(rows_of)
    for group, rows, start in zip(sharing, own, first_row, strict=False):
        quality[start : start + len(rows), : widths[0]] = base.quality[rows]
        for camera in group:
            rows_by_camera[camera] = start + np.searchsorted(rows, rows_of[camera])
    weights, whole = [base.weight], 1.0 + ROLE_WORTH * len(parts)
    for index, (wish, g, worth) in enumerate(parts):
        asked, rows, start = wish.tasks[stage], own[index + 1], first_row[index + 1]
        columns = slice(first_column[index], first_column[index + 1])
        quality[start : start + len(rows), columns] = worth[_rows_in(g.rows, rows, grid.rows)]
        weights.append(ROLE_WORTH * stage_weight(asked))
    assert base.xy_m is not None
    assert base.group is not None
    problem = replace(
        base,
        quality=quality,
        weight=np.concatenate(weights) / whole,
        rows_by_camera=tuple(rows_by_camera),
        xy_m=base.xy_m[row],
        group=base.group[row],
        clashes=None if base.clashes is None else clashes_of(base.clashes, row),
    )
    return Joint(problem, row % grid.rows.n_positions, row // grid.rows.n_positions)


def _rows_in(some: Rows, rows: Indices, every: Rows) -> Indices:
    """Find rows among those of some of the outfits, on the same positions."""
    outfit = np.array([some.outfits.index(o) if o in some.outfits else -1 for o in every.outfits])
    found: Indices = outfit[rows // every.n_positions] * every.n_positions + rows % every.n_positions
    return found


def joint_quality(
    wishes: Sequence[Wish], stage: int, camera: int, xyz_m: Floats, outfits: Sequence[Outfit], *, memory: Memory
) -> Singles:
    """Quality of any positions of one camera for all targets of `joint_problem`, shape (n_outfits, n, n_targets)."""
    parts = []
    for wish in wishes:
        task = wish.tasks[stage]
        if camera in wish.cameras:
            parts.append(known_quality(memory, wish.match, task, xyz_m, outfits))
        else:
            width = sum(len(t.weight) for t in task.targets)
            parts.append(np.zeros((len(outfits), len(xyz_m), width), np.float32))
    return np.concatenate(parts, axis=2)
