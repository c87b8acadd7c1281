"""What each raised place would add if the ground said yes: it is weighed beside the plan, the other cameras kept."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.candidates import lens_heights_m, sample_places, standing_shape
from standmark.optimizer.choice.stage import Stage, twin_of, worth_beside
from standmark.optimizer.match.match import AllowedArea, Camera, Match
from standmark.optimizer.value.outfit import Outfit, camera_outfits
from standmark.optimizer.work.assignment import Spot, spot_at
from standmark.sports.timeline import length_shares

PLACES = 4  # tried in one raised place, more or less; the gain is at least what they give


@dataclass(frozen=True)
class Ask:
    """A place to ask for: one camera there for the whole match, the others where they are."""

    area: str  # key of a place in venue.asked
    camera: str
    spot: Spot
    lens: Lens
    coverage: float  # of the whole match; without the place where that is better
    gain: float


def asks(match: Match, stages: Sequence[Stage]) -> tuple[Ask, ...]:
    """Weigh every place that the ground has not answered for, dearest first; none that no camera can use."""
    by_area: dict[str, Ask] = {}
    for index, camera in enumerate(match.cameras):
        if camera.fixed is None:
            for ask in _for_camera(match, stages, index):
                known = by_area.get(ask.area)
                if known is None or ask.coverage > known.coverage:
                    by_area[ask.area] = ask
    return tuple(sorted(by_area.values(), key=lambda ask: (-round(ask.gain, 9), ask.area)))


def _for_camera(match: Match, stages: Sequence[Stage], index: int) -> Iterator[Ask]:
    """Best of each place for one camera."""
    camera = match.cameras[index]
    places = [(area, _positions(match, area, camera)) for area in match.venue.asked]
    places = [(area, xyz_m) for area, xyz_m in places if len(xyz_m)]
    if not places:
        return
    share = length_shares(s.task for s in stages)
    now = float(share @ [s.value for s in stages])
    outfits = camera_outfits(match, camera)
    worth = share @ _worths(match, stages, index, outfits, np.vstack([xyz_m for _, xyz_m in places]))
    first = 0
    for area, xyz_m in places:
        best = int(worth[first : first + len(xyz_m)].argmax())
        coverage = max(float(worth[first + best]), now)
        lens = _lens(match, stages[0], index, outfits, xyz_m[best])
        yield Ask(area.key, camera.name, spot_at(area.key, *xyz_m[best]), lens, coverage, coverage - now)
        first += len(xyz_m)


def _positions(match: Match, area: AllowedArea, camera: Camera) -> Floats:
    """A few places of an area at its lowest and highest lens, shape (n, 3)."""
    shape, heights_m = standing_shape(match, area), lens_heights_m(area, camera)
    xy_m = sample_places(shape, spacing_m=math.sqrt(max(shape.area, 1.0) / PLACES))
    if not heights_m or not len(xy_m):
        return np.empty((0, 3))
    ends = sorted({heights_m[0], heights_m[-1]})
    return np.concatenate([np.column_stack([xy_m.round(3), np.full(len(xy_m), h)]) for h in ends])


def _worths(match: Match, stages: Sequence[Stage], index: int, outfits: Sequence[Outfit], xyz_m: Floats) -> Floats:
    """Coverage of each stage with one camera at each position with its best lens, shape (stages, positions)."""
    worths: list[Floats] = []
    for i, stage in enumerate(stages):
        twin = twin_of(stage, stages[:i])
        worths.append(worth_beside(match, stage, index, outfits)(xyz_m) if twin is None else worths[twin])
    return np.array(worths)


def _lens(match: Match, stage: Stage, index: int, outfits: Sequence[Outfit], xyz_m: Floats) -> Lens:
    """Lens that gets most from a position."""
    worths = [float(worth_beside(match, stage, index, (outfit,))(xyz_m[None])[0]) for outfit in outfits]
    return outfits[int(np.argmax(worths))].lens
