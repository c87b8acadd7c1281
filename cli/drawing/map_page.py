"""All maps of a plan on one page, two beside each other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from standmark.cli.drawing.attack_arrows import is_turned, match_arrows
from standmark.cli.drawing.ground import Box, fit_ground, ground_height_mm
from standmark.cli.drawing.maps import (
    LOSS_WORDS,
    SHARE_WORDS,
    band_key,
    best_marks,
    owner_marks,
    value_marks,
)
from standmark.cli.drawing.marks import Mark, Picture, Words
from standmark.cli.drawing.plan import MARGIN_MM, WIDTH_MM, plan_bounds, title_marks
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.words.lines import capital
from standmark.cli.words.naming import percent
from standmark.optimizer.picture.stretch import Stretch, plan_stretches
from standmark.optimizer.picture.what_if import spot_coverage
from standmark.optimizer.planning import Plan

GAP_MM = 6.0
HEADING_MM, SMALL_MM = 3.4, 3.2
TALLEST_MM = 110.0
Drawer = Callable[[Box], list[Mark]]


def maps_picture(plan: Plan, stretches: Sequence[Stretch] | None = None) -> Picture:
    """Lay out, for each stretch of periods: best camera, who has what, and the value of every spot for each camera.

    Parameters
    ----------
    stretches : of the plan, if they are known already
    """
    stretches = plan_stretches(plan) if stretches is None else stretches
    width = WIDTH_MM - 2 * MARGIN_MM
    column = (width - GAP_MM) / 2
    height = ground_height_mm(plan_bounds(plan), column, most_mm=TALLEST_MM)
    marks: list[Mark] = list(title_marks(plan, width))
    y = MARGIN_MM + 17.0
    for stretch in stretches:
        panels = map_panels(plan, stretch)
        for number, (title, draw) in enumerate(panels):
            row, side = divmod(number, 2)
            left, top = MARGIN_MM + side * (column + GAP_MM), y + row * (height + 9.0)
            heading = capital(title) if len(stretches) == 1 else f"{stretch.name}: {title}"
            heading = cut_mm(heading, HEADING_MM, width_mm=column, is_bold=True)
            marks.append(Words("strong", left, top + 3.0, heading, HEADING_MM))
            box = (left, top + 5.0, column, height)
            marks += [*draw(box), *_arrows(plan, stretch, box)]
        y += (len(panels) + 1) // 2 * (height + 9.0)
    marks += key_marks(MARGIN_MM, y)
    return Picture(WIDTH_MM, y + 23.0, tuple(marks), f"Maps: {plan.match.title}", _description(plan, stretches))


def _arrows(plan: Plan, stretch: Stretch, box: Box) -> Iterator[Mark]:
    """Draw which way play goes in a stretch, on a map."""
    area = plan.match.sport.area
    ground = fit_ground(plan_bounds(plan), box, is_turned=is_turned(area))
    yield from match_arrows(plan.match, ground, is_small=True, only=[p.period for p in stretch.periods])


def key_marks(x_mm: float, y_mm: float) -> Iterator[Mark]:
    """Say what the tones of the maps mean."""
    yield Words("text", x_mm, y_mm + 3.0, "How much of what happens at a place is filmed well enough to use:", SMALL_MM)
    yield from band_key("tone", SHARE_WORDS, x_mm, y_mm + 4.8)
    yield Words(
        "text",
        x_mm,
        y_mm + 12.6,
        "What you lose of the match with the camera there, the others staying where they are:",
        SMALL_MM,
    )
    yield from band_key("value", LOSS_WORDS, x_mm, y_mm + 14.4)


def map_panels(plan: Plan, stretch: Stretch) -> list[tuple[str, Drawer]]:
    """Maps of a stretch: what each shows, and how it is drawn into a box."""
    match, coverage_map, assignments = plan.match, stretch.coverage_map, stretch.first.assignments
    bounds = plan_bounds(plan)
    panels: list[tuple[str, Drawer]] = [
        ("how well each place is filmed", lambda box: best_marks(match, coverage_map, assignments, box, bounds))
    ]
    if len(assignments) > 1:
        panels.append(("who films what", lambda box: owner_marks(match, coverage_map, assignments, box, bounds)))
    for index, assignment in enumerate(assignments):
        spots = spot_coverage(stretch.table, index)
        draw = partial(value_marks, match, assignment, index, *spots, bounds_m=bounds)
        panels.append((f"what each spot is worth to camera {assignment.camera}", draw))
    return panels


def _description(plan: Plan, stretches: Sequence[Stretch]) -> str:
    said = []
    for stretch in stretches:
        coverage_map = stretch.coverage_map
        usable = float(coverage_map.mesh.worth[coverage_map.best_seen >= 0.5].sum())
        said.append(
            f"{stretch.name}: {percent(usable)} of the match happens where the best camera gets at least half of it."
        )
    return " ".join(said)
