"""What a lens sees, in true perspective: ground, markings, goals, obstacles, people, horizon and safe areas."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.ground import Box, cut
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, box_ring, lines, rings
from standmark.cli.drawing.scene import Panel, Scene, Wire, figure_ring
from standmark.cli.drawing.text_size import wrap_mm
from standmark.cli.words.units import Units, distance_words
from standmark.geometry.arrays import Floats
from standmark.geometry.optics.frame_shapes import (
    ACTION_SAFE,
    GRAPHICS_SAFE,
    clip_polygon,
    clip_polyline,
    horizon,
    safe_rectangle,
)
from standmark.geometry.optics.projection import NEAR_M, View, camera_coordinates, pixels, rotation
from standmark.optimizer.picture.frame import Frame
from standmark.optimizer.picture.people import People

WIDTH_MM = 160.0
MARGIN_MM = 6.0
TEXT_MM, TITLE_MM = 3.0, 4.0
BOTH_SAFE_FROM_MM = 100.0  # a smaller picture shows the outer safe area only


@dataclass(frozen=True)
class Screen:
    """A frame on the page: the picture's pixels to millimetres."""

    view: View
    box: Box

    def place(self, uv_px: Floats) -> Floats:
        """Page place of pixels."""
        left, top, width, height = self.box
        mode = self.view.mode
        return np.asarray(uv_px * (width / mode.width_px, height / mode.height_px) + (left, top))

    def inside(self, shape: BaseGeometry) -> BaseGeometry:
        """Part of a shape on the page that lies in the picture."""
        return cut(shape, self.box)


def frame_picture(frame: Frame, scene: Scene, people: People, *, title: str, units: Units = Units.METRIC) -> Picture:
    """Lay out one frame with its numbers below."""
    mode = frame.view.mode
    width = WIDTH_MM - 2 * MARGIN_MM
    height = width * mode.height_px / mode.width_px
    if height > width:
        width, height = width * 0.5, width * 0.5 * mode.height_px / mode.width_px
    left = (WIDTH_MM - width) / 2
    rows = wrap_mm(title, TITLE_MM, width_mm=WIDTH_MM - 2 * MARGIN_MM, is_bold=True)
    top = MARGIN_MM + 1.5 * TITLE_MM * len(rows)
    marks: list[Mark] = [
        Words("strong", MARGIN_MM, MARGIN_MM + TITLE_MM * (0.86 + 1.4 * i), row, TITLE_MM) for i, row in enumerate(rows)
    ]
    marks += frame_marks(frame.view, scene, people, (left, top, width, height))
    y = top + height + 5.0
    for sentence in frame_lines(frame, units):
        for row in wrap_mm(sentence, TEXT_MM, width_mm=WIDTH_MM - 2 * MARGIN_MM):
            marks.append(Words("text", MARGIN_MM, y, row, TEXT_MM))
            y += 1.4 * TEXT_MM
    return Picture(WIDTH_MM, y + 3.0, tuple(marks), title, " ".join(frame_lines(frame, units)))


def frame_lines(frame: Frame, units: Units) -> list[str]:
    """Say the numbers of a frame, one sentence each."""
    view, mode = frame.view, frame.view.mode
    across, up, diagonal = frame.angle_deg
    wide, tall = (distance_words(value, units) for value in frame.covers_m)
    said = [
        f"{frame.moment.name}, {distance_words(frame.distance_m, units)} away, at {view.focal_mm:.0f} mm "
        f"on {mode.width_mm:.1f} x {mode.height_mm:.1f} mm: "
        f"angle of view {across:.1f} x {up:.1f} degrees, {diagonal:.1f} across the diagonal.",
        f"A person fills {100 * frame.subject_share:.0f} % of the frame height: {frame.subject_px:.0f} pixels, "
        f"{frame.px_per_m:.0f} px/m. At that distance the frame holds {wide} across and {tall} up.",
    ]
    if len(frame.footprint_m):
        away = np.hypot(*(frame.footprint_m - np.array(view.xyz_m[:2])).T)
        far = distance_words(float(away.max()), units) if away.max() < 499 else "the horizon"
        said.append(f"It shows the ground from {distance_words(float(away.min()), units)} to {far}.")
    return said


def frame_marks(view: View, scene: Scene, people: People, box: Box) -> Iterator[Mark]:
    """Draw what a view shows into a box on the page that has the frame's proportions."""
    screen = Screen(view, box)
    yield Fill(scene.behind, (box_ring(*box),))
    yield from _land_marks(screen)
    figures = figure_panels(view, people)
    drawn = list(_drawn(screen, [*scene.lying, *scene.standing, *figures]))
    for _, marks in drawn[: len(scene.lying)]:
        yield from marks
    for _, marks in sorted(drawn[len(scene.lying) :], key=lambda pair: -pair[0]):
        yield from marks
    yield from _safe_marks(screen)
    yield Line("frame-edge", (box_ring(*box),))


def _land_marks(screen: Screen) -> Iterator[Mark]:
    """Everything below the horizon."""
    left, top, width, height = screen.box
    level = horizon(screen.view)
    if level is None:
        if screen.view.tilt_deg < 0:
            yield Fill("land", (box_ring(*screen.box),))
        return
    (x0, y0), (x1, y1) = screen.place(np.array(level)).tolist()
    below = top + height + max(height, abs(y0 - top), abs(y1 - top))
    land = screen.inside(shapely.Polygon([(x0, y0), (x1, y1), (left + width, below), (left, below)]))
    yield Fill("land", rings(land))
    yield Line("horizon", lines(screen.inside(shapely.LineString([(x0, y0), (x1, y1)]))))


def figure_panels(view: View, people: People) -> list[Panel]:
    """People as flat figures in space, each upright and square to the lens; the subject first."""
    across = rotation(view)[0, :2]
    across = across / np.hypot(*across)
    ring = figure_ring(people.height_m)
    upright = np.column_stack([ring[:, :1] * across, ring[:, 1]])
    styles = ["subject", *(f"side-{side}" for side in people.side[1:])]
    places = np.column_stack([people.xy_m, np.zeros(len(people.xy_m))])
    return [Panel(style, upright + place) for style, place in zip(styles, places, strict=True)]


def _drawn(screen: Screen, pieces: Sequence[Wire | Panel]) -> Iterator[tuple[float, list[Mark]]]:
    """Mean distance along the axis and marks of each piece; the points of all are projected at once."""
    counts = np.array([len(piece.xyz_m) for piece in pieces])
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    seen_m = camera_coordinates(screen.view, np.vstack([piece.xyz_m for piece in pieces]))
    depth_m = np.add.reduceat(seen_m[:, 2], starts) / counts
    is_ahead = np.minimum.reduceat(seen_m[:, 2], starts) >= NEAR_M
    with np.errstate(divide="ignore", invalid="ignore"):
        page = screen.place(pixels(screen.view, seen_m))
    low, high = np.minimum.reduceat(page, starts), np.maximum.reduceat(page, starts)
    corner, far = np.array(screen.box[:2]), np.array(screen.box[:2]) + screen.box[2:]
    is_off = is_ahead & ((high < corner) | (low > far)).any(axis=1)
    is_in = is_ahead & ((low >= corner) & (high <= far)).all(axis=1)
    for index, piece in enumerate(pieces):
        marks: list[Mark] = []
        if is_in[index]:
            own = page[starts[index] : starts[index] + counts[index]]
            marks.append(Line(piece.style, (own,)) if isinstance(piece, Wire) else Fill(piece.style, (_closed(own),)))
        elif not is_off[index]:
            marks += _cut_marks(screen, piece)
        yield float(depth_m[index]), marks


def _closed(xy: Floats) -> Floats:
    return np.vstack([xy, xy[:1]])


def _cut_marks(screen: Screen, piece: Wire | Panel) -> Iterator[Mark]:
    """Marks of a piece that the lens or the edge of the picture cuts."""
    if isinstance(piece, Wire):
        parts = [shapely.LineString(screen.place(part)) for part in clip_polyline(screen.view, piece.xyz_m)]
        drawn = tuple(xy for part in parts for xy in lines(screen.inside(part)))
        if drawn:
            yield Line(piece.style, drawn)
        return
    ring = clip_polygon(screen.view, piece.xyz_m)
    if len(ring) > 2:
        inside = rings(screen.inside(shapely.Polygon(screen.place(ring))))
        if inside:
            yield Fill(piece.style, inside)


def _safe_marks(screen: Screen) -> Iterator[Mark]:
    areas = ((ACTION_SAFE, "action-safe"), (GRAPHICS_SAFE, "graphics-safe"))
    for share, style in areas if screen.box[2] >= BOTH_SAFE_FROM_MM else areas[:1]:
        left, upper, right, lower = safe_rectangle(screen.view, share)
        corners = np.array([(left, upper), (right, upper), (right, lower), (left, lower), (left, upper)])
        yield Line(style, (screen.place(corners),))
