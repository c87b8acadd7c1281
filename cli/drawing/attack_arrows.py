"""Which way play goes, as broad white arrows on the ground, and which way round the ground is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from standmark.cli.drawing.ground import Box, Ground
from standmark.cli.drawing.marks import Fill, Mark, Words
from standmark.cli.drawing.text_size import text_width_mm
from standmark.cli.words.attack import BOTH, match_attack
from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match
from standmark.sports.sport import Period, PlayingArea

TEXT_MM = 3.2  # 9 points
ARROW_MM = 6.4  # height of an arrow
HEAD_MM, BARB_MM = 5.0, 1.6
APART, MOST_APART = 0.22, 0.4  # of the ground's height, from its middle to the outer arrows, at least and at most
LEAST_SHARE, MOST_SHARE = 0.5, 0.86  # of the ground's length that an arrow takes


def is_turned(area: PlayingArea) -> bool:
    """Is the ground drawn with the benches, on the side of +y, at the bottom."""
    return not area.has_home_corner


def match_arrows(
    match: Match, ground: Ground, *, is_small: bool = False, only: Sequence[Period] | None = None
) -> Iterator[Mark]:
    """Draw which way a match goes in some periods; all of them where none are named."""
    return arrow_marks(match.sport.area, match_attack(match, only), ground, is_small=is_small)


def arrow_marks(
    area: PlayingArea, told: Sequence[tuple[str, str]], ground: Ground, *, is_small: bool = False
) -> Iterator[Mark]:
    """Draw an arrow for each direction, with its words inside.

    Parameters
    ----------
    told : words and the end that the arrow points to, or BOTH, as `attack_words` gives them
    """
    low_x, low_y, high_x, high_y = area.outline.bounds
    middle_x, height_m = (low_x + high_x) / 2, high_y - low_y
    apart = max(APART, min(MOST_APART, _apart_mm(len(told)) / (height_m * ground.mm_per_m)))
    wide_mm = (high_x - low_x) * ground.mm_per_m
    for row, (said, end) in enumerate(told):
        words = _fitting(said.replace(" half", "") if is_small else said, MOST_SHARE * wide_mm - 2 * HEAD_MM)
        share = 0.0 if len(told) == 1 else apart * (1 - 2 * row / (len(told) - 1))
        x, y = ground.point(middle_x, low_y + height_m / 2 - share * height_m * (1 if ground.is_turned else -1))
        n_heads = 2 if end == BOTH else 1
        room = text_width_mm(words, TEXT_MM, is_bold=True) + n_heads * HEAD_MM + 6.0
        length = min(max(room, LEAST_SHARE * wide_mm), MOST_SHARE * wide_mm)
        to_right = (end == "+x") != ground.is_turned
        yield Fill("arrow", (_ring(x, y, length, 1.0 if to_right else -1.0, is_double=end == BOTH),))
        shift = 0.0 if end == BOTH else -HEAD_MM / 2 if to_right else HEAD_MM / 2
        yield Words("strong", x + shift, y + 0.36 * TEXT_MM, words, TEXT_MM, "middle")


def _apart_mm(n_arrows: int) -> float:
    """From the middle of the ground to the outer ones of some arrows, clear of each other; words fit between two."""
    return ARROW_MM / 2 + BARB_MM + 2.6 if n_arrows < 3 else (n_arrows - 1) / 2 * (ARROW_MM + 2 * BARB_MM + 0.6)


def _fitting(said: str, most_mm: float) -> str:
    """The words of an arrow, or as many of them as fit in it: "1st: we attack", "1st: attack", "1st", none."""
    when, colon, what = said.partition(": ")
    choices = (said, f"{when}{colon}{what.rpartition(' ')[2]}", when, said.rpartition(" ")[0])
    return next((w for w in choices if text_width_mm(w, TEXT_MM, is_bold=True) <= most_mm), "")


def arrow_boxes(marks: Sequence[Mark]) -> list[Box]:
    """Return the boxes that arrows take on the page."""
    boxes = []
    for mark in marks:
        if isinstance(mark, Fill):
            (x0, y0), (x1, y1) = mark.rings[0].min(axis=0).tolist(), mark.rings[0].max(axis=0).tolist()
            boxes.append((x0, y0, x1 - x0, y1 - y0))
    return boxes


def _ring(x: float, y: float, length: float, way: float, *, is_double: bool) -> Floats:
    half, body = length / 2, ARROW_MM / 2
    neck = half - HEAD_MM
    head = [(neck, -body), (neck, -body - BARB_MM), (half, 0.0), (neck, body + BARB_MM), (neck, body)]
    tail = [(-dx, -dy) for dx, dy in head] if is_double else [(-half, body), (-half, -body)]
    corners = [*head, *tail, head[0]]
    return np.array([(x + way * dx, y + dy) for dx, dy in corners])
