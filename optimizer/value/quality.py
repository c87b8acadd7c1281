"""The value model: how probable it is that a moment at a target is captured usably from a row.

q = size x facing x clear x light x follow, each factor 0..1 and reported by itself. `facing`, `clear`
and `light` depend on the position only; `size` and `follow` on the lens, the recording mode and the
support as well. Work goes in blocks of positions, so memory stays near the size of the answer.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.optics.camera import RecordingMode, Support
from standmark.geometry.sightlines.blockage import BODY_HEIGHT_M, Crowd, clear_probability, crowd_round
from standmark.geometry.view.facing import facing_share
from standmark.geometry.view.follow import follow_share, pan_tilt_rates_deg_s
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals, lines_of_sight
from standmark.optimizer.match.match import Deliverable
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.size import (
    Wanted,
    focal_in_use_mm,
    framed_extent_m,
    look_down_share,
    size_share,
    wanted_size,
)
from standmark.optimizer.value.targets import Targets

FACTORS = ("size", "facing", "clear", "light", "follow")

# How the work is cut: small enough for the cache, long enough that two threads seldom wait for each other; none
# changes the answer.
SIGHTS_AT_ONCE = (128, 448)  # positions: least that are worth a second thread, most
CELLS_AT_ONCE = (64, 4096)  # positions, targets
N_THREADS = 2
ONCE_FREED_BYTES = 31 << 20  # just under the most that glibc takes for a hint

# light(sight) -> (p, t); None: floodlit or indoor, 1 everywhere
LightModel = Callable[[LinesOfSight], Reals]
# sight(positions (p, 3), targets) -> (p, t): visible share past fixed occluders; None: nothing stands in the way
SightModel = Callable[[Floats, Targets], Singles]


@dataclass(frozen=True)
class Surroundings:
    """What the ground adds to the view: light and fixed things in the way."""

    light: LightModel | None = None
    sight: SightModel | None = None


@dataclass(frozen=True, eq=False)
class Factors:
    """The factors of q for one position and outfit, each of shape (n_targets,), and the focal length used."""

    size: Floats
    facing: Floats
    clear: Floats
    light: Floats
    follow: Floats
    focal_mm: Floats

    @property
    def quality(self) -> Floats:
        """Product of the five factors, shape (n_targets,)."""
        return self.size * self.facing * self.clear * self.light * self.follow


def quality_matrix(
    positions_m: Floats, targets: Targets, *, rows: Rows, deliverable: Deliverable, around: Surroundings
) -> Singles:
    """Quality of every row for every target.

    Parameters
    ----------
    positions_m : shape (n_positions, 3), lens positions
    rows : the outfits; row = outfit index x n_positions + position index

    Returns
    -------
    shape (n_outfits * n_positions, n_targets), float32 in [0, 1]
    """
    _keep_freed_memory()
    quality = np.empty((len(rows.outfits), len(positions_m), len(targets.weight)), dtype=np.float32)
    columns = _cut(quality.shape[2], CELLS_AT_ONCE[1])
    tasks = [_task(_some_targets(targets, column), rows.outfits, deliverable, around) for column in columns]

    def fill(part: slice) -> None:
        for column, task in zip(columns, tasks, strict=True):
            sight = lines_of_sight(positions_m[part], task.targets.xyz_m, dtype=np.float32)
            _fill(quality[:, part, column], sight, task)

    def see(part: slice) -> None:
        if around.sight is not None:
            quality[:, part] *= around.sight(positions_m[part], targets)

    sights = int(np.clip(-(-len(positions_m) // N_THREADS), *SIGHTS_AT_ONCE))
    with ThreadPoolExecutor(N_THREADS) as pool:
        list(pool.map(fill, _cut(len(positions_m), CELLS_AT_ONCE[0])))
        list(pool.map(see, _cut(len(positions_m), sights)))
    return quality.reshape(-1, quality.shape[2])


@cache
def _keep_freed_memory() -> None:
    """Once in a process: let the C library keep what is freed, so that every block does not get new pages to zero.

    glibc raises its limits for giving memory back when a large piece is freed (mallopt(3), M_MMAP_THRESHOLD); the
    piece is never touched, so it costs nothing.
    """
    np.empty(ONCE_FREED_BYTES, np.uint8)


def _cut(n: int, size: int) -> list[slice]:
    return [slice(first, min(first + size, n)) for first in range(0, n, size)]


def _some_targets(targets: Targets, part: slice) -> Targets:
    columns = {f.name: getattr(targets, f.name)[part] for f in fields(Targets) if f.name != "moment_keys"}
    return replace(targets, **columns)


def row_factors(
    position_m: Floats, targets: Targets, *, outfit: Outfit, deliverable: Deliverable, around: Surroundings
) -> Factors:
    """Give the five factors for one position and outfit, to explain and to draw.

    Parameters
    ----------
    position_m : shape (3,), lens position
    """
    position = np.asarray(position_m, dtype=float)[None, :]
    task, sight = _task(targets, (outfit,), deliverable, around), lines_of_sight(position, targets.xyz_m)
    facing, clear, light = _position_factors(sight, task)
    if around.sight is not None:
        clear = clear * around.sight(position, targets)
    focal_mm = focal_in_use_mm(sight.distance_m, task.wanted[outfit.mode], outfit.lens)
    size = _size(sight, focal_mm, outfit, task, look_down_share(sight, deliverable))
    follow = _follow(_rates(sight, targets), outfit)
    return Factors(*(np.asarray(f[0], np.float64) for f in (size, facing, clear, light, follow, focal_mm)))


@dataclass(frozen=True, eq=False)
class _Task:
    """What does not depend on the position."""

    targets: Targets
    outfits: tuple[Outfit, ...]
    deliverable: Deliverable
    around: Surroundings
    crowd: Crowd
    wanted: dict[RecordingMode, Wanted]


def _task(targets: Targets, outfits: tuple[Outfit, ...], deliverable: Deliverable, around: Surroundings) -> _Task:
    crowd = crowd_round(
        targets.crowd_per_m2,
        targets.crowd_radius_m,
        beyond_per_m2=targets.beyond_per_m2,
        body_height_m=np.maximum(BODY_HEIGHT_M, targets.subject_m),  # people round the subject are like it
    )
    extent_m = framed_extent_m(targets.extent_m, deliverable)
    wanted = {
        mode: wanted_size(targets.subject_m, extent_m, mode=mode, deliverable=deliverable)
        for mode in {outfit.mode for outfit in outfits}
    }
    return _Task(targets, outfits, deliverable, around, crowd, wanted)


def _fill(quality: Singles, sight: LinesOfSight, task: _Task) -> None:
    """Quality of a few positions with every outfit but for what stands in the way, shape (n_outfits, p, t)."""
    facing, common, light = _position_factors(sight, task)
    common *= facing
    common *= light
    down, rates = look_down_share(sight, task.deliverable), _rates(sight, task.targets)
    rest: dict[Support, Reals] = {}
    for out, outfit in zip(quality, task.outfits, strict=True):
        if outfit.support not in rest:
            rest[outfit.support] = _follow(rates, outfit) * common
        focal_mm = focal_in_use_mm(sight.distance_m, task.wanted[outfit.mode], outfit.lens)
        np.multiply(_size(sight, focal_mm, outfit, task, down), rest[outfit.support], out=out)


def _position_factors(sight: LinesOfSight, task: _Task) -> tuple[Reals, Reals, Reals]:
    """Facing, clear of people, and light, each of shape (n_positions, n_targets)."""
    targets = task.targets
    facing = facing_share(
        sight,
        facing_rad=targets.facing_rad,
        facing_pull=targets.facing_pull,
        faces_matter=np.minimum(targets.faces_matter * task.deliverable.faces_scale, 1.0),
    )
    light = np.ones_like(facing) if task.around.light is None else task.around.light(sight)
    return facing, clear_probability(sight, task.crowd, subject_m=targets.subject_m), light


def _size(sight: LinesOfSight, focal_mm: Reals, outfit: Outfit, task: _Task, down: Reals | None) -> Reals:
    size = size_share(sight.distance_m, task.wanted[outfit.mode], focal_mm=focal_mm)
    if down is not None:
        size *= down
    return size


def _rates(sight: LinesOfSight, targets: Targets) -> tuple[Reals, Reals]:
    """Pan and tilt rates of the people who matter."""
    return pan_tilt_rates_deg_s(
        sight, speed_m_s=targets.speed_m_s, heading_rad=targets.facing_rad, spread_pull=targets.facing_pull
    )


def _follow(rates: tuple[Reals, Reals], outfit: Outfit) -> Reals:
    """Share of moments that the operator follows in both directions."""
    pan, tilt = rates
    share = follow_share(pan, limit_deg_s=outfit.support.pan_deg_s)
    share *= follow_share(tilt, limit_deg_s=outfit.support.tilt_deg_s)
    return share
