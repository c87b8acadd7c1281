"""What each further lens or camera adds: the kit value table and the curve over the number of cameras."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.grid_people import GridPeople, rows_seen
from standmark.optimizer.advice.replan import replan, stages_value
from standmark.optimizer.choice.grid import Grid, PictureQuality, StageTask, spot_quality
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Camera, Match, camera_copies
from standmark.optimizer.value.outfit import Outfit, Rows, camera_outfits

CURVE_CAMERAS = 4  # most that the curve tries
DOUBLED = 2.0  # an extender that doubles the focal length costs two stops


@dataclass(frozen=True)
class KitValue:
    """One lens added to one camera's kit and the best plan with it."""

    lens: Lens
    camera: str  # that gains most from it
    coverage: float  # of the whole match, on the places of the plan
    seen: float  # captured usably
    gain: float  # coverage
    proven: bool


@dataclass(frozen=True)
class CurvePoint:
    """The best plan with a number of cameras: the match's own first, then more of the first one's kind."""

    n_cameras: int
    coverage: float
    upper_bound: float
    proven: bool
    seen: float  # captured usably
    gain: float  # coverage over one camera fewer


def kit_values(match: Match, stages: Sequence[Stage], people: Sequence[GridPeople]) -> tuple[KitValue, ...]:
    """Give each kind of camera in turn one of the lenses that could be hired, and plan again; best gain first.

    For each lens the camera is named that gains most from it. A doubler on the longest lens is always tried.

    Parameters
    ----------
    people : for each picture of the grid
    """
    now, grid = stages_value(stages), stages[0].grid
    values: list[KitValue] = []
    offers = [(i, lens) for i in unlike_cameras(match) for lens in offered_lenses(match, match.cameras[i])]
    if offers:
        grid = grid_with(match, stages, [outfit for i, lens in offers for outfit in lens_outfits(match, i, lens)])
    for index, lens in offers:
        camera = match.cameras[index]
        richer = replace(camera, lenses=(*camera.lenses, lens))
        more = replace(match, cameras=(*match.cameras[:index], richer, *match.cameras[index + 1 :]))
        plan = replan(more, stages, grid=grid)
        if plan is not None:
            seen, _ = rows_seen(stages, plan.rows, grid, people, wish=match.deliverable.faces)
            values.append(KitValue(lens, camera.name, plan.coverage, seen, max(plan.coverage - now, 0.0), plan.proven))
    values.sort(key=lambda k: -k.gain)
    first = {k.lens: k for k in reversed(values)}
    return tuple(k for k in values if first[k.lens] is k)


def offered_lenses(match: Match, camera: Camera) -> list[Lens]:
    """Lenses that a camera could get: those that may be hired and it does not have, and its longest one doubled."""
    longest = max(camera.lenses, key=lambda lens: lens.focal_mm[1])
    known = {lens.focal_mm for lens in camera.lenses}
    doubled = Lens(
        f"{longest.name} with 2x",
        (DOUBLED * longest.focal_mm[0], DOUBLED * longest.focal_mm[1]),
        (DOUBLED * longest.f_number[0], DOUBLED * longest.f_number[1]),
        longest.close_focus_m,
    )
    return [lens for lens in (*match.hire, doubled) if lens.focal_mm not in known]


def camera_curve(match: Match, stages: Sequence[Stage], people: Sequence[GridPeople]) -> tuple[CurvePoint, ...]:
    """Best plan for 1, 2, 3 and 4 cameras on the places of the plan; the curve ends where the rules leave no plan."""
    points: list[CurvePoint] = []
    for n in range(1, CURVE_CAMERAS + 1):
        plan = replan(replace(match, cameras=camera_copies(match.cameras, n)), stages)
        if plan is None:
            break
        before = points[-1].coverage if points else 0.0
        seen, _ = rows_seen(stages, plan.rows, stages[0].grid, people, wish=match.deliverable.faces)
        gain = max(plan.coverage - before, 0.0)
        points.append(CurvePoint(n, plan.coverage, plan.upper_bound, plan.proven, seen, gain))
    return tuple(points)


def unlike_cameras(match: Match) -> list[int]:
    """First camera of each kind of kit."""
    kinds = [(c.mode, c.more_modes, c.lenses, c.support, c.lens_height_m, c.areas, c.fixed) for c in match.cameras]
    return [i for i, kind in enumerate(kinds) if kinds.index(kind) == i]


def lens_outfits(match: Match, index: int, lens: Lens) -> tuple[Outfit, ...]:
    """What a camera films with when it has one lens."""
    return camera_outfits(match, replace(match.cameras[index], lenses=(lens,)))


def grid_with(match: Match, stages: Sequence[Stage], outfits: Sequence[Outfit]) -> Grid:
    """Grid of the stages with more outfits."""
    old = stages[0].grid
    fresh = tuple(dict.fromkeys(o for o in outfits if o not in old.rows.outfits))
    pictures = []
    for picture in old.pictures:
        task = StageTask((), (picture.targets,), (picture.around,), ())
        quality = spot_quality(match, task, old.candidates.xyz_m, fresh).reshape(-1, len(picture.targets.weight))
        pictures.append(PictureQuality(picture.targets, picture.around, np.vstack([picture.quality, quality])))
    rows = Rows((*old.rows.outfits, *fresh), old.rows.n_positions, ())
    return Grid(old.candidates, rows, tuple(pictures))
