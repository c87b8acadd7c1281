"""Small charts of shares: bars with a figure, and letters on a line from nothing to everything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from standmark.cli.drawing.marks import Fill, Line, Mark, Words, box_ring, disc_ring, hatch
from standmark.cli.drawing.text_size import cut_mm, text_width_mm

ROW_MM, BAR_MM = 5.6, 3.4
TEXT_MM, KEY_MM = 2.7, 2.4
DISC_MM, DISC_GAP_MM = 1.7, 3.5
HATCH_MM = 1.1


@dataclass(frozen=True)
class Bar:
    """One row: a share as a bar, and perhaps another one as a diamond with its interval."""

    name: str
    share: float
    style: str
    is_hatched: bool = False
    note: str = ""
    mark: float | None = None
    interval: tuple[float, float] | None = None


def bar_marks(bars: Sequence[Bar], x_mm: float, y_mm: float, *, names_mm: float, width_mm: float) -> Iterator[Mark]:
    """Draw bars below each other.

    Parameters
    ----------
    names_mm : room for the names, left of the bars
    width_mm : width that a share of 1 takes
    """
    left = x_mm + names_mm
    yield from scale_marks(left, y_mm, width_mm=width_mm, height_mm=ROW_MM * len(bars))
    for number, bar in enumerate(bars):
        y = y_mm + number * ROW_MM
        yield Words("text", left - 1.5, y + 3.3, cut_mm(bar.name, TEXT_MM, width_mm=names_mm - 2), TEXT_MM, "end")
        box = box_ring(left, y + (ROW_MM - BAR_MM) / 2, max(bar.share * width_mm, 0.1), BAR_MM)
        if bar.is_hatched:
            yield Line("clear", hatch(shapely.Polygon(box), spacing_mm=HATCH_MM))
            yield Line("thin", (box,))
        else:
            yield Fill(bar.style, (box,))
        if bar.mark is not None:
            yield from _diamond_marks(bar, left, y + ROW_MM / 2, width_mm)
        end = max(bar.share, bar.mark or 0.0, bar.interval[1] if bar.interval else 0.0)
        yield Words("text", left + end * width_mm + 2.0, y + 3.7, f"{100 * bar.share:.0f} %{bar.note}", KEY_MM)


def _diamond_marks(bar: Bar, left: float, y: float, width_mm: float) -> Iterator[Mark]:
    assert bar.mark is not None
    x = left + bar.mark * width_mm
    if bar.interval is not None:
        ends = np.array([[left + end * width_mm, y] for end in bar.interval])
        yield Line("strip-1", (ends,))
    yield Fill("subject", (np.array([[x - 1.2, y], [x, y - 1.2], [x + 1.2, y], [x, y + 1.2], [x - 1.2, y]]),))


def letter_marks(
    rows: Sequence[tuple[str, Sequence[tuple[str, float]]]],
    x_mm: float,
    y_mm: float,
    *,
    names_mm: float,
    width_mm: float,
) -> Iterator[Mark]:
    """Draw one line a row with a lettered disc for each camera at its share, one camera below the other.

    Parameters
    ----------
    rows : name, and letter and share of each camera
    """
    left, height = x_mm + names_mm, letter_row_mm(max((len(shares) for _, shares in rows), default=1))
    yield from scale_marks(left, y_mm, width_mm=width_mm, height_mm=height * len(rows))
    for number, (name, shares) in enumerate(rows):
        y = y_mm + (number + 0.5) * height
        yield Words("text", left - 1.5, y + 0.9, cut_mm(name, TEXT_MM, width_mm=names_mm - 2), TEXT_MM, "end")
        yield Line("rule", (np.array([[left, y], [left + width_mm, y]]),))
        for index, (letter, share) in enumerate(shares):
            x, at = left + share * width_mm, y + (index - (len(shares) - 1) / 2) * DISC_GAP_MM
            yield Fill(f"camera-{index}", (disc_ring(x, at, DISC_MM),))
            yield Words("on-camera", x, at + 0.36 * KEY_MM, letter[:1], KEY_MM, "middle")


def letter_row_mm(n_cameras: int) -> float:
    """Height of a row of `letter_marks`."""
    return max(ROW_MM, n_cameras * DISC_GAP_MM + 1.6)


def pair_marks(
    rows: Sequence[tuple[str, float, float]], x_mm: float, y_mm: float, *, names_mm: float, width_mm: float
) -> Iterator[Mark]:
    """Draw one line a row with a disc at the first share and a ring at the second, joined.

    Parameters
    ----------
    rows : name, first share, second share
    """
    left = x_mm + names_mm
    yield from scale_marks(left, y_mm, width_mm=width_mm, height_mm=ROW_MM * len(rows))
    for number, (name, first, second) in enumerate(rows):
        y = y_mm + (number + 0.5) * ROW_MM
        yield Words("text", left - 1.5, y + 0.9, cut_mm(name, TEXT_MM, width_mm=names_mm - 2), TEXT_MM, "end")
        yield Line("allowed-line", (np.array([[left + first * width_mm, y], [left + second * width_mm, y]]),))
        yield Fill("fallback-1", (disc_ring(left + second * width_mm, y, 1.5),))
        yield Fill("camera-0", (disc_ring(left + first * width_mm, y, 1.1),))


def scale_marks(left: float, top: float, *, width_mm: float, height_mm: float) -> Iterator[Mark]:
    """Draw the scale from 0 to 100 % below some rows."""
    bottom = top + height_mm
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        x = left + share * width_mm
        yield Line("rule", (np.array([[x, top], [x, bottom]]),))
        yield Words("quiet", x, bottom + 3.4, f"{100 * share:.0f} %", KEY_MM, "middle")


def names_width_mm(names: Sequence[str], *, most_mm: float) -> float:
    """Room that the names of rows need."""
    return min(most_mm, max(text_width_mm(name, TEXT_MM) for name in names) + 3.0)
