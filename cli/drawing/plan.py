"""The plan as a picture to scale, one panel for each period with different places."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from standmark.cli.drawing.action_lines import action_labels, action_marks
from standmark.cli.drawing.advice_marks import handover_marks, tolerance_marks
from standmark.cli.drawing.attack_arrows import arrow_boxes, is_turned, match_arrows
from standmark.cli.drawing.cameras import (
    SPARE_MM,
    camera_label,
    camera_marks,
    camera_places,
    danger_box,
    danger_marks,
    danger_signs,
    reach_m,
    sector_marks,
    spare_marks,
    spare_places,
)
from standmark.cli.drawing.follow_ground import station_boxes, walk_on_plan_marks
from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground, ground_height_mm
from standmark.cli.drawing.labels import Label, Shunned, label_marks, lay_labels
from standmark.cli.drawing.legend import entry_marks, north_marks, plan_entries, scale_bar_marks
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, rings
from standmark.cli.drawing.playing_area import N_DOTS, area_marks, dot_marks
from standmark.cli.drawing.sun_dial import DIAL_MM, dial_marks
from standmark.cli.drawing.surroundings import drawn_shapes, surroundings_marks
from standmark.cli.drawing.text_size import cut_mm, text_width_mm
from standmark.cli.words.advice_words import camera_advice
from standmark.cli.words.naming import percent, place_words
from standmark.cli.words.shares import about
from standmark.cli.words.units import Units
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.presets import lens_label
from standmark.optimizer.picture.stretch import Stretch, plan_stretches
from standmark.optimizer.picture.sun_path import match_sun, period_shade
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import Spot

WIDTH_MM = 210.0
MARGIN_MM = 10.0
TALLEST_MM = 190.0  # of a panel
SIDE_MM = 5.0  # room for the names of the sides
ROOM_MM = 15.5  # over and under the ground: for the labels of cameras that stand outside the long sides
# cost of a square millimetre under a label, see lay_labels
ON_PLAY, ON_BLOCKED, ON_ALLOWED, ON_DRIFT = 0.1, 0.2, 1.0, 3.0
DRIFT_MM = 0.7  # half the width that a drift is drawn with
MARGIN_M = 1.0
TITLE_MM, HEADING_MM, SMALL_MM = 5.4, 3.6, 3.2


def plan_picture(plan: Plan, stretches: Sequence[Stretch] | None = None, *, units: Units = Units.METRIC) -> Picture:
    """Lay out title, panels and legend.

    Parameters
    ----------
    stretches : of the plan, if they are known already
    """
    stretches = plan_stretches(plan) if stretches is None else stretches
    width = WIDTH_MM - 2 * MARGIN_MM
    marks: list[Mark] = list(title_marks(plan, width))
    y = MARGIN_MM + 17.0
    height = panel_height_mm(plan, width, most_mm=TALLEST_MM)
    for stretch in stretches:
        marks.append(
            Words("strong", MARGIN_MM, y + 3.0, f"{stretch.name}: {about(stretch.first.seen)} of it", HEADING_MM)
        )
        ground, panel = ground_panel(plan, stretch, (MARGIN_MM, y + 5.0, width, height), units=units)
        marks += panel
        y += height + 8.0
    below, used = foot_marks(plan, ground, (MARGIN_MM, y, width, 0.0), units=units, over=marks)
    marks += below
    total = y + used + 4.0
    return Picture(WIDTH_MM, total, tuple(marks), f"Plan: {plan.match.title}", plan_description(plan, stretches, units))


def foot_marks(plan: Plan, ground: Ground, box: Box, *, units: Units, over: Sequence[Mark]) -> tuple[list[Mark], float]:
    """Draw what stands below drawings of the ground: scale, meaning of the marks, sun or north.

    Parameters
    ----------
    over : marks of the drawings

    Returns
    -------
    the marks, and the height used [mm]
    """
    match, (left, top, width, _) = plan.match, box
    sun = match_sun(match)
    has_north = match.venue.latitude_deg is not None and match.venue.has_bearing
    dial_mm = DIAL_MM[0] if sun is not None else 14.0 if has_north else 0.0
    marks: list[Mark] = list(scale_bar_marks(ground, left + 3.0, top + 1.5, units))
    entries = plan_entries(match, dot_share=1 / N_DOTS, drawn={mark.style.partition("-")[0] for mark in over})
    key, used = entry_marks(entries, left, top + 9.5, width_mm=width - dial_mm)
    marks += key
    if sun is not None:
        marks += dial_marks(match, sun, (left + width - dial_mm, top, *DIAL_MM), is_turned=ground.is_turned)
    elif dial_mm:
        marks += north_marks(match.venue.bearing_deg + 180.0 * ground.is_turned, left + width - 8.0, top + 6.0)
    return marks, max(9.5 + used, DIAL_MM[1] if sun is not None else 0.0)


def plan_bounds(plan: Plan) -> Box:
    """Part of the ground that every panel of a plan shows [m]."""
    return bounds_of(drawn_shapes(plan.match), margin_m=MARGIN_M)


def panel_height_mm(plan: Plan, width_mm: float, *, most_mm: float) -> float:
    """Height of a box of a given width that `ground_panel` fills well, with at most so much of it ground."""
    return ground_height_mm(plan_bounds(plan), width_mm - 2 * SIDE_MM, most_mm=most_mm) + 2 * ROOM_MM


def ground_panel(
    plan: Plan,
    stretch: Stretch,
    box: Box,
    *,
    units: Units,
    only: int | None = None,
    ground: Ground | None = None,
) -> tuple[Ground, list[Mark]]:
    """Draw the ground with the cameras of one stretch in a box on the page.

    Parameters
    ----------
    only : camera whose sector and label are drawn, the others being marked only; None: all
    ground : window on the ground inside the box; None: the largest usual scale that fits
    """
    match, coverage_map = plan.match, stretch.coverage_map
    left, top, width, height = box
    inner = (left + SIDE_MM, top + ROOM_MM, width - 2 * SIDE_MM, height - 2 * ROOM_MM)
    ground = ground or fit_ground(plan_bounds(plan), inner, is_turned=is_turned(match.sport.area))
    assignments = stretch.first.assignments
    marks: list[Mark] = [*surroundings_marks(match, ground), *area_marks(match.sport.area, ground)]
    shade = period_shade(match, stretch.first.period)
    marks += [] if shade.is_empty else [Fill("shade", rings(ground.shape(shade)))]
    marks += dot_marks(coverage_map.mesh, ground)
    told = [(i, a) for i, a in enumerate(assignments) if only in (None, i)]
    for index, assignment in told:
        marks += sector_marks(assignment, index, ground, reach_m=reach_m(coverage_map, index, assignment))
    marks += side_marks(match, ground)
    if only is None:
        marks += action_marks(stretch.first, match, ground)
    marks += walk_on_plan_marks(plan, stretch.first, ground, only=only)
    advised, spares = _advised(plan, stretch, ground, only=only)
    marks += advised
    spots = [a.spot for a in assignments]
    discs = camera_places(spots, ground)
    spare_discs = spare_places(spares.values(), ground, discs)
    for (index, spot), at in zip(spares.items(), spare_discs, strict=True):
        marks += spare_marks(spot, match.cameras[index].name, index, at, ground)
    for index, assignment in enumerate(assignments):
        marks += camera_marks(assignment, index, discs[index], ground)
    signs = danger_signs(match, spots, discs, spare_discs)
    arrows = list(match_arrows(match, ground, only=[p.period for p in stretch.periods]))
    marks += arrows
    labels = [camera_label(a, i, discs[i], ground, units) for i, a in told]
    labels += action_labels(stretch.first, match, ground) if only is None else []
    taken = [
        *arrow_boxes(arrows),
        *side_boxes(match, ground),
        *station_boxes(plan, stretch.first, ground),
        *(danger_box(*sign) for sign in signs),
        *_camera_boxes(labels),
        *((x - SPARE_MM, y - SPARE_MM, 2 * SPARE_MM, 2 * SPARE_MM) for x, y in spare_discs),
        *_target_boxes(match, ground),
    ]
    for laid in lay_labels(labels, window=box, taken=taken, shunned=shunned_shapes(match, ground, marks)):
        marks += label_marks(laid)
    for sign in signs:
        marks += danger_marks(*sign)
    return ground, marks


def _advised(plan: Plan, stretch: Stretch, ground: Ground, *, only: int | None) -> tuple[list[Mark], dict[int, Spot]]:
    """Marks of the advice for a stretch, and by index of the camera where it goes if refused."""
    marks: list[Mark] = []
    spares: dict[int, Spot] = {}
    if plan.advice is None:
        return marks, spares
    at = plan.periods.index(stretch.first)
    if only is None:
        marks += handover_marks(plan.advice.handovers[at], ground)
    for index, assignment in enumerate(stretch.first.assignments):
        told = camera_advice(plan.advice, stretch.first.period.key, assignment.camera)
        if told is None or only not in (None, index):
            continue
        marks += tolerance_marks(plan.match, assignment.spot, told.tolerance, index, ground)
        if told.fallback is not None:
            spares[index] = told.fallback.spot
    return marks, spares


def side_marks(match: Match, ground: Ground) -> Iterator[Mark]:
    """Write the names of the four sides round the window."""
    left, top, width, height = ground.window
    names = names_round(match, ground)
    yield Words("quiet", left + width / 2, top - 1.6, _fitted(names["+y"], width), SMALL_MM, "middle")
    yield Words("quiet", left + width / 2, top + height + 3.6, _fitted(names["-y"], width), SMALL_MM, "middle")
    yield Words("quiet", left - 1.6, top + height / 2, _fitted(names["-x"], height), SMALL_MM, "middle", 90.0)
    yield Words("quiet", left + width + 1.6, top + height / 2, _fitted(names["+x"], height), SMALL_MM, "middle", -90.0)


def names_round(match: Match, ground: Ground) -> dict[str, str]:
    """Names of the sides as they lie on the page: "+x" to the right, "+y" up."""
    names = match.venue.side_names
    across = {"+x": "-x", "-x": "+x", "+y": "-y", "-y": "+y"}
    return {side: names[across[side]] for side in names} if ground.is_turned else names


def side_boxes(match: Match, ground: Ground) -> list[Box]:
    """Boxes that the names of the sides take."""
    left, top, width, height = ground.window
    names = names_round(match, ground)
    across = {side: min(text_width_mm(names[side], SMALL_MM), width if side[1] == "y" else height) for side in names}
    return [
        (left + (width - across["+y"]) / 2, top - 4.2, across["+y"], 3.4),
        (left + (width - across["-y"]) / 2, top + height + 1.0, across["-y"], 3.4),
        (left - 4.2, top + (height - across["-x"]) / 2, 3.4, across["-x"]),
        (left + width + 0.8, top + (height - across["+x"]) / 2, 3.4, across["+x"]),
    ]


def plan_description(plan: Plan, stretches: Sequence[Stretch], units: Units) -> str:
    """Say in words what the drawing shows."""
    parts = [f"{plan.match.sport.name} at {plan.match.venue.name}, {about(plan.seen)} of the match."]
    for stretch in stretches:
        parts.append(f"{stretch.name}:")
        parts += [
            f"camera {a.camera} stands {place_words(a.spot, plan.match, units=units)}, {lens_label(a.lens)} lens, gets "
            f"{percent(a.seen)} alone."
            for a in stretch.first.assignments
        ]
    return " ".join(parts)


def title_marks(plan: Plan, width: float) -> Iterator[Mark]:
    """Write what is planned, and how much of the match it gets."""
    match = plan.match
    yield Words(
        "strong", MARGIN_MM, MARGIN_MM + 4.4, cut_mm(match.title, TITLE_MM, width_mm=width, is_bold=True), TITLE_MM
    )
    purpose = f"For {match.deliverable.name.lower()}: {about(plan.seen)} of the match"
    sport = "" if match.sport.name.lower() in match.title.lower() else f"{match.sport.name}, "
    line = f"{sport}{match.venue.name}. {purpose}"
    yield Words("quiet", MARGIN_MM, MARGIN_MM + 10.0, cut_mm(line, HEADING_MM, width_mm=width), HEADING_MM)
    y = MARGIN_MM + 13.0
    yield Line("rule", (np.array([[MARGIN_MM, y], [MARGIN_MM + width, y]]),))


def shunned_shapes(match: Match, ground: Ground, marks: Sequence[Mark] = ()) -> list[Shunned]:
    """What a label had better not cover: where play is, where one may stand or drift, what is forbidden.

    Parameters
    ----------
    marks : what is drawn already, drifts among it
    """
    venue = match.venue
    blocked = [
        *(f.shape for f in venue.forbidden),
        *(shapely.MultiPoint(o.footprint_m).convex_hull for o in venue.obstacles),
        *(thing.shape for thing in venue.furniture),
    ]
    allowed = [ground.shape(a.shape) for a in venue.allowed]
    drifts = [part for mark in marks if isinstance(mark, Line) and mark.style.startswith(("drift", "strip"))
              for part in mark.parts]  # fmt: skip
    return [
        (ground.shape(match.sport.area.outline), ON_PLAY),
        (shapely.union_all([ground.shape(shape) for shape in blocked]), ON_BLOCKED),
        (shapely.union_all([s if s.area > 0 else s.buffer(DRIFT_MM) for s in allowed]), ON_ALLOWED),
        (shapely.union_all([shapely.LineString(part).buffer(DRIFT_MM) for part in drifts]), ON_DRIFT),
    ]


def _target_boxes(match: Match, ground: Ground) -> list[Box]:
    """Boxes that goals and posts take on the page."""
    boxes = []
    for target in match.sport.area.targets:
        xy = ground.place(np.vstack([np.array(bar)[:, :2] for bar in target.bars])) if target.bars else np.empty((0, 2))
        if len(xy):
            (left, top), (width, height) = xy.min(axis=0).tolist(), np.ptp(xy, axis=0).tolist()
            boxes.append((left, top, max(width, 0.5), max(height, 0.5)))
    return boxes


def _camera_boxes(labels: Sequence[Label]) -> list[Box]:
    return [
        (label.x_mm - label.clear_mm, label.y_mm - label.clear_mm, 2 * label.clear_mm, 2 * label.clear_mm)
        for label in labels
    ]


def _fitted(text: str, width_mm: float) -> str:
    return cut_mm(text, SMALL_MM, width_mm=width_mm)
