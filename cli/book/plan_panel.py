"""A ground with its coded positions, to scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from standmark.cli.book.record_types import (
    GroundRecord,
    PositionRecord,
)
from standmark.cli.drawing.attack_arrows import arrow_boxes, arrow_marks
from standmark.cli.drawing.cameras import danger_box, danger_marks
from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground, ground_height_mm
from standmark.cli.drawing.labels import Label, label_marks, lay_labels
from standmark.cli.drawing.legend import north_marks, scale_bar_marks
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, disc_ring
from standmark.cli.drawing.plan import side_boxes, side_marks
from standmark.cli.drawing.playing_area import area_marks
from standmark.cli.drawing.surroundings import drawn_shapes, surroundings_marks
from standmark.cli.words.attack import both_ways
from standmark.cli.words.units import Units, height_words
from standmark.optimizer.match.match import Match

SIGN_MM = 1.9  # from a position to the sign of its danger, across and down
SPOT_MM = 1.3  # radius of a position's mark
LOOKS_MM = 14.0  # of the line toward the aim
SIDE_MM = 5.0  # room for the names of the sides
MARGIN_M = 1.5
SCREEN_MM = 120.0  # width of the picture for a screen: its words stay readable on a phone
CODE_MM = 3.2
UNDER_MM = 11.5  # room for scale and north

Positions = Sequence[PositionRecord]


def screen_picture(match: Match, record: GroundRecord, *, units: Units) -> Picture:
    """Draw the ground alone, small enough in scale that a phone shows its codes."""
    bounds_m = panel_bounds_m(match, record)
    height = panel_height_mm(bounds_m, width_mm=SCREEN_MM, most_mm=160.0)
    box = (0.0, 0.0, SCREEN_MM, height)
    marks = list(panel_marks(match, record, box, bounds_m=bounds_m, units=units, with_heights=False))
    title = f"{record['code']}: {record['name']}"
    return Picture(SCREEN_MM, height + UNDER_MM, tuple(marks), title, description(record))


def panel_height_mm(bounds_m: Box, *, width_mm: float, most_mm: float) -> float:
    """Height that a panel of a width needs for a part of the ground, with the names of the sides."""
    return ground_height_mm(bounds_m, width_mm - 2 * SIDE_MM, most_mm=most_mm) + 2 * SIDE_MM


def panel_marks(
    match: Match, record: GroundRecord, box: Box, *, bounds_m: Box, units: Units, with_heights: bool
) -> Iterator[Mark]:
    """Draw the ground with its positions in a box, main side down, and scale and north under it (UNDER_MM).

    Parameters
    ----------
    bounds_m : what of the ground is shown, see `panel_bounds_m`
    with_heights : for paper: write lens heights beside the codes, and the ratio of the scale
    """
    left, top, width, height = box
    inner = (left + SIDE_MM, top + SIDE_MM, width - 2 * SIDE_MM, height - 2 * SIDE_MM)
    is_turned = record["main_side"] == "+y"  # down on the page: left and right are those of the codes
    ground = fit_ground(bounds_m, inner, is_turned=is_turned)
    yield from surroundings_marks(match, ground)
    yield from area_marks(match.sport.area, ground)
    yield from side_marks(match, ground)
    filled = [p for p in record["positions"] if p["filled"]]
    for position in filled:
        yield from _looks_marks(position, ground)
    wanted = list(wanted_places(record["positions"]))
    for _, x_m, y_m in wanted:
        yield _cross(*ground.point(x_m, y_m))
    for position in filled:
        x, y = ground.point(position["x_m"], position["y_m"])
        yield Fill("position" if position["met"] else "position-short", (disc_ring(x, y, SPOT_MM, points=24),))
    signs = [_sign(p, ground) for p in filled if any(danger["marked"] for danger in p["dangers"])]
    arrows = list(arrow_marks(match.sport.area, both_ways(match.sport.periods), ground))
    yield from arrows
    labels = [_label(p, ground, units, with_heights) for p in filled]
    labels += [Label(*ground.point(x_m, y_m), (("quiet", code),), CODE_MM, SPOT_MM) for code, x_m, y_m in wanted]
    spots = [(label.x_mm - SPOT_MM, label.y_mm - SPOT_MM, 2 * SPOT_MM, 2 * SPOT_MM) for label in labels]
    taken = [*side_boxes(match, ground), *arrow_boxes(arrows), *spots, *(danger_box(*sign) for sign in signs)]
    for laid in lay_labels(labels, window=box, taken=taken):
        yield from label_marks(laid)
    for sign in signs:
        yield from danger_marks(*sign)
    yield from scale_bar_marks(ground, left + 3.0, top + height + 2.0, units, with_ratio=with_heights, size_mm=CODE_MM)
    if record["bearing_deg"] is not None:
        yield from north_marks(record["bearing_deg"] + 180.0 * is_turned, left + width - 9.0, top + height + 3.0)


def wanted_places(positions: Positions) -> Iterator[tuple[str, float, float]]:
    """Code and place of every unfilled position that a place not open yet could fill."""
    for position in positions:
        places = [fix for fix in position["fixes"] if "place" in fix["kinds"] and not fix["closed_by"]]
        if not position["filled"] and places:
            yield position["role_code"], places[0]["x_m"], places[0]["y_m"]


def description(record: GroundRecord) -> str:
    """Say in words what the drawing shows."""
    said = [
        f"{p['role_code']} ({p['role']}): {p['place']}" if p["filled"] else f"{p['role_code']} ({p['role']}): no place"
        for p in record["positions"]
    ]
    return f"{record['sport_name']} at {record['name']}. " + "; ".join(said) + "."


def panel_bounds_m(match: Match, record: GroundRecord) -> Box:
    """Part of the ground that a panel shows: all that is drawn, as low x, low y, high x, high y."""
    points = [shapely.Point(x_m, y_m) for _, x_m, y_m in wanted_places(record["positions"])]
    return bounds_of([*drawn_shapes(match), *points], margin_m=MARGIN_M)


def _looks_marks(position: PositionRecord, ground: Ground) -> Iterator[Mark]:
    start = np.array(ground.point(position["x_m"], position["y_m"]))
    end = np.array(ground.point(position["aim"]["x_m"], position["aim"]["y_m"]))
    away = float(np.hypot(*(end - start)))
    if away > SPOT_MM:
        stop = start + (end - start) * min(1.0, LOOKS_MM / away)
        yield Line("looks" if position["met"] else "looks-short", (np.array([start, stop]),))


def _sign(position: PositionRecord, ground: Ground) -> tuple[float, float]:
    """Where the sign of a danger stands: beside the position, away from where it looks."""
    x, y = ground.point(position["x_m"], position["y_m"])
    aim_x, _ = ground.point(position["aim"]["x_m"], position["aim"]["y_m"])
    return x + (SIGN_MM if aim_x < x else -SIGN_MM), y - SIGN_MM


def _label(position: PositionRecord, ground: Ground, units: Units, with_heights: bool) -> Label:
    x, y = ground.point(position["x_m"], position["y_m"])
    aim_x, aim_y = ground.point(position["aim"]["x_m"], position["aim"]["y_m"])
    away = max(float(np.hypot(x - aim_x, y - aim_y)), 1e-9)
    style = "name-0" if position["met"] else "name-1"
    rows = [(style, position["role_code"])]
    if with_heights:
        rows.append(("text", f"{height_words(position['z_m'], units)} up"))
    return Label(x, y, tuple(rows), CODE_MM, SPOT_MM + 0.3, ((x - aim_x) / away, (y - aim_y) / away))


def _cross(x: float, y: float) -> Mark:
    arm = SPOT_MM
    strokes = ([[x - arm, y - arm], [x + arm, y + arm]], [[x - arm, y + arm], [x + arm, y - arm]])
    return Line("position-wanted", tuple(np.array(stroke) for stroke in strokes))


def legend_words() -> Sequence[tuple[str, str]]:
    """Say what the marks of a position mean: style, words."""
    return (
        ("position", "meets the standard"),
        ("position-short", "falls short"),
        ("position-wanted", "no place open; could be opened here"),
        ("danger", "danger: see the words"),
    )
