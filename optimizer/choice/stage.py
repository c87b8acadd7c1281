"""One stage of a match and the best choice found for it, and what a camera is worth elsewhere beside the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.apart import stand_apart
from standmark.geometry.arrays import Floats, Singles
from standmark.optimizer.choice.grid import Grid, StageTask, known_quality
from standmark.optimizer.choice.line_clashes import clash_beside
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.choice.refine import Worth
from standmark.optimizer.choice.rules import rows_beside
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import SearchProblem, SearchResult
from standmark.optimizer.search.kernel import gains
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.targets import same_targets
from standmark.optimizer.work.assignment import Station, spot_at

ROUGH = 1e-2  # share of the value that a search may miss while spots are still climbed to
EXACT = 1e-6  # the same for the result, with up to FEW cameras
FEW = 4
WITHIN = 2e-3  # the same with more cameras: a closer proof would take minutes


@dataclass(frozen=True, eq=False)
class Stage:
    """A task, the grid it was searched on, and the best choice."""

    task: StageTask
    grid: Grid
    problem: SearchProblem
    result: SearchResult  # the proven best
    chosen: tuple[int, ...]  # row of each camera: the best, or one nearly as good that has something else for it
    value: float  # of the chosen rows
    memory: Memory
    held: tuple[int, ...] = ()  # cameras kept where they stood in an earlier plan
    caveat: str = ""  # what was left undone or unproven of the choice itself

    @property
    def is_proven(self) -> bool:
        """Is the result as near the best as the search was asked to come."""
        within = proof_tolerance(len(self.chosen))
        return self.result.status == "optimal" and self.result.gap <= 2 * within * self.result.value

    @property
    def message(self) -> str:
        """How far the choice is proven, in words; a search that had no time to be exact is not called proven."""
        share = self.result.gap / self.result.value if self.result.value > 0 else 0.0
        stopped = f"stopped by the time limit at most {share:.3%} below the best of the places tried"
        return "; ".join(filter(None, (self.result.message if self.is_proven else stopped, self.caveat)))

    @property
    def positions(self) -> tuple[int, ...]:
        """Chosen position of each camera."""
        return tuple(self.grid.rows.position(row) for row in self.chosen)


def proof_tolerance(n_cameras: int) -> float:
    """Share of its value by which a result may fall short of the best and count as proven."""
    return EXACT if n_cameras <= FEW else WITHIN


def twin_of(stage: Stage, earlier: Sequence[Stage]) -> int | None:
    """Index of an earlier stage that asks the same and has the same choice."""
    twins = (i for i, s in enumerate(earlier) if s.problem is stage.problem and s.chosen == stage.chosen)
    return next(twins, None)


def others_level(stage: Stage, camera: int) -> Singles:
    """Best quality of the other cameras for each target of a stage, shape (n_targets,)."""
    level: Singles = stage.problem.quality[other_rows(stage, camera)].max(axis=0, initial=0.0)
    return level


def other_rows(stage: Stage, camera: int) -> list[int]:
    """Rows of the other cameras."""
    return [row for i, row in enumerate(stage.chosen) if i != camera]


def row_worths(stage: Stage, camera: int, *, first: int = 0) -> Floats:
    """Value of the stage with one camera on each row, the others kept.

    Parameters
    ----------
    first : position from which on rows are asked about

    Returns
    -------
    shape (n_rows,); -inf where the camera may not stand beside the others
    """
    own = rows_beside(stage.problem, camera, other_rows(stage, camera))
    own = own[own % stage.grid.rows.n_positions >= first] if first else own
    value = np.full(len(stage.problem.quality), -np.inf)
    level, weight = others_level(stage, camera), stage.problem.weight
    value[own] = float(weight @ level) + gains(stage.problem.quality, level, weight, own)
    return value


def place_worths(stage: Stage, camera: int, *, first: int = 0) -> Floats:
    """Value of the stage with one camera at each position with its best lens, like `row_worths`; (n_positions,)."""
    best: Floats = row_worths(stage, camera, first=first).reshape(-1, stage.grid.rows.n_positions).max(axis=0)
    return best


def worth_beside(match: Match, stage: Stage, index: int, outfits: Sequence[Outfit]) -> Worth:
    """Value of the stage for any positions of one camera with the best of some outfits, the others kept.

    Nearer to another camera than the rules allow, and across the line of action from one where they forbid it, it is
    -inf. Past the memory's deadline it raises OutOfTimeError.
    """
    level, weight = others_level(stage, index), stage.problem.weight
    others_m = stage.grid.candidates.xyz_m[[p for i, p in enumerate(stage.positions) if i != index]]
    clashing = None
    if stage.problem.clashes is not None:
        others_quality = stage.problem.quality[other_rows(stage, index)]
        clashing = clash_beside(stage.task.targets, others_m=others_m, others_quality=others_quality)

    def worth(xyz_m: Floats) -> Floats:
        stage.memory.in_time()
        quality = known_quality(stage.memory, match, stage.task, xyz_m, outfits)
        value: Floats = np.vecdot(np.maximum(quality, level), weight)
        value[
            :, ~stand_apart(xyz_m[:, None, :2], others_m[None, :, :2], match.rules.separation_m).all(axis=1)
        ] = -np.inf
        if clashing is not None:
            value[clashing(xyz_m, quality)] = -np.inf
        best: Floats = value.max(axis=0)
        return best

    return worth


def stage_stations(match: Match, stage: Stage) -> tuple[Station, ...]:
    """Spots and lenses that the search has chosen, one for each camera."""
    places, rows = stage.grid.candidates, stage.grid.rows
    return tuple(
        Station(camera, rows.outfit(row), spot_at(places.area_keys[int(places.area[at])], *places.xyz_m[at]))
        for camera, row, at in zip(match.cameras, stage.chosen, stage.positions, strict=True)
    )


def asks_once(match: Match, tasks: Sequence[StageTask]) -> bool:
    """Do all stages of a match ask the very same, and every period too: then it is one question, moves or not."""
    return all(len(task.targets) == 1 and is_same_question(match, tasks[0], task) for task in tasks)


def is_same_question(match: Match, first: StageTask, second: StageTask) -> bool:
    """Do two stages ask the very same: periods in the same proportion, same work, same light, same places open."""
    return (
        len(first.targets) == len(second.targets)
        and np.allclose(first.shares, second.shares, rtol=0.0, atol=1e-12)
        and all(area.periods is None for area in match.venue.allowed)
        and first.around == second.around
        and all(same_targets(a, b) for a, b in zip(first.targets, second.targets, strict=True))
    )
