"""Is the bag long enough for the sport; if not, what to hire, and what one gets with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.grid_people import GridPeople, rows_seen
from standmark.optimizer.advice.kit_value import grid_with, lens_outfits, unlike_cameras
from standmark.optimizer.advice.replan import replan, stages_value
from standmark.optimizer.choice.grid import Grid
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.presets import LONG
from standmark.optimizer.value.outfit import working_mode

FULL_FRAME_MM = 36.0  # sensor width for which focal lengths of a sport are given
SHORT_SHARE = 0.9  # of the longest focal length that the sport asks for: a bag that reaches less is short
ALWAYS_TRIED_MM = 600.0  # lenses are tried at least to here, and beyond only while they pay
PAYS = 0.01  # coverage that a longer lens must add to be worth its hire


@dataclass(frozen=True)
class Hire:
    """One longer lens for one camera."""

    lens: Lens
    camera: str  # that gains most from it
    coverage: float  # of the whole match with it
    seen: float  # captured usably with it
    gain: float  # coverage


@dataclass(frozen=True)
class BagAdvice:
    """How far the bag reaches, what the sport asks for, and what to hire; focal lengths on a frame 36 mm wide."""

    asked_mm: tuple[float, float]
    longest_mm: float
    is_short: bool
    coverage: float  # of the whole match, at the proven best with the bag as it is
    seen: float  # captured usably there
    hire: Hire | None  # None: the bag is long enough, or no longer lens pays here


def reach_mm(match: Match, camera: Camera) -> float:
    """Longest focal length of a camera's bag, as it would be on a frame 36 mm wide."""
    return _longest_mm(camera) * FULL_FRAME_MM / working_mode(match, camera).width_mm


def bag_advice(match: Match, stages: Sequence[Stage], people: Sequence[GridPeople]) -> BagAdvice | None:
    """Compare the bag with what the sport asks for, and try longer lenses where it is short.

    Lenses are tried from the shortest to the longest, one camera at a time, with everything planned again; of those
    nearly as good the shortest is named. None where the sport does not say what it asks for.

    Parameters
    ----------
    people : for each picture of the grid
    """
    if match.sport.bag is None:
        return None
    asked_mm, now = match.sport.bag.focal_mm, stages_value(stages)
    seen, _ = rows_seen(stages, [s.result.rows for s in stages], stages[0].grid, people, wish=match.deliverable.faces)
    longest_mm = max(reach_mm(match, camera) for camera in match.cameras)
    is_short = longest_mm < SHORT_SHARE * asked_mm[1]
    hire = _hire(match, stages, people, now) if is_short else None
    return BagAdvice(asked_mm, longest_mm, is_short, now, seen, hire)


def _longest_mm(camera: Camera) -> float:
    return max(lens.focal_mm[1] for lens in camera.lenses)


def _hire(match: Match, stages: Sequence[Stage], people: Sequence[GridPeople], now: float) -> Hire | None:
    """Shortest lens that gains all but PAYS of what the best of them gains; None where none gains PAYS.

    A lens that gains no more than PAYS over the one at hand changes nothing, so that is all that is asked of it.
    """
    kinds = unlike_cameras(match)
    shortest_mm = min(_longest_mm(camera) for camera in match.cameras)
    lenses = [lens for lens in _zooms_first({*match.hire, *LONG}) if lens.focal_mm[1] > shortest_mm]
    own = {lens: [i for i in kinds if lens.focal_mm[1] > _longest_mm(match.cameras[i])] for lens in lenses}
    always = [(i, lens) for lens in lenses if lens.focal_mm[1] <= ALWAYS_TRIED_MM for i in own[lens]]
    grid = _grid_with_few(match, stages, always)

    def gaining(lens: Lens, more_than: float) -> Hire | None:
        best = None
        for index in own[lens]:
            least = now + (more_than if best is None else best.gain)
            best = _with_lens(match, stages, people, grid, index, lens, now, least) or best
        return best

    hire: Hire | None = None
    since: list[Lens] = []  # longer ones tried since, none of which gains PAYS more
    for lens in lenses:
        if lens.focal_mm[1] > ALWAYS_TRIED_MM and since:
            break
        better = gaining(lens, PAYS + (0.0 if hire is None else hire.gain))
        since.append(lens)
        if better is not None:
            as_good = (gaining(shorter, better.gain - PAYS) for shorter in since[:-1])
            hire = next((other for other in as_good if other is not None), better)
            since = since[since.index(hire.lens) + 1 :]
    return hire


def _zooms_first(lenses: set[Lens]) -> list[Lens]:
    """Lenses by their reach, without primes that a zoom holds: one that turns out too long would be no help."""
    zooms = [lens.focal_mm for lens in lenses if lens.focal_mm[0] < lens.focal_mm[1]]
    kept = [n for n in lenses if n.focal_mm in zooms or not any(low <= n.focal_mm[0] <= high for low, high in zooms)]
    return sorted(kept, key=lambda lens: (lens.focal_mm[1], lens.name))


def _grid_with_few(match: Match, stages: Sequence[Stage], offers: Sequence[tuple[int, Lens]]) -> Grid:
    """Grid with all offers of a lens to a camera, valued at once; as it is where they would more than double it."""
    stages[0].memory.in_time()
    outfits = list(dict.fromkeys(o for index, lens in offers for o in lens_outfits(match, index, lens)))
    grid = stages[0].grid
    return grid_with(match, stages, outfits) if 0 < len(outfits) <= len(grid.rows.outfits) else grid


def _with_lens(
    match: Match,
    stages: Sequence[Stage],
    people: Sequence[GridPeople],
    grid: Grid,
    index: int,
    lens: Lens,
    now: float,
    least: float,
) -> Hire | None:
    """Plan again with a lens for one camera, on a grid that may have it; None where no more than `least` is covered."""
    stages[0].memory.in_time()
    camera = match.cameras[index]
    richer = replace(camera, lenses=(*camera.lenses, lens))
    more = replace(match, cameras=(*match.cameras[:index], richer, *match.cameras[index + 1 :]))
    outfits = lens_outfits(match, index, lens)
    if not all(outfit in grid.rows.outfits for outfit in outfits):
        grid = grid_with(match, stages, outfits)
    plan = replan(more, stages, grid=grid, above=least)
    if plan is None:
        return None
    seen, _ = rows_seen(stages, plan.rows, grid, people, wish=match.deliverable.faces)
    return Hire(lens, camera.name, plan.coverage, seen, max(plan.coverage - now, 0.0))
