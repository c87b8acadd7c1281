"""A ground as a match file needs it: where the playing area lies, and what stands round it in its own frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.fit.outline import OutlineFit
from standmark.sports.sport import Sport

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Laid:
    """One thing beside the playing area."""

    kind: Literal["allowed", "forbidden", "obstacle", "stand"]
    name: str  # one of its own
    where: str  # on the map
    xy_m: Floats  # shape (n, 2), pitch frame; a polygon without its last point, or a line
    is_area: bool
    height_m: tuple[float, float] | None
    storeys: str = ""


@dataclass(frozen=True, eq=False)
class MappedGround:
    """What was read of one ground."""

    sport: Sport
    name: str
    longitude_latitude_deg: tuple[float, float] | None  # of the frame's origin; None: a drawing without a place
    bearing_deg: float | None  # of +x, from true north
    has_two_ends: bool  # the trace does not say which end is which
    fit: OutlineFit
    n_points: int  # corners drawn, or points of a track
    is_walked: bool
    things: tuple[Laid, ...]
    notes: tuple[str, ...]
