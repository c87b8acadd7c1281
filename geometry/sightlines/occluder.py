"""Fixed things that stand between lens and action: a footprint raised from a base to a top."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Occluder:
    """A wall over a line, or a block over a polygon (first point not repeated), between two heights.

    `see_through` is the share of the subject that still shows behind it: 0 a wall, 0.85 a net.
    """

    name: str
    footprint_m: tuple[tuple[float, float], ...]  # at least two points, pitch frame
    base_m: float
    top_m: float
    see_through: float = 0.0
    is_closed: bool = False  # True: the footprint is a polygon, not a line
