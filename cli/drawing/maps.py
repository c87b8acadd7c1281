"""Maps of a plan: how well the best camera has every place, who has what, and what every allowed spot is worth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.attack_arrows import is_turned
from standmark.cli.drawing.cameras import camera_marks, camera_places
from standmark.cli.drawing.ground import Box, fit_ground
from standmark.cli.drawing.legend import KEY_MM, SWATCH_MM
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, box_ring, disc_ring, hatch, lines, rings
from standmark.cli.drawing.palette import HATCH_DEG
from standmark.cli.drawing.playing_area import area_marks
from standmark.cli.drawing.text_size import text_width_mm
from standmark.geometry.arrays import Flags, Floats
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Assignment
from standmark.optimizer.work.ground_map import GroundMap, Mesh

SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)  # usable share at which the tone changes
LOSSES = (0.01, 0.03, 0.06, 0.10, 0.20)  # coverage lost against the best spot at which the tone changes
SHARE_WORDS = ("under 10 %", "10 to 30", "30 to 50", "50 to 70", "70 to 90", "over 90 %")
LOSS_WORDS = ("over 20 % lost", "10 to 20", "6 to 10", "3 to 6", "1 to 3", "best, or under 1 % lost")
HAS_FROM = 0.1  # usable share under which nobody has a place
HATCH_MM = 1.5
LETTER_MM = 4.6
SPOT_MM = 0.75
KEY_GAP_MM = 2.6  # between one tone with its words and the next


def best_marks(
    match: Match, coverage_map: GroundMap, assignments: Sequence[Assignment], box: Box, bounds_m: Box
) -> list[Mark]:
    """Draw the usable share of what happens at every place, the deeper the better."""
    ground = fit_ground(bounds_m, box, is_turned=is_turned(match.sport.area))
    base, drawn = split_surface(list(area_marks(match.sport.area, ground)))
    marks: list[Mark] = [*base]
    for index, cells in enumerate(_banded(coverage_map.best_seen, SHARES)):
        shape = ground.shape(cells_shape(coverage_map.mesh, cells))
        if not shape.is_empty:
            marks.append(Fill(f"tone-{index}", rings(shape)))
    marks += drawn
    places = camera_places((a.spot for a in assignments), ground)
    for index, (assignment, at) in enumerate(zip(assignments, places, strict=True)):
        marks += camera_marks(assignment, index, at, ground)
    return marks


def owner_marks(
    match: Match, coverage_map: GroundMap, assignments: Sequence[Assignment], box: Box, bounds_m: Box
) -> list[Mark]:
    """Draw which camera is best at every place: a hatch of its own direction, its letter where its part is widest."""
    ground = fit_ground(bounds_m, box, is_turned=is_turned(match.sport.area))
    base, drawn = split_surface(list(area_marks(match.sport.area, ground)))
    marks: list[Mark] = [*base, *drawn]
    letters: list[Mark] = []
    for index, assignment in enumerate(assignments):
        own = (coverage_map.owner == index) & (coverage_map.seen[index] >= HAS_FROM)
        shape = ground.shape(cells_shape(coverage_map.mesh, own))
        if shape.is_empty:
            continue
        marks.append(Line(f"hatch-{index}", hatch(shape, spacing_mm=HATCH_MM, turn_deg=HATCH_DEG[index])))
        marks.append(Line(f"edge-{index}", lines(shape)))
        letters += _letter_marks(shape, assignment.camera[:1], index)
    marks += letters
    places = camera_places((a.spot for a in assignments), ground)
    for index, (assignment, at) in enumerate(zip(assignments, places, strict=True)):
        marks += camera_marks(assignment, index, at, ground)
    return marks


def value_marks(
    match: Match, assignment: Assignment, index: int, xy_m: Floats, coverage: Floats, box: Box, bounds_m: Box
) -> list[Mark]:
    """Draw what the plan would cover with one camera at each of some spots, the others where they are.

    Parameters
    ----------
    xy_m : shape (n, 2)
    coverage : shape (n,)
    """
    ground = fit_ground(bounds_m, box, is_turned=is_turned(match.sport.area))
    marks: list[Mark] = list(area_marks(match.sport.area, ground))
    band = len(LOSSES) - np.digitize(coverage.max() - coverage, LOSSES)
    places = ground.place(xy_m)
    for tone in range(len(LOSSES) + 1):
        discs = tuple(disc_ring(x, y, SPOT_MM, points=12) for x, y in places[band == tone].tolist())
        if discs:
            marks.append(Fill(f"value-{tone}", discs))
    marks += camera_marks(assignment, index, ground.point(assignment.spot.x_m, assignment.spot.y_m), ground)
    return marks


def band_key(kind: str, words: Sequence[str], x_mm: float, y_mm: float) -> Iterator[Mark]:
    """Say what the tones mean: `kind` is "tone" or "value"."""
    x = x_mm
    for index, text in enumerate(words):
        yield Fill(f"{kind}-{index}", (box_ring(x, y_mm, *SWATCH_MM),))
        yield Line("thin", (box_ring(x, y_mm, *SWATCH_MM),))
        yield Words("text", x + SWATCH_MM[0] + 1.2, y_mm + SWATCH_MM[1] / 2 + 0.36 * KEY_MM, text, KEY_MM)
        x += SWATCH_MM[0] + 1.2 + text_width_mm(text, KEY_MM) + KEY_GAP_MM


def cells_shape(mesh: Mesh, chosen: Flags) -> BaseGeometry:
    """Ground that some cells of a mesh cover together, as far as anything happens there."""
    x, y = (mesh.xy_m[chosen] - mesh.step_m / 2).T
    cells = shapely.coverage_union_all(shapely.box(x, y, x + mesh.step_m, y + mesh.step_m))
    shape: BaseGeometry = shapely.intersection(cells, mesh.extent)
    return shape


def split_surface(marks: list[Mark]) -> tuple[list[Mark], list[Mark]]:
    """Surface of the playing area, and what is painted and stands on it."""
    surface = [m for m in marks if m.style == "ground"]
    return surface, [m for m in marks if m.style != "ground"]


def _banded(value: Floats, edges: Sequence[float]) -> Iterator[Flags]:
    band = np.digitize(value, edges)
    for index in range(len(edges) + 1):
        yield band == index


def _letter_marks(shape: BaseGeometry, letter: str, index: int) -> Iterator[Mark]:
    """Letter on a plate at the middle of the widest part."""
    widest = max(shapely.get_parts(shape), key=lambda part: float(part.area))
    spot = shapely.get_coordinates(shapely.maximum_inscribed_circle(widest, tolerance=0.5))[0]
    x, y = (float(v) for v in spot)
    yield Fill("plate", (disc_ring(x, y, 0.72 * LETTER_MM),))
    yield Words(f"name-{index}", x, y + 0.36 * LETTER_MM, letter, LETTER_MM, "middle")
