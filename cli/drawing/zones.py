"""Events, the zones a definition had and the zones estimated from them, side by side on one scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground, ground_height_mm
from standmark.cli.drawing.maps import split_surface
from standmark.cli.drawing.marks import Fill, Mark, Picture, Words, rings
from standmark.cli.drawing.plan import MARGIN_MM
from standmark.cli.drawing.playing_area import area_marks
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.input.zone_events import EventCounts, MomentCounts, ground_of
from standmark.geometry.arrays import Floats
from standmark.optimizer.scoring.estimate import ZoneEstimate
from standmark.optimizer.scoring.lattice import Lattice
from standmark.optimizer.scoring.zones import ZoneBox
from standmark.sports.sport import Sport

WIDTH_MM, GAP_MM = 270.0, 5.0
HEADING_MM, SMALL_MM = 3.4, 2.6
TALLEST_MM = 90.0
MOST_ROWS = 6  # moments shown, those with most events
BANDS = (0.08, 0.25, 0.45, 0.65, 0.85)  # of the square root of the density, the densest zone being 1

Patch = tuple[BaseGeometry, float]  # shape in pitch metres, density [1/m2]


@dataclass(frozen=True)
class _Row:
    """One moment: three drawings and their headings."""

    headings: tuple[str, str, str]
    drawings: tuple[Sequence[Patch], Sequence[Patch], Sequence[Patch]]


def zones_picture(sport: Sport, counts: EventCounts, estimates: dict[str, ZoneEstimate]) -> Picture:
    """Lay out the moments with most events: events, zones before, zones now."""
    shown = sorted(estimates, key=lambda key: -estimates[key].n_events)[:MOST_ROWS]
    width = (WIDTH_MM - 2 * MARGIN_MM - 2 * GAP_MM) / 3
    bounds = bounds_of([ground_of(counts, key).outline for key in shown], margin_m=0.01 * sport.area.length_m)
    height = ground_height_mm(bounds, width, most_mm=TALLEST_MM)
    marks: list[Mark] = []
    for number, key in enumerate(shown):
        row = _row(ground_of(counts, key).lattice, counts.by_moment[key], estimates[key])
        top = MARGIN_MM + number * (height + 10.0)
        densest = max((density for drawing in row.drawings[1:] for _, density in drawing), default=1.0)
        for column, (heading, drawing) in enumerate(zip(row.headings, row.drawings, strict=True)):
            left = MARGIN_MM + column * (width + GAP_MM)
            words = cut_mm(heading, HEADING_MM, width_mm=width, is_bold=True)
            marks.append(Words("strong", left, top + 3.0, words, HEADING_MM))
            marks += _panel_marks(sport, drawing, densest, bounds, (left, top + 5.0, width, height))
    total = 2 * MARGIN_MM + len(shown) * (height + 10.0)
    described = ", ".join(f"{counts.by_moment[key].moment.name} {len(estimates[key].boxes)} zones" for key in shown)
    return Picture(WIDTH_MM, total, tuple(marks), f"Zones of {sport.name}", described)


def _row(lattice: Lattice, counts: MomentCounts, estimate: ZoneEstimate) -> _Row:
    moment = counts.moment
    taken = "" if estimate.is_better else ", not taken"
    return _Row(
        (
            f"{moment.name}: {estimate.n_events:,} events",
            "Zones before",
            f"{len(estimate.boxes)} zones from these events{taken}",
        ),
        (
            list(_cell_patches(lattice, counts.own.folds.sum(axis=0))),
            [(zone.shape, zone.weight / zone.shape.area) for zone in moment.zones],
            [_box_patch(box, estimate.mirror) for box in estimate.boxes],
        ),
    )


def _cell_patches(lattice: Lattice, events: Floats) -> Iterator[Patch]:
    """Cells of the lattice, doubled in size so that they can be kept apart in print."""
    nx, ny = lattice.shape
    coarse = events[: nx // 2 * 2, : ny // 2 * 2].reshape(nx // 2, 2, ny // 2, 2).sum(axis=(1, 3))
    for i, j in np.argwhere(coarse > 0):
        x0, x1, y0, y1 = lattice.x_m[2 * i], lattice.x_m[2 * i + 2], lattice.y_m[2 * j], lattice.y_m[2 * j + 2]
        yield shapely.box(x0, y0, x1, y1), float(coarse[i, j] / events.sum() / ((x1 - x0) * (y1 - y0)))


def _box_patch(box: ZoneBox, mirror: str) -> Patch:
    shape = shapely.box(box.x_m[0], box.y_m[0], box.x_m[1], box.y_m[1])
    images = [shape]
    if mirror in ("y", "xy"):
        images += [shapely.transform(s, lambda xy: xy * (1, -1)) for s in images]
    if mirror == "xy":
        images += [shapely.transform(s, lambda xy: xy * (-1, 1)) for s in images]
    whole = shapely.union_all(images)
    return whole, box.weight / whole.area


def _panel_marks(sport: Sport, patches: Sequence[Patch], densest: float, bounds: Box, box: Box) -> Iterator[Mark]:
    ground = fit_ground(bounds, box)
    surface, drawn = split_surface(list(area_marks(sport.area, ground)))
    yield from surface
    for band in range(len(BANDS)):
        yield from _band_marks(ground, patches, densest, band)
    yield from drawn


def _band(share: float) -> int:
    """Band of a density, as a share of the densest; -1 under the first."""
    return int(np.searchsorted(BANDS, min(share, 1.0) ** 0.5)) - 1


def _band_marks(ground: Ground, patches: Sequence[Patch], densest: float, band: int) -> Iterator[Mark]:
    own = [shape for shape, density in patches if _band(density / densest) == band]
    if own:
        shape = ground.shape(shapely.union_all(own))
        if not shape.is_empty:
            yield Fill(f"heat-{band + 1}", rings(shape))
