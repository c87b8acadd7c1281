"""The value model: how probable it is that a moment at a target is captured usably from a row.

q = size x facing x clear x light x follow, each factor 0..1 and reported by itself. `facing`, `clear`
and `light` depend on the position only; `size` and `follow` on the lens, the recording mode and the
support as well. Work goes in blocks of positions, so memory stays near the size of the answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.blockage import clear_probability
from standmark.geometry.facing import facing_share
from standmark.geometry.follow import follow_share, pan_rate_deg_s
from standmark.geometry.framing import fitting_focal_mm, held_share
from standmark.optimizer.kit import Outfit, Rows
from standmark.optimizer.match import Deliverable
from standmark.optimizer.targets import Targets

Floats = NDArray[np.float64]
FACTORS = ("size", "facing", "clear", "light", "follow")
BLOCK = 64  # positions at a time
FLAT_SHARE = 0.25  # of a picture wanted from above, that a level view still is worth (common practice, no source)
LOST_DOWN_DEG = (
    35.0  # beyond the steepest wished angle, until nothing of the picture is left (common practice, no source)
)
LEAST_PX_SHARE = 0.25  # of the wanted pixel density: under it a moment is lost (common practice, no source)

# light_share(positions (p, 3), targets (t, 3)) -> (p, t); None: floodlit or indoor, 1 everywhere
LightModel = Callable[[Floats, Floats], Floats]
# sight_share(positions (p, 3), targets) -> (p, t): visible share past fixed occluders; None: nothing stands in the way
SightModel = Callable[[Floats, Targets], Floats]


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
) -> NDArray[np.float32]:
    """Quality of every row for every target.

    Parameters
    ----------
    positions_m : shape (n_positions, 3), lens positions
    rows : the outfits; row = outfit index x n_positions + position index

    Returns
    -------
    shape (n_outfits * n_positions, n_targets), float32 in [0, 1]
    """
    n = len(positions_m)
    quality = np.empty((len(rows.outfits) * n, len(targets.weight)), dtype=np.float32)
    for start in range(0, n, BLOCK):
        block = positions_m[start : start + BLOCK]
        shared = _position_factors(block, targets, around, deliverable)
        common = shared["facing"] * shared["clear"] * shared["light"]
        for index, outfit in enumerate(rows.outfits):
            size, follow, _ = _outfit_factors(block, targets, outfit, deliverable)
            first = index * n + start
            quality[first : first + len(block)] = common * size * follow
    return quality


def row_factors(
    position_m: Floats, targets: Targets, *, outfit: Outfit, deliverable: Deliverable, around: Surroundings
) -> Factors:
    """Give the five factors for one position and outfit, to explain and to draw.

    Parameters
    ----------
    position_m : shape (3,), lens position
    """
    block = np.asarray(position_m, dtype=float)[None, :]
    size, follow, focal_mm = _outfit_factors(block, targets, outfit, deliverable)
    shared = {name: factor[0] for name, factor in _position_factors(block, targets, around, deliverable).items()}
    return Factors(size=size[0], follow=follow[0], focal_mm=focal_mm[0], **shared)


def _position_factors(
    block: Floats, targets: Targets, around: Surroundings, deliverable: Deliverable
) -> dict[str, Floats]:
    shape = (len(block), len(targets.weight))
    clear = clear_probability(
        block,
        _feet(targets),
        subject_m=targets.subject_m,
        crowd_per_m2=targets.crowd_per_m2,
        crowd_radius_m=targets.crowd_radius_m,
        beyond_per_m2=targets.beyond_per_m2,
    )
    if around.sight is not None:
        clear = clear * around.sight(block, targets)
    facing = facing_share(
        block,
        targets.xyz_m,
        facing_rad=targets.facing_rad,
        facing_pull=targets.facing_pull,
        faces_matter=np.minimum(targets.faces_matter * deliverable.faces_scale, 1.0),
    )
    light = np.ones(shape) if around.light is None else around.light(block, targets.xyz_m)
    return {"facing": facing, "clear": clear, "light": light}


def _outfit_factors(
    block: Floats, targets: Targets, outfit: Outfit, deliverable: Deliverable
) -> tuple[Floats, Floats, Floats]:
    """Size and follow factors and the focal length used, each of shape (n_positions, n_targets)."""
    away_m = targets.xyz_m[None] - block[:, None]
    distance_m = np.sqrt((away_m**2).sum(axis=2))
    extent_m = framed_extent_m(targets.extent_m, deliverable)
    fitting_mm = fitting_focal_mm(distance_m, extent_m, mode=outfit.mode)
    focal_mm = np.clip(fitting_mm, *outfit.lens.focal_mm)
    size = size_share(
        distance_m, targets.subject_m, extent_m, focal_mm=focal_mm, outfit=outfit, deliverable=deliverable
    )
    size *= held_share(distance_m, extent_m, focal_mm=focal_mm, mode=outfit.mode)
    if deliverable.look_down_deg > 0 or deliverable.look_down_most_deg < 90:
        size *= look_down_share(away_m, deliverable)
    rate = pan_rate_deg_s(
        block,
        targets.xyz_m,
        speed_m_s=targets.speed_m_s,
        heading_rad=targets.facing_rad,
        spread_pull=targets.facing_pull,
    )
    return size, follow_share(rate, limit_deg_s=outfit.support.pan_deg_s), focal_mm


def framed_extent_m(extent_m: Floats, deliverable: Deliverable) -> Floats:
    """Width and height that the frame has to hold for a deliverable [m].

    Parameters
    ----------
    extent_m : shape (..., 2), of the action itself
    """
    framed = extent_m * deliverable.extent_scale
    framed[..., 0] = np.maximum(framed[..., 0], deliverable.least_width_m)
    return framed


def look_down_share(away_m: Floats, deliverable: Deliverable) -> Floats:
    """Share of a picture left by how steeply it looks down: rises to 1 at the wish, falls again beyond the most.

    Parameters
    ----------
    away_m : shape (..., 3), from the lens to the action
    """
    angle_deg = np.degrees(np.arctan2(-away_m[..., 2], np.hypot(away_m[..., 0], away_m[..., 1])))
    share = np.ones(angle_deg.shape)
    if deliverable.look_down_deg > 0:
        share = FLAT_SHARE + (1.0 - FLAT_SHARE) * _rise(angle_deg, 0.0, deliverable.look_down_deg)
    most_deg = deliverable.look_down_most_deg
    return np.asarray(share * (1.0 - _rise(angle_deg, most_deg, most_deg + LOST_DOWN_DEG)))


def size_share(
    distance_m: Floats,
    subject_m: Floats,
    extent_m: Floats,
    *,
    focal_mm: Floats,
    outfit: Outfit,
    deliverable: Deliverable,
) -> Floats:
    """Size factor: 0 under the smallest usable size, rising smoothly (in the logarithm) to 1 at the wanted size.

    What is wanted is never more than the action's own extent leaves room for: nine tenths of the size
    that the subject has when the action just fits the frame. Share of frame height and pixel density
    both count; the worse one decides.

    Parameters
    ----------
    distance_m, focal_mm : shape (p, t)
    subject_m : shape (t,)
    extent_m : shape (t, 2)
    """
    mode = outfit.mode
    share = subject_m * focal_mm / (distance_m * mode.height_mm)
    # at unit distance a subject of 1 m fills focal/height: the fit itself, whatever the distance
    room = 0.9 * subject_m * fitting_focal_mm(np.ones(len(subject_m)), extent_m, mode=mode) / mode.height_mm
    wanted = np.minimum(deliverable.wanted_share, room)
    smallest = np.minimum(deliverable.smallest_share, wanted / 2)
    density = share * mode.height_px / subject_m
    wanted_density = np.minimum(deliverable.wanted_px_per_m, room * mode.height_px / subject_m)
    by_share = _rise(np.log(share), np.log(smallest), np.log(wanted))
    by_density = _rise(np.log(density), np.log(wanted_density * LEAST_PX_SHARE), np.log(wanted_density))
    return np.minimum(by_share, by_density)


def _rise(value: Floats, low: Floats | float, high: Floats | float) -> Floats:
    """Smooth step 3s^2 - 2s^3 from 0 at `low` to 1 at `high`."""
    s = np.clip((value - low) / (high - low), 0.0, 1.0)
    return np.asarray(s * s * (3.0 - 2.0 * s))


def _feet(targets: Targets) -> Floats:
    return np.column_stack([targets.xyz_m[:, :2], np.zeros(len(targets.weight))])
