"""What a paper page is stacked from: blocks of known size, which are drawn once and then moved to their place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.cli.drawing.marks import Line, Mark, Words, shifted
from standmark.cli.drawing.palette import STYLES
from standmark.cli.drawing.text_size import text_width_mm, wrap_mm
from standmark.cli.words.crew_words import Contact

TEXT_MM, SMALL_MM, HEADING_MM = 3.55, 3.2, 4.4  # 10, 9 and 12.5 points
LEADING = 1.28
CELL_GAP_MM = 2.5
ROW_GAP_MM = 0.6


@dataclass(frozen=True)
class Block:
    """Marks in a box whose upper left corner is the origin."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...] = ()
    keeps_next: bool = False  # must not be the last on a page


def paragraph(
    text: str, *, width_mm: float, size_mm: float = TEXT_MM, style: str = "text", leading: float = LEADING
) -> Block:
    """Text broken into lines."""
    rows = wrap_mm(text, size_mm, width_mm=width_mm, is_bold=STYLES[style].is_bold)
    marks = tuple(Words(style, 0.0, size_mm * (0.86 + leading * index), row, size_mm) for index, row in enumerate(rows))
    return Block(width_mm, size_mm * leading * len(rows), marks)


def heading(text: str, *, width_mm: float) -> Block:
    """Title of a part, with a rule over it."""
    rule = Line("rule", (np.array([[0.0, 0.8], [width_mm, 0.8]]),))
    title = paragraph(text, width_mm=width_mm, size_mm=HEADING_MM, style="strong")
    return Block(width_mm, title.height_mm + 2.6, (rule, *shifted(title.marks, 0.0, 2.0)), keeps_next=True)


def bullets(
    texts: Iterable[str], *, width_mm: float, size_mm: float = TEXT_MM, sign: str = "•", style: str = "text"
) -> list[Block]:
    """One block a text, each behind a sign."""
    indent = 1.3 * size_mm
    blocks = []
    for text in texts:
        body = paragraph(text, width_mm=width_mm - indent, size_mm=size_mm, style=style)
        mark = Words("strong" if sign == "!" else style, 0.25 * size_mm, 0.86 * size_mm, sign, size_mm)
        blocks.append(Block(width_mm, body.height_mm + 0.5, (mark, *shifted(body.marks, indent, 0.0))))
    return blocks


def table(
    columns: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    widths: Sequence[float],
    width_mm: float,
    size_mm: float = SMALL_MM,
    first_style: str = "text",
) -> list[Block]:
    """One block a row under a quiet head row; cells are wrapped.

    Parameters
    ----------
    widths : shares of the width, one for each column
    first_style : style of the first column
    """
    room = width_mm - CELL_GAP_MM * (len(widths) - 1)
    across = [room * share / sum(widths) for share in widths]
    blocks = []
    if any(columns):
        blocks.append(replace(_row(columns, across, size_mm, "quiet", "quiet", width_mm, ruled=True), keeps_next=True))
    return blocks + [_row(row, across, size_mm, "text", first_style, width_mm, ruled=False) for row in rows]


def blank_lines(contacts: Sequence[Contact], *, width_mm: float, columns: int = 2) -> list[Block]:
    """Contacts, each after its label: who is known, or a line to write on."""
    column = (width_mm - CELL_GAP_MM * (columns - 1)) / columns
    from_mm = max(text_width_mm(contact.label, SMALL_MM) for contact in contacts) + 2.0
    blocks = []
    for first in range(0, len(contacts), columns):
        marks: list[Mark] = []
        n_lines = 1
        for place, contact in enumerate(contacts[first : first + columns]):
            x = place * (column + CELL_GAP_MM)
            marks.append(Words("quiet", x, 4.4, contact.label, SMALL_MM))
            if contact.known:
                rows = wrap_mm(contact.known, SMALL_MM, width_mm=column - from_mm)
                n_lines = max(n_lines, len(rows))
                marks += [
                    Words("text", x + from_mm, 4.4 + LEADING * SMALL_MM * i, row, SMALL_MM)
                    for i, row in enumerate(rows)
                ]
            else:
                marks.append(Line("thin", (np.array([[x + from_mm, 5.0], [x + column, 5.0]]),)))
        blocks.append(Block(width_mm, 6.4 + LEADING * SMALL_MM * (n_lines - 1), tuple(marks)))
    return blocks


def stack(blocks: Sequence[Block], *, gap_mm: float = 0.0) -> Block:
    """Put blocks under each other, as one that is not broken over pages."""
    marks: list[Mark] = []
    y = 0.0
    for index, block in enumerate(blocks):
        y += gap_mm if index else 0.0
        marks += shifted(block.marks, 0.0, y)
        y += block.height_mm
    return Block(max((b.width_mm for b in blocks), default=0.0), y, tuple(marks))


def beside(blocks: Sequence[Block], *, gap_mm: float) -> Block:
    """Put blocks beside each other, tops level."""
    marks: list[Mark] = []
    x = 0.0
    for block in blocks:
        marks += shifted(block.marks, x, 0.0)
        x += block.width_mm + gap_mm
    return Block(x - gap_mm, max((b.height_mm for b in blocks), default=0.0), tuple(marks))


def space(height_mm: float) -> Block:
    """Room left free."""
    return Block(0.0, height_mm)


def _row(
    cells: Sequence[str],
    across: Sequence[float],
    size_mm: float,
    style: str,
    first_style: str,
    width_mm: float,
    *,
    ruled: bool,
) -> Block:
    parts = [
        paragraph(cell, width_mm=width, size_mm=size_mm, style=first_style if index == 0 else style)
        for index, (cell, width) in enumerate(zip(cells, across, strict=True))
    ]
    body = beside([replace(p, width_mm=w) for p, w in zip(parts, across, strict=True)], gap_mm=CELL_GAP_MM)
    height = body.height_mm + ROW_GAP_MM
    rule = (Line("rule", (np.array([[0.0, height - 0.5], [width_mm, height - 0.5]]),)),) if ruled else ()
    return Block(width_mm, height, (*body.marks, *rule))
