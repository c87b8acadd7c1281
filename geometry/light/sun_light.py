"""What the sun does to a view: in or near the frame, backlight, low sun, and stands that keep it off."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.arrays import Floats
from standmark.geometry.light.grandstand import Stand, is_shaded
from standmark.geometry.light.sun import HORIZON_DEG
from standmark.geometry.view.line_of_sight import NOWHERE_M, LinesOfSight, Reals

# All four: common practice, no source (photographers want the sun behind them or to the rear side).
INTO_SUN_DEG = 15.0  # sun this near to the line of sight: in the frame of a short lens, flare in a long one
SIDE_LIGHT_DEG = 90.0  # from here on, side to front light, nothing is lost
INTO_SUN_SHARE = 0.15  # what is left of the moments straight into the sun
HIGH_SUN_DEG = 55.0  # a sun this high lights heads and faces from above whatever the side: no backlight


def light_share(sight: LinesOfSight, *, toward_sun: ArrayLike, stands: Sequence[Stand] = ()) -> Reals:
    """Share of moments that the sun leaves usable, the mean over several places of the sun [0 to 1].

    With s the angle between the line of sight and the sun, the loss is 1 - INTO_SUN_SHARE up to INTO_SUN_DEG and falls
    smoothly to 0 at SIDE_LIGHT_DEG. It fades out as the sun climbs to HIGH_SUN_DEG, and as the disc sets. Nothing is
    lost where a stand keeps the sun off both lens and subject.

    Parameters
    ----------
    sight : from p lenses to t subjects
    toward_sun : shape (s, 3), unit vectors toward the sun at several times; below the horizon it takes nothing
    stands : what throws shadows

    Returns
    -------
    shape (p, t)

    >>> from standmark.geometry.view.line_of_sight import lines_of_sight
    >>> low_west = [(math.cos(0.1), 0.0, math.sin(0.1))]
    >>> sight = lines_of_sight([(0, 0, 1.6)], [(30, 0, 1), (0, 30, 1), (-30, 0, 1)])
    >>> light_share(sight, toward_sun=low_west).round(2)
    array([[0.15, 1.  , 1.  ]])
    """
    share = np.ones_like(sight.run_m)
    away = 1.0 / np.maximum(sight.distance_m, NOWHERE_M)
    level, up = sight.run_m * away, (sight.target_z_m - sight.lens_z_m) * away
    side_rad, near_rad = math.radians(SIDE_LIGHT_DEG), math.radians(INTO_SUN_DEG)
    for x, y, z, loss in sun_losses(toward_sun).tolist():
        cosine = sight.along_x * x
        cosine += sight.along_y * y
        cosine *= level
        cosine += up * z
        angle = np.arccos(np.clip(cosine, -1.0, 1.0, out=cosine), out=cosine)
        near = np.clip((side_rad - angle) * (1.0 / (side_rad - near_rad)), 0.0, 1.0)
        near *= loss * near * (3.0 - 2.0 * near)
        if stands:
            lens, target = (is_shaded(place, stands, toward_sun=(x, y, z)) for place in (sight.lens_m, sight.target_m))
            near[lens[:, None] & target] = 0.0
        share -= near
    return share


def sun_losses(toward_sun: ArrayLike) -> Floats:
    """List the suns that take light, each with the most that it takes.

    Parameters
    ----------
    toward_sun : shape (s, 3), unit vectors

    Returns
    -------
    shape (at most s, 4), x, y, z, loss
    """
    suns = np.asarray(toward_sun, np.float64).reshape(-1, 3)
    loss = np.array([(1.0 - INTO_SUN_SHARE) * _strength(z) / len(suns) for z in suns[:, 2].tolist()])
    return np.asarray(np.column_stack([suns, loss])[loss > 0.0])


def _strength(sun_z: float) -> float:
    """How much backlight a sun at this height can make: none as the disc sets and none from high above."""
    elevation_deg = math.degrees(math.asin(max(-1.0, min(1.0, sun_z))))
    setting = min(1.0, max(0.0, (elevation_deg - HORIZON_DEG) / -HORIZON_DEG / 2.0))
    high = min(1.0, max(0.0, (HIGH_SUN_DEG - elevation_deg) / (HIGH_SUN_DEG - 25.0)))
    return setting * high
