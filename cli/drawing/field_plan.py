"""The ground as an operator reads it: benches at the bottom, where to stand, which way play goes, where the sun is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.action_lines import action_marks
from standmark.cli.drawing.apart import Point
from standmark.cli.drawing.attack_arrows import TEXT_MM, arrow_boxes, is_turned, match_arrows
from standmark.cli.drawing.cameras import (
    BODY_MM,
    camera_marks,
    camera_places,
    danger_box,
    danger_marks,
    danger_signs,
    sector_shape,
    spare_marks,
    spare_places,
)
from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground
from standmark.cli.drawing.labels import Label, lay_labels
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, box_ring, disc_ring, hatch, lines, rings
from standmark.cli.drawing.surroundings import CLEAR_MM, cross_hatch
from standmark.cli.drawing.text_size import cut_mm, text_width_mm
from standmark.geometry.arrays import Floats
from standmark.optimizer.advice.straight_handover import StraightHandover
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.sun_path import SunAt, match_sun
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import Assignment, PeriodPlan, Spot
from standmark.optimizer.work.walk import Walk

MARGIN_M = 2.5
ROOM_MM = 5.0  # round the ground, for the names of the sides
SUN_MM = 6.0  # under it, for the sun
SUN_DISC_MM, SUN_RAY_MM = 1.0, 1.9
SIGN_MM = 3.5  # round a camera: room for the sign of a danger
PART_STEPS_MM = (0.0, 7.5, -7.5, 10.0, -10.0, 13.0, -13.0)  # from the middle of a part to who has it
NAME_STEPS_MM = (0.0, 9.0, -9.0, 16.0, -16.0, 23.0, -23.0)  # from the middle of an end to its name


@dataclass(frozen=True)
class StandSpot:
    """One camera at one place, as the drawing shows it."""

    assignment: Assignment
    index: int  # of the camera
    label: str  # "1st half"; "" for none
    spare: Spot | None = None
    walk: Walk | None = None


def field_marks(
    plan: Plan,
    stands: Sequence[StandSpot],
    box: Box,
    *,
    handover: StraightHandover | None = None,
    action: PeriodPlan | None = None,
    with_sun: bool = True,
    is_small: bool = False,
) -> tuple[Ground, list[Mark]]:
    """Draw the ground with some cameras in a box on the page.

    Parameters
    ----------
    handover : lines across which cameras change over
    action : period whose lines of action are drawn
    is_small : on a pocket card, where words have little room
    """
    match, (left, top, width, height) = plan.match, box
    sun = match_sun(match) if with_sun else None
    below = SUN_MM if sun is not None else 0.0
    inner = (left + ROOM_MM, top + ROOM_MM, width - 2 * ROOM_MM, height - 2 * ROOM_MM - below)
    ground = fit_ground(_bounds(match, stands), inner, is_turned=is_turned(match.sport.area), exact=True)
    marks = list(_ground_marks(match, ground))
    if handover is not None:
        marks += _part_marks(plan, handover, ground)
    for stand in stands:
        fan = ground.shape(sector_shape(stand.assignment, 2 * match.sport.area.length_m)
                           .intersection(match.sport.area.run_off))  # fmt: skip
        marks += [] if handover is not None else [Fill(f"sector-{stand.index}", rings(fan))]
        marks += [Line(f"ray-{stand.index}", lines(fan))]
    marks += _line_marks(match, ground)
    if action is not None:
        marks += action_marks(action, match, ground)
    arrows = list(match_arrows(match, ground, is_small=is_small))
    if handover is not None:
        marks += _handover_marks(plan, handover, ground, arrow_boxes(arrows))
    marks += arrows
    spots = [stand.assignment.spot for stand in stands]
    discs = camera_places(spots, ground)
    spares = spare_places((s.spare for s in stands if s.spare is not None), ground, discs)
    marks += _stand_marks(stands, discs, spares, ground)
    signs = danger_signs(match, spots, discs, spares)
    taken = [*_disc_boxes([*discs, *spares]), *arrow_boxes(arrows), *(danger_box(*sign) for sign in signs)]
    marks += _stand_labels(stands, discs, ground, box, taken)
    for sign in signs:
        marks += danger_marks(*sign)
    marks += _side_names(match, marks, box, below, taken, is_turned=ground.is_turned)
    if sun is not None:
        marks += _sun_marks(match, [sun.times[0], sun.times[-1]], ground, box)
    return ground, marks


def _bounds(match: Match, stands: Sequence[StandSpot]) -> Box:
    spots = [shapely.Point(s.assignment.spot.x_m, s.assignment.spot.y_m) for s in stands]
    spots += [shapely.Point(s.spare.x_m, s.spare.y_m) for s in stands if s.spare is not None]
    ways = [shapely.LineString(s.walk.points_m) for s in stands if s.walk is not None and len(s.walk.points_m) > 1]
    return bounds_of([match.sport.area.run_off, *spots, *ways], margin_m=MARGIN_M)


def _ground_marks(match: Match, ground: Ground) -> Iterator[Mark]:
    for area in match.venue.allowed:
        shape = ground.shape(area.shape)
        if shape.area > 0:
            yield Fill("may-stand", rings(shape))
        elif not shape.is_empty:
            yield Line("may-stand-line", lines(shape))
    outline = match.sport.area.outline
    if match.venue.respect_keep_clear and match.sport.area.keep_clear:
        clear = shapely.union_all([k.shape for k in match.sport.area.keep_clear]).difference(outline)
        yield Line("clear", hatch(ground.shape(clear), spacing_mm=CLEAR_MM))
    for forbidden in match.venue.forbidden:
        shape = ground.shape(forbidden.shape)
        yield Line("forbidden", cross_hatch(shape))
        yield Line("forbidden-edge", lines(shape))
    yield Fill("pitch", rings(ground.shape(outline)))
    for thing in match.venue.furniture:
        yield Fill("obstacle", rings(ground.shape(thing.shape)))
    for obstacle in match.venue.obstacles:
        xy_m = np.array(obstacle.footprint_m)
        if obstacle.is_closed:
            yield Fill("obstacle", rings(ground.shape(shapely.Polygon(xy_m))))
        else:
            yield Line("obstacle-line", lines(ground.shape(shapely.LineString(xy_m))))


def _line_marks(match: Match, ground: Ground) -> Iterator[Mark]:
    area = match.sport.area
    for marking in area.markings:
        for part in shapely.get_parts(marking.shape):
            if part.geom_type == "Point":
                yield Fill("pitch-spot", (disc_ring(*ground.point(part.x, part.y), 0.4, points=12),))
            else:
                yield Line("pitch-dashed" if marking.is_dashed else "pitch-line", lines(ground.shape(part)))
    yield Line("pitch-edge", lines(ground.shape(area.outline)))
    for target in area.targets:
        for bar in target.bars:
            xy_m = np.array(bar)[:, :2]
            if np.ptp(xy_m, axis=0).max() > 0:
                yield Line("target", (ground.place(xy_m),))
            else:
                yield Fill("pitch-spot", (disc_ring(*ground.point(*xy_m[0]), 0.6, points=12),))


def _parts(plan: Plan, handover: StraightHandover) -> Iterator[tuple[int, BaseGeometry]]:
    """Index of the camera that has each part of the ground between handover lines, and the part."""
    low_x, low_y, high_x, high_y = plan.match.sport.area.outline.bounds
    names = [camera.name for camera in plan.match.cameras]
    low, high = (low_x, high_x) if handover.axis == "x" else (low_y, high_y)
    edges = [low, *handover.cuts_m, high]
    for name, start, end in zip(handover.cameras, edges[:-1], edges[1:], strict=True):
        across = (start, low_y, end, high_y) if handover.axis == "x" else (low_x, start, high_x, end)
        yield names.index(name), plan.match.sport.area.outline.intersection(shapely.box(*across))


def _part_marks(plan: Plan, handover: StraightHandover, ground: Ground) -> Iterator[Mark]:
    for index, part in _parts(plan, handover):
        yield Fill(f"part-{index}", rings(ground.shape(part)))


def _handover_marks(plan: Plan, handover: StraightHandover, ground: Ground, arrows: Sequence[Box]) -> Iterator[Mark]:
    """Draw the lines across which cameras change over, and say in each part who has it, clear of the arrows."""
    low_x, low_y, high_x, high_y = plan.match.sport.area.outline.bounds
    for cut in handover.cuts_m:
        ends = [(cut, low_y), (cut, high_y)] if handover.axis == "x" else [(low_x, cut), (high_x, cut)]
        yield Line("handover", (ground.place(np.array(ends)),))
    for index, part in _parts(plan, handover):
        placed = ground.shape(part)
        if placed.is_empty or not placed.area:
            continue
        name, room = plan.match.cameras[index].name, placed.bounds[2] - placed.bounds[0] - 2.0
        words = next((w for w in (f"{name} takes play here", f"{name} here") if _wide_mm(w) <= room), name)
        x, wide = placed.centroid.x, _wide_mm(words)
        middle = placed.bounds[1] + 0.5 * (placed.bounds[3] - placed.bounds[1])
        heights = [middle + step for step in PART_STEPS_MM]
        y = next((at for at in heights if not _touches((x - wide / 2, at - 2.0, wide, 4.0), arrows)), middle)
        yield Fill("halo", (box_ring(x - wide / 2 - 0.8, y - 2.0, wide + 1.6, 4.0),))
        yield Words(f"name-{index}", x, y + 0.36 * TEXT_MM, words, TEXT_MM, "middle")


def _touches(box: Box, others: Sequence[Box]) -> bool:
    left, top, width, height = box
    return any(left < x + w and x < left + width and top < y + h and y < top + height for x, y, w, h in others)


def _wide_mm(words: str) -> float:
    return text_width_mm(words, TEXT_MM, is_bold=True)


def _stand_marks(
    stands: Sequence[StandSpot], discs: Sequence[Point], spares: Sequence[Point], ground: Ground
) -> Iterator[Mark]:
    """Draw walks, then discs of spare places, then those of cameras; discs lie where they cover no other."""
    for stand in stands:
        if stand.walk is not None and len(stand.walk.points_m) > 1:
            yield Line("walk", (ground.place(np.array(stand.walk.points_m)),))
    spared = [(stand, stand.spare) for stand in stands if stand.spare is not None]
    for (stand, spare), at in zip(spared, spares, strict=True):
        yield from spare_marks(spare, stand.assignment.camera, stand.index, at, ground)
    for stand, at in zip(stands, discs, strict=True):
        yield from camera_marks(stand.assignment, stand.index, at, ground)


def _disc_boxes(discs: Sequence[Point]) -> list[Box]:
    half = BODY_MM + 0.3
    return [(x - half, y - half, 2 * half, 2 * half) for x, y in discs]


def _stand_labels(
    stands: Sequence[StandSpot], discs: Sequence[Point], ground: Ground, box: Box, taken: Sequence[Box]
) -> Iterator[Mark]:
    labels = []
    for stand, (x, y) in zip(stands, discs, strict=True):
        if stand.label:
            turn = math.radians(sum(stand.assignment.pan_deg) / 2)
            way = -1.0 if ground.is_turned else 1.0
            toward = (way * math.cos(turn), -way * math.sin(turn))
            labels.append(Label(x, y, (("strong", stand.label),), TEXT_MM, 3.4, toward))
    for laid in lay_labels(labels, window=box, taken=list(taken)):
        x, y, width, height = laid.box
        yield Fill("halo", (box_ring(x, y, width, height),))
        yield Words("strong", x + width / 2, y + height / 2 + 0.36 * TEXT_MM, laid.label.rows[0][1], TEXT_MM, "middle")


def _side_names(
    match: Match, drawn: Sequence[Mark], box: Box, below: float, taken: Sequence[Box], *, is_turned: bool
) -> Iterator[Mark]:
    """Write the names of the sides round everything that is drawn, those of the ends beside no camera.

    Parameters
    ----------
    taken : boxes of cameras and arrows
    """
    left, top, width, height = box
    names = match.venue.side_names
    low, high = ("+y", "-y") if is_turned else ("-y", "+y")
    on_left, on_right = ("+x", "-x") if is_turned else ("-x", "+x")
    parts = [part for mark in drawn for part in _parts_of(mark)]
    (x0, y0), (x1, y1) = np.vstack(parts).min(axis=0).tolist(), np.vstack(parts).max(axis=0).tolist()
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    names = {
        key: cut_mm(name, TEXT_MM, width_mm=(height - below if key.endswith("x") else width) - 2.0, is_bold=True)
        for key, name in names.items()
    }
    yield Words("strong", x, max(y0 - 1.2, top + 3.4), names[high], TEXT_MM, "middle")
    yield Words("strong", x, min(y1 + 3.6, top + height - below - 0.8), names[low], TEXT_MM, "middle")
    beside = (max(x0 - 1.2, left + 3.4), min(x1 + 1.2, left + width - 3.4))
    for at_x, name, turn in zip(beside, (names[on_left], names[on_right]), (90.0, -90.0), strict=True):
        tall = text_width_mm(name, TEXT_MM, is_bold=True) / 2 + 1.0
        inside = (y + step for step in NAME_STEPS_MM if top + tall <= y + step <= top + height - below - tall)
        free = (at_y for at_y in inside if not _is_taken(at_x, at_y, tall, taken))
        middle = min(max(y, top + tall), top + height - below - tall)
        yield Words("strong", at_x, next(free, middle), name, TEXT_MM, "middle", turn)


def _parts_of(mark: Mark) -> Sequence[Floats]:
    """Outlines of a fill or the strokes of a line; none of words."""
    return mark.rings if isinstance(mark, Fill) else mark.parts if isinstance(mark, Line) else ()


def _is_taken(x: float, y: float, half_mm: float, taken: Sequence[Box]) -> bool:
    """Would upright words of some half length touch a camera with its sign."""
    return _touches((x - SIGN_MM, y - half_mm, 2 * SIGN_MM, 2 * half_mm + SIGN_MM), taken)


def _sun_marks(match: Match, suns: Sequence[SunAt], ground: Ground, box: Box) -> Iterator[Mark]:
    """Sun at the start and at the end, below the drawing, with the side that it stands on."""
    left, top, width, height = box
    y = top + height - SUN_MM / 2
    up = [sun for sun in suns if sun.elevation_deg > 0]
    room = width / max(len(up), 1)
    for place, sun in enumerate(up):
        most = room - 2 * SUN_RAY_MM - 3.0
        words = cut_mm(f"sun {sun.at:%H:%M} {_sun_side(match, sun)}", TEXT_MM, width_mm=most)
        wide = text_width_mm(words, TEXT_MM) + 2 * SUN_RAY_MM + 2.0
        x = left + room * (place + 0.5) - wide / 2 + SUN_RAY_MM
        turn = np.arange(8) * math.pi / 4
        way = np.column_stack([np.cos(turn), np.sin(turn)])
        middle = np.array([x, y])
        yield Line("sun-ray", tuple(np.array([middle + 1.35 * w, middle + SUN_RAY_MM * w]) for w in way))
        yield Fill("sun-disc", (disc_ring(x, y, SUN_DISC_MM, points=24),))
        yield Words("text", x + SUN_RAY_MM + 1.2, y + 0.36 * TEXT_MM, words, TEXT_MM)


def _sun_side(match: Match, sun: SunAt) -> str:
    """Say over which end or side the sun stands."""
    turn = (match.venue.bearing_deg - sun.azimuth_deg) % 360
    key = min(((0, "+x"), (90, "+y"), (180, "-x"), (270, "-y")), key=lambda p: abs((turn - p[0] + 180) % 360 - 180))[1]
    return f"over the {match.venue.side_names[key]}"
