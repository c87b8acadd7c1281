"""The card of a walk with play, postcard size: the ground with zones, stations and ways, then the lines."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from standmark.cli.drawing.follow_ground import (
    DISC_MM,
    camera_index,
    card_places,
    station_marks,
    walk_marks,
    zone_lines,
    zone_middle,
    zone_shape,
)
from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, box_ring, disc_ring, rings, shifted
from standmark.cli.drawing.palette import STYLES
from standmark.cli.drawing.playing_area import area_marks
from standmark.cli.drawing.surroundings import surroundings_marks
from standmark.cli.drawing.text_size import cut_mm, wrap_mm
from standmark.cli.words.roam_words import CardWords, follow_card, told_scenes
from standmark.cli.words.units import Units
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.roam.follow import FollowPlan, SceneFollow

WIDTH_MM, HEIGHT_MM = 105.0, 148.0  # A6, ISO 216
MARGIN_MM = 6.0
GROUND_MM = 46.0  # height of the drawing
TITLE_MM, TEXT_MM, SMALL_MM = 5.2, 3.5, 3.2
LEADING = 1.25
WHEN_SHARE = 0.46  # of the width of a line
ROUND_M = 8.0  # ground shown round the playing area


def card_picture(plan: Plan, follow: FollowPlan, scene: SceneFollow, *, units: Units = Units.METRIC) -> Picture:
    """Lay out the card of one scene."""
    match, index = plan.match, camera_index(plan.match, follow)
    card = follow_card(follow, scene, match, units=units)
    inner = WIDTH_MM - 2 * MARGIN_MM
    marks: list[Mark] = [Fill("paper", (box_ring(0.0, 0.0, WIDTH_MM, HEIGHT_MM),))]
    marks += _head(match, follow, card, index, inner)
    box = (MARGIN_MM, MARGIN_MM + 14.5, inner, GROUND_MM)
    marks += ground_marks(match, follow, scene, index, box)
    bottom, lines = _table(card, index, MARGIN_MM + 14.5 + GROUND_MM + 1.5, inner)
    marks += lines
    marks += _foot(card, bottom + 1.5, inner)
    described = "; ".join(f"{when}: {where}" for _, when, where in card.lines)
    return Picture(WIDTH_MM, HEIGHT_MM, tuple(marks), f"Card of camera {follow.camera.name}: {card.title}", described)


def ground_marks(match: Match, follow: FollowPlan, scene: SceneFollow, index: int, box: Box) -> Iterator[Mark]:
    """Draw the ground with the zones of the ball, the stations they send to, and the ways between these."""
    area = match.sport.area
    shown = [area.outline, *(shapely.Point(*xyz[:2]) for xyz in scene.stations.xyz_m[card_places(scene)])]
    ground = _fitted(bounds_of(shown, margin_m=ROUND_M), box)
    attack = scene.ours_x or 1
    yield from surroundings_marks(match, ground)
    yield from area_marks(area, ground)
    stretches = zone_lines(follow, scene, attack)
    for place, (_, line) in enumerate(stretches):
        if place % 2:
            yield Fill("shade", rings(ground.shape(area.outline.intersection(zone_shape(match, line, attack)))))
    yield from _arrow(match, ground, attack)
    for number, line in stretches:
        if len(stretches) > 1:
            x, y = ground.point(*zone_middle(match, line, attack))
            yield Words("strong", x, y + 2.0, str(number), 5.6, "middle")
    yield from walk_marks(match, scene, [line for _, line in stretches], index, ground, attack)
    yield from station_marks(scene, index, ground, attack)


def _fitted(bounds_m: Box, box: Box) -> Ground:
    """Fill the box, at whatever scale that gives: nobody lays a ruler on a card."""
    low_x, low_y, high_x, high_y = bounds_m
    exact = 1000.0 * max((high_x - low_x) / box[2], (high_y - low_y) / box[3])
    usual = fit_ground(bounds_m, box)
    left, top, width, height = box
    per_m = 1000.0 / exact
    return Ground(
        exact,
        left + width / 2 - (low_x + high_x) / 2 * per_m,
        top + height / 2 + (low_y + high_y) / 2 * per_m,
        usual.window,
    )


def _arrow(match: Match, ground: Ground, attack: int) -> Iterator[Mark]:
    """Broad arrow in the direction of the attack."""
    area = match.sport.area
    half, high = 0.24 * area.length_m, 0.055 * area.width_m
    outline = [(-half, -high), (half, -high), (half, -2 * high), (1.25 * half, 0), (half, 2 * high), (half, high),
               (-half, high), (-half, -high)]  # fmt: skip
    xy_m = np.array(outline) * (attack, 1.0) + (0.0, 0.2 * area.width_m)
    ring = ground.place(xy_m)
    yield Fill("paper", (ring,))
    yield Line("line", (ring,))
    x, y = ground.point(0.0, 0.2 * area.width_m)
    yield Words("strong", x, y + 1.0, "attack", SMALL_MM, "middle")


def _head(match: Match, follow: FollowPlan, card: CardWords, index: int, inner: float) -> Iterator[Mark]:
    top, name = MARGIN_MM, follow.camera.name
    yield Fill(f"camera-{index}", (disc_ring(MARGIN_MM + 5.0, top + 5.0, 5.0),))
    yield Words("on-camera", MARGIN_MM + 5.0, top + 7.2, name[:1], 6.2, "middle")
    room = inner - 30.0
    yield Words(
        "strong", MARGIN_MM + 12.5, top + 4.4, cut_mm(card.title, TITLE_MM, width_mm=room, is_bold=True), TITLE_MM
    )
    told = f"{match.venue.name}, {card.kit}" + (f", {card.when}" if card.when else "")
    yield Words("text", MARGIN_MM + 12.5, top + 9.4, cut_mm(told, TEXT_MM, width_mm=inner - 13.0), TEXT_MM)
    if match.start is not None:
        yield Words("strong", WIDTH_MM - MARGIN_MM, top + 4.4, f"{match.start:%H:%M}", TITLE_MM, "end")
    yield _rule(top + 12.5, inner)


def _rule(y: float, inner: float) -> Mark:
    return Line("line", (np.array([[MARGIN_MM, y], [MARGIN_MM + inner, y]]),))


def _table(card: CardWords, index: int, top: float, inner: float) -> tuple[float, list[Mark]]:
    """Lines of the card; returns where they end."""
    marks: list[Mark] = [_rule(top, inner)]
    when_x, where_x = MARGIN_MM + 7.0, MARGIN_MM + 7.0 + (inner - 7.0) * WHEN_SHARE
    room = ((inner - 7.0) * WHEN_SHARE - 2.0, (inner - 7.0) * (1 - WHEN_SHARE))
    y = top + 1.2
    for number, when, where in card.lines:
        said = wrap_mm(when, TEXT_MM, width_mm=room[0], is_bold=STYLES["strong"].is_bold)
        go = wrap_mm(where, TEXT_MM, width_mm=room[1])
        for row, text in enumerate(said):
            marks.append(Words("strong", when_x, y + TEXT_MM * (0.95 + LEADING * row), text, TEXT_MM))
        for row, text in enumerate(go):
            marks.append(Words("text", where_x, y + TEXT_MM * (0.95 + LEADING * row), text, TEXT_MM))
        if number:
            marks.append(Fill(f"camera-{index}", (disc_ring(MARGIN_MM + 2.6, y + 2.2, DISC_MM),)))
            marks.append(Words("on-camera", MARGIN_MM + 2.6, y + 3.35, number, 3.3, "middle"))
        y += TEXT_MM * LEADING * max(len(said), len(go)) + 1.1
        marks.append(Line("rule", (np.array([[MARGIN_MM, y], [MARGIN_MM + inner, y]]),)))
        y += 0.9
    return y, marks


def _foot(card: CardWords, top: float, inner: float) -> Iterator[Mark]:
    yield _rule(top, inner)
    y = top + 1.2
    for text in card.notes:
        for row in wrap_mm(text, SMALL_MM, width_mm=inner):
            yield Words("text", MARGIN_MM, y + 0.95 * SMALL_MM, row, SMALL_MM)
            y += SMALL_MM * 1.2
        y += 0.6


def cards_picture(plan: Plan, *, units: Units = Units.METRIC) -> Picture | None:
    """All cards of a plan under each other; None where nobody walks."""
    cards = [card_picture(plan, f, s, units=units) for f in plan.follow for s in told_scenes(f)]
    if not cards:
        return None
    marks = [mark for row, card in enumerate(cards) for mark in shifted(card.marks, 0.0, row * HEIGHT_MM)]
    described = ". ".join(card.description for card in cards)
    return Picture(WIDTH_MM, HEIGHT_MM * len(cards), tuple(marks), f"Cards: {plan.match.title}", described)
