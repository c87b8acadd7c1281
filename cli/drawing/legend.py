"""What stands beside a drawing of the ground: scale bar, north, and what the marks mean."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

import numpy as np
import shapely

from standmark.cli.drawing.cameras import danger_marks
from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, box_ring, disc_ring, hatch
from standmark.cli.drawing.playing_area import DOT_MM
from standmark.cli.drawing.surroundings import CLEAR_MM, cross_hatch
from standmark.cli.drawing.text_size import text_width_mm
from standmark.cli.words.units import FOOT_M, Units, symbol
from standmark.optimizer.match.match import Match

KEY_MM = 3.2  # text: 9 points
SWATCH_MM = (6.0, 3.2)
ROW_MM = 5.0
BAR_MM = 45.0  # longest scale bar
SAMPLE_DOTS = ((1.0, 2.0), (2.3, 0.9), (3.4, 2.3), (4.8, 1.3))
STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)

Entry = tuple[str, str]  # kind of swatch, words
IF_DRAWN: tuple[Entry, ...] = (
    ("shade", "in the shade of stands halfway through"),
    ("strip", "shift that costs under 1 %, under 3 %"),
    ("fallback", "if refused"),
    ("handover", "handover line"),
    ("station", "walk with play: while the ball is in zone 1, stand at 1"),
    ("action", "line of action"),
    ("crossed", "line of action with cameras on opposite sides"),
    ("danger", "danger: read the cautions of this camera"),
)


def scale_bar_marks(
    ground: Ground, x_mm: float, y_mm: float, units: Units, *, with_ratio: bool = True, size_mm: float = KEY_MM
) -> Iterator[Mark]:
    """Draw a bar of four round parts, with the scale beside it; its ratio means nothing on a screen.

    Parameters
    ----------
    size_mm : of the text
    """
    unit_mm = ground.mm_per_m * (FOOT_M if units is Units.IMPERIAL else 1.0)
    step = next((s for s in reversed(STEPS) if 4 * s * unit_mm <= BAR_MM), STEPS[0])
    for part in range(4):
        yield Fill(
            "scale-light" if part % 2 else "scale-dark",
            (box_ring(x_mm + part * step * unit_mm, y_mm, step * unit_mm, 1.2),),
        )
    for part in (0, 2, 4):
        text = f"{part * step}" if part < 4 else f"{part * step} {symbol(units)}"
        anchor = "middle" if part < 4 else "start"
        yield Words("quiet", x_mm + part * step * unit_mm, y_mm + 1.6 + size_mm, text, size_mm, anchor)
    end = x_mm + 4 * step * unit_mm + text_width_mm(f"{4 * step} {symbol(units)}", size_mm) + 3.0
    if with_ratio:
        yield Words("quiet", end, y_mm + 1.6 + size_mm, f"1 : {ground.scale:g}", size_mm)


def north_marks(bearing_deg: float, x_mm: float, y_mm: float) -> Iterator[Mark]:
    """Draw an arrow to true north; +x points right on the page."""
    turn = math.radians(bearing_deg)  # +x lies at this bearing, so north lies as far to the left of it
    along = np.array([math.cos(turn), -math.sin(turn)])
    across = np.array([-along[1], along[0]])
    middle = np.array([x_mm, y_mm])
    tip, tail = middle + 4.0 * along, middle - 3.0 * along
    yield Fill("scale-dark", (np.array([tip, tail + 1.7 * across, middle - 1.6 * along, tip]),))
    yield Fill("scale-light", (np.array([tip, tail - 1.7 * across, middle - 1.6 * along, tip]),))
    x, y = middle + 6.2 * along
    yield Words("strong", float(x), float(y) + 1.1, "N", 3.2, "middle")


def plan_entries(match: Match, *, dot_share: float, drawn: Collection[str]) -> list[Entry]:
    """Say what the marks of a plan mean, only those that are on it.

    Parameters
    ----------
    drawn : kinds of the marks on it, of which IF_DRAWN are listed
    """
    venue = match.venue
    entries = [("dot", f"where it happens: each dot {100 * dot_share:g} % of the match")]
    entries.append(("allowed", "you may stand here"))
    if venue.respect_keep_clear and match.sport.area.keep_clear:
        entries.append(("clear", "keep clear"))
    if venue.forbidden:
        entries.append(("forbidden", "forbidden"))
    if venue.obstacles or venue.furniture:
        entries.append(("obstacle", "blocks the view"))
    entries.append(("sector", "pans over this, nine times in ten"))
    return entries + [entry for entry in IF_DRAWN if entry[0] in drawn]


def entry_marks(entries: Sequence[Entry], x_mm: float, y_mm: float, *, width_mm: float) -> tuple[list[Mark], float]:
    """Lay entries in rows.

    Returns
    -------
    the marks, and the height used [mm]
    """
    marks: list[Mark] = []
    x, y = x_mm, y_mm
    for kind, words in entries:
        needed = SWATCH_MM[0] + 1.5 + text_width_mm(words, KEY_MM) + 5.0
        if x > x_mm and x + needed - 5.0 > x_mm + width_mm:
            x, y = x_mm, y + ROW_MM
        marks += _swatch(kind, x, y)
        marks.append(Words("text", x + SWATCH_MM[0] + 1.5, y + SWATCH_MM[1] / 2 + 0.36 * KEY_MM, words, KEY_MM))
        x += needed
    return marks, y + ROW_MM - y_mm


def _swatch(kind: str, x: float, y: float) -> Iterator[Mark]:
    width, height = SWATCH_MM
    box = box_ring(x, y, width, height)
    shape = shapely.Polygon(box)
    match kind:
        case "dot":
            yield Fill("ground", (box,))
            yield Fill("dot", tuple(disc_ring(x + dx, y + dy, DOT_MM, points=8) for dx, dy in SAMPLE_DOTS))
        case "clear":
            yield Line("clear", hatch(shape, spacing_mm=CLEAR_MM))
        case "forbidden":
            yield Line("forbidden", cross_hatch(shape))
            yield Line("forbidden-edge", (box,))
        case "shade":
            yield Fill("ground", (box,))
            yield Fill("shade", (box,))
        case "sector":
            yield Fill("sector-0", (box,))
            yield Line("ray-0", (np.array([[x, y + height], [x, y], [x + width, y]]),))
        case "strip":
            yield Line("drift-0", (np.array([[x, y + height / 2], [x + width, y + height / 2]]),))
            yield Line("strip-0", (np.array([[x + 1.5, y + height / 2], [x + width - 1.5, y + height / 2]]),))
        case "fallback":
            yield Fill("fallback-0", (disc_ring(x + width / 2, y + height / 2, height / 2),))
            yield Words("name-0", x + width / 2, y + height / 2 + 0.75, "A", 2.3, "middle")
        case "station":
            yield Fill("station-0", (disc_ring(x + width / 2, y + height / 2, height / 2),))
            yield Words("on-camera", x + width / 2, y + height / 2 + 0.75, "1", 2.1, "middle")
        case "danger":
            yield from danger_marks(x + width / 2, y + height / 2)
        case "handover" | "action" | "crossed":
            yield Line(kind, (np.array([[x, y + height / 2], [x + width, y + height / 2]]),))
        case _:
            yield Fill(kind, (box,))
