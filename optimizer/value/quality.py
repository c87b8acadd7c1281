"""The value model: how probable it is that a moment at a target is captured usably from a row, and shows faces.

seen = size x clear x held x light is that probability; faces is the share of it that shows faces. What is maximised is
the value seen x (1 - f m (1 - faces)): m how much faces matter in the moment, f how much the deliverable wishes for
them. `clear`, `light` and `faces` depend on the position only; `size` and `held` on the lens, the recording mode, the
support and the operator as well. Work goes in blocks of positions, so memory stays near the size of the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from functools import cache
from types import ModuleType

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.compiled import MOST_ON_ONE_THREAD, N_THREADS, kernel
from standmark.geometry.optics.camera import Operator, RecordingMode, Support
from standmark.geometry.sightlines.blockage import Crowd
from standmark.geometry.view.facing import facing_share, toward_lens
from standmark.geometry.view.follow import follow_share, pan_tilt_squares
from standmark.geometry.view.held import held_share, jump_weight, lag_s
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals, lines_of_sight
from standmark.optimizer.match.match import Deliverable
from standmark.optimizer.value.close_focus import lose_too_near, too_near
from standmark.optimizer.value.crowd import crowd_of, share_past_people
from standmark.optimizer.value.ground_view import SunLight
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.packed import NAME, Packed, fill_values, pack_film, pack_outfits, pack_sun, pack_targets
from standmark.optimizer.value.size import (
    WantedSize,
    focal_in_use_mm,
    framed_extent_m,
    look_down_share,
    reach_in_use_m_mm,
    size_share,
    wanted_size,
)
from standmark.optimizer.value.targets import Targets

SEEN = ("size", "clear", "held", "light")  # factors whose product is the probability of usable footage
FACTORS = (*SEEN, "faces")  # everything that can cost value

# How the work is cut: small enough for the cache, long enough that two threads seldom wait for each other; none
# changes the answer.
SIGHTS_AT_ONCE = (128, 448)  # positions: least that are worth a second thread, most
CELLS_AT_ONCE = (64, 4096)  # positions, targets
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
    """The factors for one position and outfit, each of shape (n_targets,), and the focal length used."""

    size: Floats
    clear: Floats
    held: Floats
    light: Floats
    faces: Floats  # share of the picture that shows faces
    wish: Floats  # f m: share of the worth that hangs on faces
    focal_mm: Floats

    @property
    def seen(self) -> Floats:
        """Probability that a moment is captured usably, shape (n_targets,)."""
        return self.size * self.clear * self.held * self.light

    @property
    def shown(self) -> Floats:
        """Probability that it is captured usably and shows faces, shape (n_targets,)."""
        return self.seen * self.faces

    @property
    def quality(self) -> Floats:
        """Value that is maximised, shape (n_targets,)."""
        return self.seen * self._worth()

    def quality_without(self, factor: str) -> Floats:
        """Value if one factor cost nothing, shape (n_targets,)."""
        rest = [getattr(self, name) for name in SEEN if name != factor]
        return np.asarray(np.prod(rest, axis=0) * (1.0 if factor == "faces" else self._worth()))

    def _worth(self) -> Floats:
        return 1.0 - self.wish * (1.0 - self.faces)


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
    compiled = kernel(NAME)
    if compiled is None:
        _fill_in_numpy(quality, positions_m, targets, rows.outfits, deliverable, around)
    elif quality.size:
        _fill_compiled(compiled, quality, positions_m, targets, rows.outfits, deliverable, around)
    lose_too_near(quality, positions_m, targets, rows.outfits)
    return quality.reshape(-1, quality.shape[2])


def _fill_compiled(
    compiled: ModuleType,
    quality: Singles,
    positions_m: Floats,
    targets: Targets,
    outfits: tuple[Outfit, ...],
    deliverable: Deliverable,
    around: Surroundings,
) -> None:
    sun, other_light = (around.light, None) if isinstance(around.light, SunLight) else (None, around.light)
    how = pack_outfits(targets, outfits, deliverable)
    packed = Packed(pack_targets(targets), pack_film(deliverable), how, pack_sun(targets, sun))
    positions_m = np.ascontiguousarray(positions_m, np.float64)

    def fill(part: slice) -> None:
        here_m = positions_m[part]
        sight = None if around.sight is None else around.sight(here_m, targets)
        if other_light is not None:
            light = other_light(lines_of_sight(here_m, targets.xyz_m, dtype=np.float32))
            sight = np.asarray(light if sight is None else sight * light, np.float32)
        fill_values(compiled, quality, here_m, packed, first=part.start, sight=sight)

    _share_out(fill, _cut(len(positions_m), CELLS_AT_ONCE[0]), n_cells=quality[0].size)


def _share_out(work: Callable[[slice], None], parts: list[slice], *, n_cells: int) -> None:
    """Do the parts of some work on a few threads, or on this one where it is little."""
    if len(parts) == 1 or n_cells <= MOST_ON_ONE_THREAD:
        for part in parts:
            work(part)
        return
    with ThreadPoolExecutor(N_THREADS) as pool:
        list(pool.map(work, parts))


def _fill_in_numpy(
    quality: Singles,
    positions_m: Floats,
    targets: Targets,
    outfits: tuple[Outfit, ...],
    deliverable: Deliverable,
    around: Surroundings,
) -> None:
    columns = _cut(quality.shape[2], CELLS_AT_ONCE[1])
    tasks = [_task(_some_targets(targets, column), outfits, deliverable, around) for column in columns]

    def fill(part: slice) -> None:
        for column, task in zip(columns, tasks, strict=True):
            sight = lines_of_sight(positions_m[part], task.targets.xyz_m, dtype=np.float32)
            _fill(quality[:, part, column], sight, task)

    def see(part: slice) -> None:
        if around.sight is not None:
            quality[:, part] *= around.sight(positions_m[part], targets)

    sights = int(np.clip(-(-len(positions_m) // N_THREADS), *SIGHTS_AT_ONCE))
    _share_out(fill, _cut(len(positions_m), CELLS_AT_ONCE[0]), n_cells=quality[0].size)
    _share_out(see, _cut(len(positions_m), sights), n_cells=quality[0].size)


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
    """Give the factors for one position and outfit, to explain and to draw.

    Parameters
    ----------
    position_m : shape (3,), lens position
    """
    positions_m = np.asarray(position_m, dtype=float)[None, :]
    return rows_factors(positions_m, targets, outfits=(outfit,), deliverable=deliverable, around=around)[0]


def rows_factors(
    positions_m: Floats, targets: Targets, *, outfits: Sequence[Outfit], deliverable: Deliverable, around: Surroundings
) -> list[Factors]:
    """Give the factors for several positions, each with its own outfit, as `row_factors` gives them one by one.

    Parameters
    ----------
    positions_m : shape (n, 3), lens positions
    outfits : one a position
    """
    task, sight = _task(targets, tuple(outfits), deliverable, around), lines_of_sight(positions_m, targets.xyz_m)
    toward = toward_lens(sight, targets.facing_rad)
    clear, light = share_past_people(sight, toward, targets, task.crowd), _light(sight, around)
    if around.sight is not None:
        clear = clear * around.sight(positions_m, targets)
    down, rates = look_down_share(sight, deliverable), _rates(sight, toward, targets)
    size, held, focal_mm = (np.empty_like(sight.distance_m) for _ in range(3))
    for outfit in dict.fromkeys(outfits):
        rows = np.flatnonzero([other == outfit for other in outfits])
        wanted = task.wanted[outfit.mode]
        reach = reach_in_use_m_mm(sight.distance_m[rows], wanted, outfit.lens)
        size[rows] = _size(reach, wanted, None if down is None else down[rows])
        held[rows] = _held(reach, outfit, _jumps(sight, targets, outfit.operator)[rows], targets)
        held[rows] *= _follow((rates[0][rows], rates[1][rows]), outfit.support)
        focal_mm[rows] = focal_in_use_mm(sight.distance_m[rows], wanted, outfit.lens)
    for lost, position_m, outfit in zip(size, positions_m, outfits, strict=True):
        lost[too_near(position_m, targets, outfit)] = 0.0
    faces = facing_share(toward, facing_pull=targets.facing_pull)
    wish = targets.faces_matter * deliverable.faces
    return [
        Factors(size[i], clear[i], held[i], light[i], faces[i], wish, focal_mm[i]) for i in range(len(positions_m))
    ]  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Task:
    """What does not depend on the position."""

    targets: Targets
    outfits: tuple[Outfit, ...]
    deliverable: Deliverable
    around: Surroundings
    crowd: Crowd
    wanted: dict[RecordingMode, WantedSize]


def _task(targets: Targets, outfits: tuple[Outfit, ...], deliverable: Deliverable, around: Surroundings) -> _Task:
    extent_m = framed_extent_m(targets.extent_m, deliverable)
    wanted = {
        mode: wanted_size(targets.subject_m, extent_m, mode=mode, deliverable=deliverable)
        for mode in {outfit.mode for outfit in outfits}
    }
    return _Task(targets, outfits, deliverable, around, crowd_of(targets), wanted)


def _fill(quality: Singles, sight: LinesOfSight, task: _Task) -> None:
    """Quality of a few positions with every outfit but for what stands in the way, shape (n_outfits, p, t)."""
    targets = task.targets
    toward = toward_lens(sight, targets.facing_rad)
    common = share_past_people(sight, toward, targets, task.crowd)
    if task.around.light is not None:
        common *= task.around.light(sight)
    if task.deliverable.faces > 0:
        common *= _worth(toward, task)
    down, rates = look_down_share(sight, task.deliverable), _rates(sight, toward, targets)
    rest: dict[Support, Reals] = {}
    jumps: dict[Operator, Reals] = {}
    for out, outfit in zip(quality, task.outfits, strict=True):
        if outfit.support not in rest:
            rest[outfit.support] = _follow(rates, outfit.support) * common
        if outfit.operator not in jumps:
            jumps[outfit.operator] = _jumps(sight, targets, outfit.operator)
        wanted = task.wanted[outfit.mode]
        reach = reach_in_use_m_mm(sight.distance_m, wanted, outfit.lens)
        np.multiply(_size(reach, wanted, down), rest[outfit.support], out=out)
        out *= _held(reach, outfit, jumps[outfit.operator], targets)


def _light(sight: LinesOfSight, around: Surroundings) -> Reals:
    """Light factor, 1 where nothing is said, shape (p, t)."""
    return np.ones_like(sight.run_m) if around.light is None else around.light(sight)


def _worth(toward: Reals, task: _Task) -> Reals:
    """What faces leave of the value, ``1 - f m (1 - faces)`` with ``faces = (1 + pull cos) / 2``, shape (p, t)."""
    half = 0.5 * task.deliverable.faces * task.targets.faces_matter
    worth = toward * (half * task.targets.facing_pull).astype(toward.dtype)
    worth += (1.0 - half).astype(toward.dtype)
    return worth


def _size(reach: Reals, wanted: WantedSize, down: Reals | None) -> Reals:
    size = size_share(reach, wanted)
    if down is not None:
        size *= down
    return size


def _jumps(sight: LinesOfSight, targets: Targets, operator: Operator) -> Reals:
    """How little jumps of play lead an operator's frame, see `jump_weight`."""
    along_m_s, across_m_s = targets.jump_m_s.T
    late_s = lag_s(operator.delay_s, catch_up_s=targets.catch_up_s)
    return jump_weight(sight, along_m_s=along_m_s, across_m_s=across_m_s, lag_s=late_s)


def _held(reach: Reals, outfit: Outfit, jumps: Reals, targets: Targets) -> Reals:
    """Share of moments that are in the frame although the operator lags."""
    return held_share(reach, jumps, width_mm=outfit.mode.width_mm, jump_share=targets.jump_share)


def _rates(sight: LinesOfSight, toward: Reals, targets: Targets) -> tuple[Reals, Reals]:
    """Mean squares of the pan and tilt rates of the people who matter, who move the way they face."""
    return pan_tilt_squares(sight, toward, speed_m_s=targets.speed_m_s, spread_pull=targets.facing_pull)


def _follow(rates: tuple[Reals, Reals], support: Support) -> Reals:
    """Share of moments in which the support turns fast enough."""
    pan, tilt = rates
    return follow_share(pan, tilt, pan_deg_s=support.pan_deg_s, tilt_deg_s=support.tilt_deg_s)
