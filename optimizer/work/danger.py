"""What can hurt the person who films from a spot: released ground, and what the sport says of the place."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot

RELEASED = "ground that is usually kept clear"
REACH_M = 3.0  # a lens up to this height is in reach of what keep-clear ground is kept clear for


@dataclass(frozen=True)
class SpotDanger:
    """One danger at a spot, what to do about it, and where that comes from."""

    name: str
    text: str
    source: str  # title
    is_marked: bool = True  # on plans


def spot_dangers(match: Match, spot: Spot) -> tuple[SpotDanger, ...]:
    """List what can hurt whoever films from a spot, worst first.

    Ground that the sport keeps clear counts wherever a camera stands on it all the same: because the ground released
    it, or because the match file fixes the camera there.
    """
    at = shapely.Point(spot.x_m, spot.y_m)
    area, sources = match.sport.area, match.sport.sources
    kept = [k for k in area.keep_clear if spot.z_m <= REACH_M and k.shape.contains(at)]
    return (
        *(SpotDanger(RELEASED, f"{k.name[:1].upper()}{k.name[1:]}. {k.reason}", sources[k.source].title) for k in kept),
        *(
            SpotDanger(d.name, d.text, sources[d.source].title, d.is_marked)
            for d in area.dangers
            if spot.z_m <= d.up_to_m and d.shape.intersects(at)
        ),
    )
