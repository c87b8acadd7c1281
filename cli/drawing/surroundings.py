"""What lies round the playing area: where a camera may stand, where nobody may, and what blocks the view."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.marks import Fill, Line, Mark, hatch, lines, rings
from standmark.geometry.arrays import Floats
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.match import Match

CLEAR_MM, FORBIDDEN_MM = 1.6, 1.0  # spacing of the hatch


def surroundings_marks(match: Match, ground: Ground) -> Iterator[Mark]:
    """Draw allowed areas, keep-clear and forbidden areas, furniture and obstacles, in that order."""
    for area in match.venue.allowed:
        yield from _allowed_marks(ground.shape(area.shape))
    outline = match.sport.area.outline
    if match.venue.respect_keep_clear and match.sport.area.keep_clear:
        clear = shapely.union_all([k.shape for k in match.sport.area.keep_clear]).difference(outline)
        yield Line("clear", hatch(ground.shape(clear), spacing_mm=CLEAR_MM))
    for forbidden in match.venue.forbidden:
        shape = ground.shape(forbidden.shape)
        yield Line(
            "forbidden", hatch(shape, spacing_mm=FORBIDDEN_MM) + hatch(shape, spacing_mm=FORBIDDEN_MM, turn_deg=-45)
        )
        yield Line("forbidden-edge", lines(shape))
    for thing in match.venue.furniture:
        yield Fill("obstacle", rings(ground.shape(thing.shape)))
    for obstacle in match.venue.obstacles:
        yield from _obstacle_marks(obstacle, ground)


def cross_hatch(shape: BaseGeometry) -> tuple[Floats, ...]:
    """Lines in both directions: nobody may stand here."""
    return hatch(shape, spacing_mm=FORBIDDEN_MM) + hatch(shape, spacing_mm=FORBIDDEN_MM, turn_deg=-45.0)


def drawn_shapes(match: Match) -> list[BaseGeometry]:
    """Everything on the ground that a plan must show."""
    area, venue = match.sport.area, match.venue
    return [
        area.outline,
        area.run_off,
        *(a.shape for a in venue.allowed),
        *(f.shape for f in venue.forbidden),
        *(shapely.MultiPoint(np.array(o.footprint_m)) for o in venue.obstacles),
        *(thing.shape for thing in venue.furniture),
        *(shapely.LineString(np.array(bar)[:, :2]) for target in area.targets for bar in target.bars),
        *(zone.shape for moment in match.sport.moments for zone in moment.zones),
    ]


def _allowed_marks(shape: BaseGeometry) -> Iterator[Mark]:
    if shape.area > 0:
        yield Fill("allowed", rings(shape))
    else:
        yield Line("allowed-line", lines(shape))


def _obstacle_marks(obstacle: Occluder, ground: Ground) -> Iterator[Mark]:
    xy_m = np.array(obstacle.footprint_m)
    if obstacle.is_closed:
        yield Fill("obstacle", rings(ground.shape(shapely.Polygon(xy_m))))
    else:
        yield Line("obstacle-line", lines(ground.shape(shapely.LineString(xy_m))))
