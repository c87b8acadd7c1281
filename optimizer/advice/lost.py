"""What is left when a camera drops out: the best plan without it, and where the others then stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.grid_people import GridPeople, rows_seen
from standmark.optimizer.advice.replan import Replan, replan, stages_value
from standmark.optimizer.choice.fewest_moves import fewest_moves
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.choice.rules import keeps_floors
from standmark.optimizer.choice.stage import FEW, Stage, other_rows
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.search import set_value
from standmark.optimizer.work.assignment import Spot, spot_at
from standmark.sports.timeline import length_shares


@dataclass(frozen=True)
class Post:
    """One camera that is left, in the periods of one stage."""

    periods: tuple[str, ...]  # keys
    camera: str
    spot: Spot
    lens: Lens
    is_moved: bool  # from its place in the plan with all cameras


@dataclass(frozen=True)
class Lost:
    """What is left without one camera: the best plan of the others, or with many cameras all others where they are."""

    camera: str
    coverage: float | None  # of the whole match; None: the rules leave no plan
    seen: float | None  # captured usably
    loss: float | None  # coverage
    posts: tuple[Post, ...]


def lost_cameras(match: Match, stages: Sequence[Stage], people: Sequence[GridPeople]) -> tuple[Lost, ...]:
    """Plan again without each camera in turn; () for a single camera. Moves between stages have no price here.

    With more than FEW cameras the others stay where that is allowed: a whole crew does not walk for one camera.

    Parameters
    ----------
    people : for each picture of the grid
    """
    if len(match.cameras) == 1:
        return ()
    known: dict[tuple[Camera, ...], Replan | None] = {}  # by the kit that is left: cameras alike are lost alike
    lost = []
    for index in range(len(match.cameras)):
        fewer = replace(match, cameras=tuple(c for i, c in enumerate(match.cameras) if i != index))
        plan = _kept(match, stages, index)
        if plan is None:
            kit = tuple(replace(camera, name="", kit_of=None) for camera in fewer.cameras)
            if kit not in known:
                known[kit] = replan(fewer, stages)
            plan = known[kit]
        lost.append(_lost(match, fewer, stages, people, index, plan))
    return tuple(lost)


def _lost(
    match: Match,
    fewer: Match,
    stages: Sequence[Stage],
    people: Sequence[GridPeople],
    camera: int,
    plan: Replan | None,
) -> Lost:
    """Say what a plan without one camera covers, and where the others then stand."""
    name = match.cameras[camera].name
    if plan is None:
        return Lost(name, None, None, None, ())
    grid = stages[0].grid
    rows = match_rows(fewer, grid.candidates, outfits=grid.rows.outfits)
    posts = []
    for stage, chosen in zip(stages, plan.rows, strict=True):
        before = [p for i, p in enumerate(stage.positions) if i != camera]
        after = [rows.position(row) for row in chosen]
        xyz_m = grid.candidates.xyz_m
        order = fewest_moves(fewer, rows.by_camera, xyz_m[before], xyz_m[after])
        for index, kept in enumerate(fewer.cameras):
            row = chosen[order[index]]
            at = rows.position(row)
            spot = spot_at(grid.candidates.area_keys[int(grid.candidates.area[at])], *xyz_m[at])
            keys = tuple(p.key for p in stage.task.periods)
            posts.append(Post(keys, kept.name, spot, rows.outfit(row).lens, at != before[index]))
    seen, _ = rows_seen(stages, plan.rows, grid, people, wish=match.deliverable.faces)
    return Lost(name, plan.coverage, seen, max(stages_value(stages) - plan.coverage, 0.0), tuple(posts))


def _kept(match: Match, stages: Sequence[Stage], camera: int) -> Replan | None:
    """Everybody else where they are, for many cameras; None for few, or where a least coverage is missed."""
    if len(match.cameras) <= FEW:
        return None
    rows = [tuple(other_rows(stage, camera)) for stage in stages]
    if not all(
        keeps_floors(s.problem, s.problem.quality[list(r)].max(axis=0)) for s, r in zip(stages, rows, strict=True)
    ):
        return None
    values = [set_value(s.problem, own) for s, own in zip(stages, rows, strict=True)]
    coverage = float(length_shares(s.task for s in stages) @ values)
    return Replan(coverage, coverage, False, tuple(rows))
