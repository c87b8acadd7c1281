"""What the compiled value model reads: the parts of `quality.py` that hang on no position, as plain arrays.

`value_kernel.c` names every row; the order here and there is the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from types import ModuleType
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.light.grandstand import is_shaded
from standmark.geometry.light.sun_light import INTO_SUN_DEG, SIDE_LIGHT_DEG, sun_losses
from standmark.geometry.sightlines.blockage import NODES, WEIGHTS, crowd_round
from standmark.geometry.view.held import NO_JUMP_M2, lag_s
from standmark.optimizer.match.match import Deliverable
from standmark.optimizer.value.crowd import crowd_of
from standmark.optimizer.value.ground_view import SunLight
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.size import FLAT_SHARE, LOST_DOWN_DEG, framed_extent_m, wanted_size
from standmark.optimizer.value.targets import Targets

NAME = "standmark.optimizer.value.value_kernel"
KEPT = 16  # packed arrays of each kind: the same targets are looked at again and again

Kind = TypeVar("Kind")


@dataclass(frozen=True, eq=False)
class PackedTargets:
    """Targets and the people round them."""

    target_m: Floats  # shape (3, t)
    columns: Singles  # shape (n_columns, t)


@dataclass(frozen=True, eq=False)
class PackedOutfits:
    """What each outfit asks of each target."""

    modes: Singles  # shape (n_modes, 6, t)
    operators: Singles  # shape (n_operators, 2, t)
    supports: Singles  # shape (n_supports, 2)
    outfits: Singles  # shape (n, 5)
    kinds: NDArray[np.int32]  # shape (n, 3), index of mode, support and operator


@dataclass(frozen=True, eq=False)
class PackedSun:
    """Places of the sun, and which targets a stand keeps it off."""

    suns: Singles  # shape (s, 4)
    shaded_target: Singles  # shape (s, t)
    light: SunLight | None

    def shaded_lens(self, positions_m: Floats) -> Singles:
        """Say which lenses a stand keeps the sun off, shape (s, p)."""
        return _shade(self.light, self.suns, positions_m)


@dataclass(frozen=True, eq=False)
class Packed:
    """All that the value of a position is made of, but for the position."""

    what: PackedTargets
    film: Singles  # shape (n_constants,)
    how: PackedOutfits
    sun: PackedSun


@lru_cache(maxsize=KEPT)
def pack_targets(targets: Targets) -> PackedTargets:
    """Pack what hangs on targets alone."""
    crowd, pull = crowd_of(targets), targets.facing_pull
    turn, straight = np.rad2deg(targets.speed_m_s) ** 2, pull**4
    points_m = (targets.feet_m + targets.subject_m * NODES[:, None]).astype(np.float32)
    over = WEIGHTS @ (points_m > crowd.body_height_m.astype(np.float32))
    rows = [
        *(-np.cos(targets.facing_rad), -np.sin(targets.facing_rad), 0.5 * pull, targets.faces_matter),
        *(turn * straight, 0.5 * turn * (1.0 - straight), turn),
        targets.jump_share,
        *(crowd.per_m2, crowd.per_m2 * crowd.lean, crowd.beyond_per_m2, crowd.reach_m, crowd.whole_m2),
        *(crowd.body_height_m, over, *points_m),
    ]
    return PackedTargets(np.ascontiguousarray(targets.xyz_m.T, np.float64), np.array(rows, np.float32))


@lru_cache(maxsize=KEPT)
def pack_film(deliverable: Deliverable | None) -> Singles:
    """Pack the numbers that are the same for all targets; None: of people only."""
    crowd = crowd_round(0.0, 1.0)
    numbers = [crowd.r_m, crowd.own_m2, crowd.ends_m2, crowd.beside_m]
    if deliverable is None:
        numbers += [0.0, 0.0, 90.0]
    else:
        numbers += [deliverable.faces, deliverable.look_down_deg, deliverable.look_down_most_deg]
    numbers += [LOST_DOWN_DEG, FLAT_SHARE, math.radians(INTO_SUN_DEG), math.radians(SIDE_LIGHT_DEG), *WEIGHTS]
    return np.array(numbers, np.float32)


@lru_cache(maxsize=KEPT)
def pack_outfits(targets: Targets, outfits: tuple[Outfit, ...], deliverable: Deliverable) -> PackedOutfits:
    """Pack what hangs on targets and outfits."""
    extent_m = framed_extent_m(targets.extent_m, deliverable)
    modes, of_mode = _kinds([outfit.mode for outfit in outfits])
    operators, of_operator = _kinds([outfit.operator for outfit in outfits])
    supports, of_support = _kinds([outfit.support for outfit in outfits])
    wanted = [wanted_size(targets.subject_m, extent_m, mode=mode, deliverable=deliverable) for mode in modes]
    fits = [np.array([w.mode.width_mm, w.mode.height_mm])[:, None] / extent_m.T for w in wanted]
    mode_rows = [[w.slope, w.offset, w.full_m_mm, np.log(w.full_m_mm), *f] for w, f in zip(wanted, fits, strict=True)]
    lenses = [
        [1.0 / short, 1.0 / long, math.log(short), math.log(long), 0.5 * outfit.mode.width_mm]
        for outfit in outfits
        for short, long in [outfit.lens.focal_mm]
    ]
    return PackedOutfits(
        modes=np.array(mode_rows, np.float32),
        operators=np.array([_jumps(targets, operator.delay_s) for operator in operators], np.float32),
        supports=np.array([[s.pan_deg_s**-2, s.tilt_deg_s**-2] for s in supports], np.float32),
        outfits=np.array(lenses, np.float32),
        kinds=np.array([of_mode, of_support, of_operator], np.int32).T.copy(),
    )


@lru_cache(maxsize=KEPT)
def pack_sun(targets: Targets, light: SunLight | None) -> PackedSun:
    """Pack the light of the sun; None: nothing is lost."""
    suns = np.zeros((0, 4)) if light is None else sun_losses(light.toward_sun)
    return PackedSun(suns.astype(np.float32), _shade(light, suns, targets.xyz_m), light)


def fill_values(
    compiled: ModuleType, quality: Singles, positions_m: Floats, packed: Packed, *, first: int, sight: Singles | None
) -> None:
    """Write the value of some positions.

    Parameters
    ----------
    quality : shape (n_outfits, n_positions, t), of all positions
    positions_m : shape (p, 3), the positions from `first` on
    sight : shape (p, t), multiplied in; None: 1
    """
    what, how, sun = packed.what, packed.how, packed.sun
    compiled.fill(
        *(quality, positions_m, what.target_m, what.columns, packed.film),
        *(how.modes, how.operators, how.supports, how.outfits, how.kinds),
        *(sun.suns, sun.shaded_lens(positions_m), sun.shaded_target, sight, first),
    )


def fill_people(compiled: ModuleType, clear: Singles, faces: Singles, positions_m: Floats, targets: Targets) -> None:
    """Write the shares past people and of faces, shape (p, t) each."""
    what = pack_targets(targets)
    compiled.people(
        clear, faces, np.ascontiguousarray(positions_m, np.float64), what.target_m, what.columns, pack_film(None)
    )


def _kinds(items: list[Kind]) -> tuple[list[Kind], list[int]]:
    """List different items, and for each item which of them it is."""
    kinds = list(dict.fromkeys(items))
    return kinds, [kinds.index(item) for item in items]


def _jumps(targets: Targets, delay_s: float) -> list[Floats]:
    """Rows of `held.jump_weight`: mean square across the attack less that along it, and along."""
    square = lag_s(delay_s, catch_up_s=targets.catch_up_s) ** 2
    along, across = square[:, None].T * targets.jump_m_s.T**2
    return [across - along, np.maximum(along, NO_JUMP_M2)]


def _shade(light: SunLight | None, suns: NDArray[np.floating], xyz_m: Floats) -> Singles:
    """Say which places a stand keeps each sun off, shape (s, n)."""
    shade = np.zeros((len(suns), len(xyz_m)), np.float32)
    if light is not None and light.stands:
        for row, sun in zip(shade, suns, strict=True):
            row[:] = is_shaded(xyz_m, light.stands, toward_sun=sun[:3])
    return shade
