"""Cameras on the ground: place, what they pan over, and a label with lens and height."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely

from standmark.cli.drawing.apart import Point, apart, leader_marks
from standmark.cli.drawing.ground import Box, Ground
from standmark.cli.drawing.labels import Label
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, disc_ring, lines, rings
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.words.units import Units, height_words
from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Assignment, Spot
from standmark.optimizer.work.danger import spot_dangers
from standmark.optimizer.work.ground_map import GroundMap

BODY_MM = 2.3  # radius of a camera's mark
NOSE_MM = 1.5
CLEAR_MM = 1.0  # between the disc of a camera and others: its nose covers no letter
LETTER_MM = 3.0
SPARE_MM, SPARE_LETTER_MM = 1.9, 2.9  # radius of the disc of a spare place
DANGER_MM = 3.2  # side of the triangle
SIGN_CORNERS = ((1, -1), (-1, -1), (1, 1), (-1, 1))  # of a camera: right and down; the first that is free
SIGN_MM = 2.75  # right and down from the middle of a camera to its sign, which leaves the letter free
SIGN_CLEAR_MM = 4.0  # from a sign to the middle of a disc that it leaves free
LABEL_MM = 3.2  # 9 points
LONGEST_LABEL_MM = 46.0
REACH_SHARE = 0.95  # of the work lies within the sector drawn
LEAST_REACH_MM = 16.0


def sector_marks(assignment: Assignment, index: int, ground: Ground, *, reach_m: float) -> Iterator[Mark]:
    """Draw the directions that a camera pans over, as far as its work reaches."""
    sector = sector_shape(assignment, max(reach_m, LEAST_REACH_MM / ground.mm_per_m))
    yield Fill(f"sector-{index}", rings(ground.shape(sector)))
    yield Line(f"ray-{index}", lines(ground.shape(sector.exterior)))


def camera_places(spots: Iterable[Spot], ground: Ground) -> list[Point]:
    """Where the discs of cameras lie on the page: at their spots, moved apart where one would cover another."""
    return apart([ground.point(spot.x_m, spot.y_m) for spot in spots], 2 * BODY_MM + CLEAR_MM)


def spare_places(spots: Iterable[Spot], ground: Ground, cameras: Sequence[Point]) -> list[Point]:
    """Where the discs of spare places lie on the page: clear of each other and of those of the cameras."""
    places = [ground.point(spot.x_m, spot.y_m) for spot in spots]
    return apart(places, 2 * SPARE_MM, fixed=cameras, fixed_mm=BODY_MM + SPARE_MM + CLEAR_MM)


def camera_marks(assignment: Assignment, index: int, at: Point, ground: Ground) -> Iterator[Mark]:
    """Draw a camera's place: a disc with its letter and a nose toward the middle of its work.

    Parameters
    ----------
    at : where the disc lies on the page, see `camera_places`
    """
    x, y = at
    yield from leader_marks(ground.point(assignment.spot.x_m, assignment.spot.y_m), at, BODY_MM, index)
    yield Fill(
        f"camera-{index}",
        (_body(x, y, math.radians(sum(assignment.pan_deg) / 2) + (math.pi if ground.is_turned else 0.0)),),
    )
    letter = cut_mm(assignment.camera, LETTER_MM, width_mm=2 * BODY_MM - 0.6, is_bold=True)
    letter = letter if "…" not in letter else assignment.camera[:1]
    yield Words("on-camera", x, y + 0.36 * LETTER_MM, letter, LETTER_MM, "middle")


def spare_marks(spot: Spot, name: str, index: int, at: Point, ground: Ground) -> Iterator[Mark]:
    """Draw where a camera goes if its spot is refused: a hollow disc with its letter.

    Parameters
    ----------
    spot : where it goes
    name : of the camera
    at : where the disc lies on the page, see `spare_places`
    """
    x, y = at
    yield from leader_marks(ground.point(spot.x_m, spot.y_m), at, SPARE_MM, index)
    yield Fill(f"fallback-{index}", (disc_ring(x, y, SPARE_MM),))
    yield Words(f"name-{index}", x, y + 0.36 * SPARE_LETTER_MM, name[:1], SPARE_LETTER_MM, "middle")


def danger_marks(x_mm: float, y_mm: float) -> Iterator[Mark]:
    """Draw the sign of a spot on which play can hurt the person who films."""
    half, rise = DANGER_MM / 2, DANGER_MM * math.sqrt(3) / 2
    corners = [[x_mm - half, y_mm + rise / 2], [x_mm + half, y_mm + rise / 2], [x_mm, y_mm - rise / 2]]
    yield Fill("danger", (np.array([*corners, corners[0]]),))
    yield Words("strong", x_mm, y_mm + rise / 2 - 0.45, "!", 0.72 * DANGER_MM, "middle")


def danger_signs(match: Match, spots: Sequence[Spot], cameras: Sequence[Point], spares: Sequence[Point]) -> list[Point]:
    """Where the signs of dangers stand on the page: at the corner of each such camera that is clearest of others.

    Parameters
    ----------
    cameras : where the discs of the spots lie, in their order
    spares : where discs of spare places lie
    """
    signs: list[Point] = []
    for spot, at in zip(spots, cameras, strict=True):
        if any(danger.is_marked for danger in spot_dangers(match, spot)):
            others = [p for p in (*cameras, *spares, *signs) if p != at]
            corners = [(at[0] + right * SIGN_MM, at[1] + down * SIGN_MM) for right, down in SIGN_CORNERS]
            signs.append(max(corners, key=lambda c: min([SIGN_CLEAR_MM, *(math.dist(c, p) for p in others)])))
    return signs


def danger_box(x_mm: float, y_mm: float) -> Box:
    """Box that the sign of a danger takes on the page."""
    rise = DANGER_MM * math.sqrt(3) / 2
    return x_mm - DANGER_MM / 2, y_mm - rise / 2, DANGER_MM, rise


def camera_label(assignment: Assignment, index: int, at: Point, ground: Ground, units: Units) -> Label:
    """Name, lens and height of the camera whose disc lies there, to be laid on the side away from the work."""
    x, y = at
    away = math.radians(sum(assignment.pan_deg) / 2)
    name = cut_mm(f"Camera {assignment.camera}", LABEL_MM, width_mm=LONGEST_LABEL_MM, is_bold=True)
    lens = cut_mm(focal_words(assignment), LABEL_MM, width_mm=LONGEST_LABEL_MM)
    rows = ((f"name-{index}", name), ("text", lens), ("text", f"lens {height_words(assignment.spot.z_m, units)} up"))
    way = -1.0 if ground.is_turned else 1.0
    return Label(x, y, rows, LABEL_MM, BODY_MM + 0.5, (-way * math.cos(away), way * math.sin(away)))


def focal_words(assignment: Assignment) -> str:
    """Focal lengths that the camera works at: "70-200 mm", "85 mm"."""
    short, long = assignment.focal_mm
    return f"{short:.0f} mm" if long - short < 1 else f"{short:.0f}–{long:.0f} mm"


def reach_m(ground_map: GroundMap, index: int, assignment: Assignment) -> float:
    """Distance within which nearly all the work lies that a camera does best."""
    mesh = ground_map.mesh
    spot = np.array([assignment.spot.x_m, assignment.spot.y_m])
    away = np.hypot(*(mesh.xy_m - spot).T)
    work = mesh.worth * ground_map.quality[index] * (ground_map.owner == index)
    if work.sum() <= 0:
        return float(away.max())
    order = np.argsort(away, kind="stable")
    passed = np.cumsum(work[order])
    return float(away[order[np.searchsorted(passed, REACH_SHARE * passed[-1])]])


def sector_shape(assignment: Assignment, reach: float) -> shapely.Polygon:
    """Return what a camera pans over, out to a distance, on the ground."""
    low, high = assignment.pan_deg
    turn = np.radians(np.linspace(low, high, max(3, math.ceil((high - low) / 3) + 1)))
    middle = np.array([[assignment.spot.x_m, assignment.spot.y_m]])
    return shapely.Polygon(np.vstack([middle, middle + reach * np.column_stack([np.cos(turn), np.sin(turn)])]))


def _body(x: float, y: float, turn: float) -> Floats:
    """Ring of a disc with a pointed nose in a direction on the ground."""
    gap = 0.42
    around = np.linspace(turn + gap, turn + 2 * math.pi - gap, 33)
    disc = np.column_stack([np.cos(around), -np.sin(around)]) * BODY_MM
    nose = np.array([[math.cos(turn), -math.sin(turn)]]) * (BODY_MM + NOSE_MM)
    return np.asarray(np.vstack([disc, nose, disc[:1]]) + np.array([x, y]))
