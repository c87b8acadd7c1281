"""Chosen positions on the ground beside the best plan and plain habits, and what each covers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from standmark.cli.drawing.attack_arrows import arrow_boxes, is_turned, match_arrows
from standmark.cli.drawing.cameras import (
    BODY_MM,
    LETTER_MM,
    camera_label,
    camera_marks,
    camera_places,
    reach_m,
    sector_marks,
)
from standmark.cli.drawing.chart import ROW_MM, Bar, bar_marks, letter_marks, letter_row_mm, names_width_mm
from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground, ground_height_mm
from standmark.cli.drawing.labels import Label, label_marks, lay_labels
from standmark.cli.drawing.legend import scale_bar_marks
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, box_ring, disc_ring
from standmark.cli.drawing.plan import MARGIN_MM, SIDE_MM, TALLEST_MM, WIDTH_MM, shunned_shapes, side_boxes, side_marks
from standmark.cli.drawing.playing_area import area_marks, dot_marks
from standmark.cli.drawing.surroundings import drawn_shapes, surroundings_marks
from standmark.cli.drawing.text_size import cut_mm, wrap_mm
from standmark.cli.words.naming import percent
from standmark.cli.words.score_words import SAID, alike, got_words, headline
from standmark.cli.words.units import Units
from standmark.optimizer.scoring.change import Change
from standmark.optimizer.scoring.event_sums import EventScore
from standmark.optimizer.scoring.verdict import Verdict
from standmark.optimizer.value.quality import FACTORS
from standmark.optimizer.work.assignment import Spot, plan_stations
from standmark.optimizer.work.ground_map import ground_map, ground_mesh
from standmark.sports.timeline import length_shares

TITLE_MM, HEADING_MM, SMALL_MM = 5.4, 3.6, 2.7
HABIT_MM = 3.0
NOTE_MM = 46.0  # room for words after the bars
ARROW_ROOM_MM, ARROW_COST = 1.2, 10.0  # room that labels leave an arrow, and the cost of a square millimetre of it
SHOWN_M = 12.0  # habits further outside what is drawn anyway are left out of the frame
KEY = (
    "disc: these positions; ring: best plan; square: what people usually do, numbered below, crossed out if not allowed"
)


def score_picture(
    verdict: Verdict, events: dict[str, EventScore] | None = None, *, units: Units = Units.METRIC
) -> Picture:
    """Lay out title, ground panels and charts."""
    match, width = verdict.score.match, WIDTH_MM - 2 * MARGIN_MM
    bounds = _bounds(verdict)
    height = ground_height_mm(bounds, width - 2 * SIDE_MM, most_mm=TALLEST_MM) + 2 * SIDE_MM
    marks: list[Mark] = list(_title_marks(verdict, width))
    y = MARGIN_MM + 17.0 + 4.6 * len(wrap_mm(headline(verdict), 3.2, width_mm=width))
    for together in panels(verdict):
        period = verdict.score.periods[together[0]]
        names = ", ".join(match.sport.periods[i].name for i in together)
        heading = f"{names}: you get {got_words(period.seen, period.faces, 'it')}"
        marks.append(Words("strong", MARGIN_MM, y + 3.0, cut_mm(heading, HEADING_MM, width_mm=width), HEADING_MM))
        inner = (MARGIN_MM + SIDE_MM, y + 5.0 + SIDE_MM, width - 2 * SIDE_MM, height - 2 * SIDE_MM)
        ground = fit_ground(bounds, inner, is_turned=is_turned(match.sport.area))
        box = (MARGIN_MM, y + 5.0, width, height)
        marks += _ground_marks(verdict, together, ground, box, units=units)
        y += height + 8.0
    marks += scale_bar_marks(ground, MARGIN_MM + 3.0, y + 1.5, units)
    marks.append(Words("quiet", MARGIN_MM, y + 11.0, cut_mm(_key(verdict), 2.4, width_mm=width), 2.4))
    y += 17.0
    below, used = _chart_marks(verdict, events, MARGIN_MM, y, width)
    marks += below
    return Picture(WIDTH_MM, y + used + 6.0, tuple(marks), f"Score: {match.title}", headline(verdict))


def panels(verdict: Verdict) -> list[list[int]]:
    """Group the periods that look the same in the choice and in the best plan."""
    mine = {i: number for number, group in enumerate(alike(verdict.score.periods)) for i in group}
    best = mine
    if verdict.optimum is not None:
        best = {i: number for number, group in enumerate(alike(verdict.optimum.periods)) for i in group}
    groups: dict[tuple[int, int], list[int]] = {}
    for index in range(len(verdict.score.periods)):
        groups.setdefault((mine[index], best[index]), []).append(index)
    return list(groups.values())


def _key(verdict: Verdict) -> str:
    has_arrow = any(_first_change(verdict, index) for index in range(len(verdict.score.periods)))
    return KEY + ("; arrow: what to change first" if has_arrow else "")


def _bounds(verdict: Verdict) -> Box:
    """Part of the ground to show: what a plan shows, and every spot that is not far away from it."""
    shown = drawn_shapes(verdict.score.match)
    low_x, low_y, high_x, high_y = bounds_of(shown, margin_m=1.0)
    spots = [s.spot for stations in verdict.choice for s in stations]
    near = [s.spot for habit in verdict.habits for stations in habit.choice for s in stations]
    spots += [s for s in near if _outside_m(s, (low_x, low_y, high_x, high_y)) <= SHOWN_M]
    xs, ys = [s.x_m for s in spots], [s.y_m for s in spots]
    return min(low_x, *xs) - 1, min(low_y, *ys) - 1, max(high_x, *xs) + 1, max(high_y, *ys) + 1


def _outside_m(spot: Spot, box: Box) -> float:
    return max(box[0] - spot.x_m, spot.x_m - box[2], box[1] - spot.y_m, spot.y_m - box[3], 0.0)


def _title_marks(verdict: Verdict, width: float) -> Iterator[Mark]:
    match = verdict.score.match
    title = cut_mm(match.title, TITLE_MM, width_mm=width, is_bold=True)
    yield Words("strong", MARGIN_MM, MARGIN_MM + 4.4, title, TITLE_MM)
    line = f"{match.venue.name}, for {match.deliverable.name.lower()}"
    line = line if match.title == match.sport.name else f"{match.sport.name}, {line}"
    yield Words("quiet", MARGIN_MM, MARGIN_MM + 9.6, cut_mm(line, 3.2, width_mm=width), 3.2)
    y = MARGIN_MM + 10.0
    for text in wrap_mm(headline(verdict), 3.2, width_mm=width):
        y += 4.6
        yield Words("text", MARGIN_MM, y, text, 3.2)
    yield Line("rule", (np.array([[MARGIN_MM, y + 3.0], [MARGIN_MM + width, y + 3.0]]),))


def _ground_marks(
    verdict: Verdict, together: Sequence[int], ground: Ground, box: Box, *, units: Units
) -> Iterator[Mark]:
    """Draw the ground in some periods that look alike."""
    index, match = together[0], verdict.score.match
    period = verdict.score.periods[index]
    coverage_map = ground_map(match, ground_mesh(match, period.period), plan_stations(match, period))
    yield from surroundings_marks(match, ground)
    yield from area_marks(match.sport.area, ground)
    yield from dot_marks(coverage_map.mesh, ground)
    for number, assignment in enumerate(period.assignments):
        yield from sector_marks(assignment, number, ground, reach_m=reach_m(coverage_map, number, assignment))
    yield from side_marks(match, ground)
    arrows = list(match_arrows(match, ground, only=[verdict.score.periods[i].period for i in together]))
    yield from arrows
    for number, habit in enumerate(verdict.habits, start=1):
        if len(habit.choice[index]) == 1:
            yield from _habit_marks(habit.choice[index][0].spot, number, ground, is_refused=bool(habit.refused))
    if verdict.optimum is not None:
        for assignment in verdict.optimum.periods[index].assignments:
            yield from _ring_marks(assignment.spot, assignment.camera, ground)
    change = _first_change(verdict, index)
    discs = camera_places((a.spot for a in period.assignments), ground)
    labels = [camera_label(a, i, discs[i], ground, units) for i, a in enumerate(period.assignments)]
    shunned = shunned_shapes(match, ground)
    if change is not None:
        arrow = list(_arrow_marks(change, ground, is_marked=not _has_ring(verdict, index, change)))
        yield from arrow
        bows = (part for mark in arrow if isinstance(mark, Line) for part in mark.parts)
        shunned = [*shunned, *((shapely.LineString(bow).buffer(ARROW_ROOM_MM), ARROW_COST) for bow in bows)]
        labels.append(_gain_label(change, ground))
    for number, assignment in enumerate(period.assignments):
        yield from camera_marks(assignment, number, discs[number], ground)
    taken = [*side_boxes(match, ground), *arrow_boxes(arrows), *_boxes(labels)]
    for laid in lay_labels(labels, window=box, taken=taken, shunned=shunned):
        yield from label_marks(laid)


def _first_change(verdict: Verdict, index: int) -> Change | None:
    """Return the change that gains most in a period, if it is one of place; others cannot be drawn."""
    period = verdict.score.periods[index].period
    first = next((change for change in verdict.changes if period in change.periods), None)
    return first if first is not None and first.kind == "place" else None


def _has_ring(verdict: Verdict, index: int, change: Change) -> bool:
    """Is a ring of the best plan where a change leads."""
    there = change.station.spot
    best = () if verdict.optimum is None else verdict.optimum.periods[index].assignments
    return any(math.hypot(a.spot.x_m - there.x_m, a.spot.y_m - there.y_m) < 2.0 for a in best)


def _boxes(labels: Sequence[Label]) -> list[Box]:
    return [
        (label.x_mm - label.clear_mm, label.y_mm - label.clear_mm, 2 * label.clear_mm, 2 * label.clear_mm)
        for label in labels
    ]


def _ring_marks(spot: Spot, name: str, ground: Ground) -> Iterator[Mark]:
    """Ring of the best plan; it shows round the disc of a choice that stands on it."""
    x, y = ground.point(spot.x_m, spot.y_m)
    yield Fill("best", (disc_ring(x, y, BODY_MM + 0.7),))
    yield Words("strong", x, y + 0.36 * LETTER_MM, name[:1], LETTER_MM, "middle")


def _habit_marks(spot: Spot, number: int, ground: Ground, *, is_refused: bool) -> Iterator[Mark]:
    x, y = ground.point(spot.x_m, spot.y_m)
    half = HABIT_MM / 2
    yield Fill("scale-light", (box_ring(x - half, y - half, HABIT_MM, HABIT_MM),))
    if is_refused:
        corners = [[(x - half, y - half), (x + half, y + half)], [(x - half, y + half), (x + half, y - half)]]
        yield Line("clear", tuple(np.array(ends) for ends in corners))
    yield Words("quiet", x, y + 0.36 * 2.3, str(number), 2.3, "middle")


def _arrow_marks(change: Change, ground: Ground, *, is_marked: bool) -> Iterator[Mark]:
    """Bow from the present place to the better one, which is marked with a spot."""
    here = np.array(ground.point(change.before.spot.x_m, change.before.spot.y_m))
    there = np.array(ground.point(change.station.spot.x_m, change.station.spot.y_m))
    way = there - here
    length = max(float(np.hypot(*way)), 1e-9)
    across = np.array([-way[1], way[0]]) / length
    t = np.linspace(0.0, 1.0, 25)[:, None]
    bow = here + t * way + 0.12 * length * np.sin(math.pi * t) * across
    if is_marked:
        yield Fill("scale-dark", (disc_ring(float(there[0]), float(there[1]), 0.9),))
    kept = bow[(np.hypot(*(bow - here).T) > BODY_MM) & (np.hypot(*(bow - there).T) > 2.6)]
    if len(kept) < 2:
        return
    yield Line("line", (kept,))
    along = (there - kept[-1]) / np.hypot(*(there - kept[-1]))
    side = np.array([-along[1], along[0]])
    tip = kept[-1] + 1.6 * along
    yield Fill("scale-dark", (np.array([tip, kept[-1] + 0.8 * side, kept[-1] - 0.8 * side, tip]),))


def _gain_label(change: Change, ground: Ground) -> Label:
    x, y = ground.point(change.station.spot.x_m, change.station.spot.y_m)
    return Label(x, y, (("strong", f"worth {100 * change.gain:.1f} % more"),), 2.7, 2.6, (1.0, 0.0))


def _chart_marks(
    verdict: Verdict, events: dict[str, EventScore] | None, x: float, y: float, width: float
) -> tuple[list[Mark], float]:
    """Bars of what is seen, and below them the factors.

    Returns
    -------
    the marks, and the height used [mm]
    """
    bars = list(_bars(verdict, events))
    rows = [(SAID[factor], _factor_means(verdict, factor)) for factor in FACTORS]
    names = names_width_mm([bar.name for bar in bars], most_mm=60.0)
    more = "; diamond: real events filmed well enough to use, with the 95 % interval" if events else ""
    marks: list[Mark] = [Words("strong", x, y, f"What you get of the match{more}", SMALL_MM)]
    marks += bar_marks(bars, x, y + 2.0, names_mm=names, width_mm=width - names - NOTE_MM)
    below = y + ROW_MM * len(bars) + 13.0
    marks.append(Words("strong", x, below, "What it is made of, on average", SMALL_MM))
    marks += letter_marks(rows, x, below + 2.0, names_mm=names, width_mm=width - names - NOTE_MM)
    return marks, below - y + 8.0 + letter_row_mm(len(verdict.choice[0])) * len(rows)


def _factor_means(verdict: Verdict, factor: str) -> list[tuple[str, float]]:
    """Mean of a factor over the match, for each camera."""
    shares = length_shares(verdict.score.match.sport.periods)
    means = shares @ np.array([[a.factors[factor] for a in period.assignments] for period in verdict.score.periods])
    return [(a.camera, float(mean)) for a, mean in zip(verdict.score.periods[0].assignments, means, strict=True)]


def _bars(verdict: Verdict, events: dict[str, EventScore] | None) -> Iterator[Bar]:
    mine, best = verdict.score, verdict.optimum
    rows = [("choice", "these positions", mine.seen, mine.faces, "camera-0", "")]
    if best is not None:
        rows.append(("optimum", "best plan", best.seen, best.faces, "scale-dark", ""))
    rows += [
        (h.key, f"{i} {h.name}", h.seen, h.faces, "obstacle", h.refused) for i, h in enumerate(verdict.habits, start=1)
    ]
    for key, name, share, faces, style, refused in rows:
        event = None if events is None else events[key]
        yield Bar(
            name, share, style, bool(refused), f", {percent(faces)} with faces{', not allowed' if refused else ''}",
            None if event is None else event.captured, None if event is None else event.interval,
        )  # fmt: skip
