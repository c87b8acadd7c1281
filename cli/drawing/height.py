"""What the height of the lens is worth, as curves: at halfway and behind the ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, box_ring, disc_ring
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.words.units import FOOT_M, Units, symbol
from standmark.cli.words.where.place import is_rectangle
from standmark.optimizer.advice.height import HeightPoint
from standmark.optimizer.planning import Plan

PAGE_MM = (150.0, 96.0)
LEFT_MM, TOP_MM, WIDTH_MM, HEIGHT_MM = 16.0, 20.0, 92.0, 58.0
TEXT_MM, TITLE_MM = 3.2, 4.0
ROUND_M = {Units.METRIC: (0, 5, 10, 15, 20), Units.IMPERIAL: tuple(f * FOOT_M for f in (0, 15, 30, 45, 60))}
LABEL_GAP_MM = 4.0
ALIKE = 0.005
Curve = tuple[str, tuple[HeightPoint, ...]]


def height_picture(plan: Plan, *, units: Units = Units.METRIC) -> Picture | None:
    """Draw what one camera gets against the height of the lens; None where no advice was asked for."""
    if plan.advice is None or not plan.advice.height:
        return None
    curves = _curves(plan)
    most_m = max(point.height_m for _, points in curves for point in points)
    title = "What height is worth"
    marks = [
        Fill("paper", (box_ring(0, 0, *PAGE_MM),)),
        Words("strong", LEFT_MM, 8.0, title, TITLE_MM),
        Words("quiet", LEFT_MM, 13.5, "share of the match that one camera gets, by the height of its lens", TEXT_MM),
        *_axes(most_m, units),
        *_lines(curves, most_m),
    ]
    told = [f"{name}: " + ", ".join(f"{100 * p.seen:.0f} % at {p.height_m:g} m" for p in points)
            for name, points in curves]  # fmt: skip
    return Picture(*PAGE_MM, tuple(marks), title, "; ".join(told))


def _curves(plan: Plan) -> list[Curve]:
    """Name and points of each side; both ends, or both sides, as one where they are alike."""
    assert plan.advice is not None
    points = {side: tuple(p for p in plan.advice.height if p.side == side) for side in ("+y", "-y", "+x", "-x")}
    names = plan.match.venue.side_names
    has_halfway = is_rectangle(plan.match.sport.area)
    curves: list[Curve] = []
    for first, second, where, both in (
        ("+y", "-y", "halfway, ", "halfway, either side"),
        ("+x", "-x", "behind the ", "behind either end"),
    ):
        if has_halfway and _are_alike(points[first], points[second]):
            curves.append((both, points[first]))
        else:
            curves += [(f"{where if has_halfway else ''}{names[s]}", points[s]) for s in (first, second) if points[s]]
    return curves


def _are_alike(first: Sequence[HeightPoint], second: Sequence[HeightPoint]) -> bool:
    return len(first) == len(second) > 0 and all(
        abs(a.seen - b.seen) < ALIKE for a, b in zip(first, second, strict=True)
    )


def _axes(most_m: float, units: Units) -> Iterator[Mark]:
    low = TOP_MM + HEIGHT_MM
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = low - share * HEIGHT_MM
        yield Line("rule", (np.array([[LEFT_MM, y], [LEFT_MM + WIDTH_MM, y]]),))
        yield Words("quiet", LEFT_MM - 1.5, y + 0.9, f"{100 * share:.0f} %", TEXT_MM, "end")
    for height_m in ROUND_M[units]:
        if height_m <= most_m:
            x = LEFT_MM + height_m / most_m * WIDTH_MM
            yield Line("thin", (np.array([[x, low], [x, low + 1.2]]),))
            number = height_m if units is Units.METRIC else height_m / FOOT_M
            yield Words("quiet", x, low + 4.6, f"{number:.0f} {symbol(units)}", TEXT_MM, "middle")


def _lines(curves: Sequence[Curve], most_m: float) -> Iterator[Mark]:
    label_y = -np.inf
    ends = sorted(range(len(curves)), key=lambda i: -curves[i][1][-1].seen)
    at_y: dict[int, float] = {}
    for i in ends:  # labels below each other, highest curve first
        label_y = max(TOP_MM + (1 - curves[i][1][-1].seen) * HEIGHT_MM, label_y + LABEL_GAP_MM)
        at_y[i] = label_y
    for i, (name, points) in enumerate(curves):
        xy = np.array([[p.height_m / most_m * WIDTH_MM + LEFT_MM, TOP_MM + (1 - p.seen) * HEIGHT_MM]
                       for p in points])  # fmt: skip
        yield Line(f"edge-{i}", (xy,))
        yield Fill(f"camera-{i}", tuple(disc_ring(x, y, 0.8) for x, y in xy))
        end_x = LEFT_MM + WIDTH_MM
        yield Line("leader", (np.array([xy[-1] + [1.2, 0.0], [end_x + 3.5, at_y[i]]]),))
        yield Words(
            f"name-{i}",
            end_x + 4.2,
            at_y[i] + 0.9,
            cut_mm(name, TEXT_MM, width_mm=PAGE_MM[0] - end_x - 6.0, is_bold=True),
            TEXT_MM,
        )
