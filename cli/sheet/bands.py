"""Bands of a hand-out: a label on the left, content on the right, a rule on top; and what stands in them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from standmark.cli.drawing.marks import Fill, Line, Mark, Words, box_ring, disc_ring, shifted
from standmark.cli.drawing.palette import STYLES
from standmark.cli.drawing.text_size import cut_mm, text_width_mm, wrap_mm
from standmark.cli.sheet.blocks import Block, beside, paragraph, stack
from standmark.cli.words.dial import LABELS, Dial
from standmark.cli.words.lines import with_unit

POINT_MM = 25.4 / 72
LEAST_MM = 10 * POINT_MM  # smallest type on a page
BODY_MM = 10.5 * POINT_MM
PLACE_MM, DIAL_MM, GROUND_MM = 13 * POINT_MM, 17 * POINT_MM, 20 * POINT_MM
LEADING = 1.2
LABEL_MM = 19.0
BLANK_MM = 6.2  # room to write in
SPEAKS_FOR_ITSELF = ("Name", "Phone")
PAD_MM = 1.5
GAP_MM = 5.0
DIAL_SHARES = (22.0, 25.0, 22.0, 18.0, 18.0, 27.0, 35.0)


def text(words: str, *, width_mm: float, size_mm: float = BODY_MM, style: str = "text") -> Block:
    """Text of a hand-out, broken into lines."""
    return paragraph(words, width_mm=width_mm, size_mm=size_mm, style=style, leading=LEADING)


def led(lead: str, words: str, *, width_mm: float, size_mm: float = BODY_MM) -> Block:
    """Text that begins in bold."""
    marks: list[Mark] = []
    x, row = 0.0, 0
    for style, part in (("strong", lead), ("text", words)):
        space = text_width_mm(" ", size_mm, is_bold=STYLES[style].is_bold)
        for word in with_unit(part).split(" ") if part else ():
            wide = text_width_mm(word, size_mm, is_bold=STYLES[style].is_bold)
            if x > 0 and x + wide > width_mm:
                x, row = 0.0, row + 1
            marks.append(Words(style, x, size_mm * (0.86 + LEADING * row), word, size_mm))
            x += wide + space
    return Block(width_mm, size_mm * LEADING * (row + 1), tuple(_joined(marks)))


def _joined(marks: Sequence[Mark]) -> list[Mark]:
    """Put words of one style on one line together, so that the text stays text."""
    joined: list[Words] = []
    for mark in marks:
        assert isinstance(mark, Words)
        last = joined[-1] if joined else None
        if last is not None and last.style == mark.style and last.y_mm == mark.y_mm:
            joined[-1] = Words(last.style, last.x_mm, last.y_mm, f"{last.text} {mark.text}", last.size_mm)
        else:
            joined.append(mark)
    return list(joined)


def band(label: str, body: Block, *, width_mm: float) -> Block:
    """Content beside its label, under a black rule."""
    said = text(label, width_mm=LABEL_MM - 3.5, style="strong") if label else Block(0.0, 0.0)
    rule = Line("band", (np.array([[0.0, 0.0], [width_mm, 0.0]]),))
    marks = (rule, *shifted(said.marks, 0.0, PAD_MM), *shifted(body.marks, LABEL_MM if label else 0.0, PAD_MM))
    return Block(width_mm, max(said.height_mm, body.height_mm) + 2 * PAD_MM, marks)


def hairline(width_mm: float) -> Block:
    """Thin rule between two rows."""
    return Block(width_mm, 0.9, (Line("hair", (np.array([[0.0, 0.45], [width_mm, 0.45]]),)),))


def letter_disc(name: str, index: int, radius_mm: float) -> Block:
    """Disc in a camera's hue with its letter."""
    size = 1.45 * radius_mm
    return Block(
        2 * radius_mm,
        2 * radius_mm,
        (
            Fill(f"camera-{index}", (disc_ring(radius_mm, radius_mm, radius_mm),)),
            Words("on-camera", radius_mm, radius_mm + 0.36 * size, name[:1], size, "middle"),
        ),
    )


def head_block(
    discs: Sequence[tuple[str, int]], title: str, line: str, *, width_mm: float, right: tuple[str, str] = ("", "")
) -> Block:
    """Head of a page: discs, ground and match on the left, the start on the right."""
    radius = 7.2 if len(discs) == 1 else 5.4
    letters = beside([letter_disc(name, index, radius) for name, index in discs], gap_mm=0.8)
    x = max(letters.width_mm + 3.5, LABEL_MM)
    wide = max(text_width_mm(right[0], GROUND_MM, is_bold=True), text_width_mm(right[1], LEAST_MM)) + 3.0
    size = GROUND_MM if text_width_mm(title, GROUND_MM, is_bold=True) <= width_mm - x - wide else PLACE_MM
    rows = rows_at_most(title, size, 2, width_mm=width_mm - x - wide, is_bold=True)
    under = wrap_mm(line, BODY_MM, width_mm=width_mm - x - wide)[:2]
    marks: list[Mark] = list(letters.marks)
    top = 0.8 * GROUND_MM
    y = top + (len(rows) - 1) * LEADING * size
    marks += [Words("strong", x, top + i * LEADING * size, row, size) for i, row in enumerate(rows)]
    marks += [Words("text", x, y + (i + 1) * BODY_MM * LEADING + 0.6, row, BODY_MM) for i, row in enumerate(under)]
    if right[0]:
        marks.append(Words("strong", width_mm, top, right[0], GROUND_MM, "end"))
        marks.append(Words("text", width_mm, top + BODY_MM * LEADING + 0.6, right[1], LEAST_MM, "end"))
    height = max(2 * radius, y + len(under) * BODY_MM * LEADING + 2.0)
    return Block(width_mm, height + 1.0, tuple(marks))


def rows_at_most(words: str, size_mm: float, most: int, *, width_mm: float, is_bold: bool = False) -> list[str]:
    """Break words into so many lines at most; the last one is cut, and says so, where they don't fit."""
    rows = wrap_mm(words, size_mm, width_mm=width_mm, is_bold=is_bold)
    if len(rows) <= most:
        return rows
    return [*rows[: most - 1], cut_mm(" ".join(rows[most - 1 :]), size_mm, width_mm=width_mm, is_bold=is_bold)]


def dial_block(dial: Dial, *, width_mm: float) -> Block:
    """The dial: one box, a cell for each thing to set."""
    unit = width_mm / sum(DIAL_SHARES)
    unders = (
        f"{dial.slow} for slow" if dial.slow else "",
        "at both rates" if dial.slow else "",
        "leave it",
        "",
        "",
        "not auto",
        dial.focus_on,
    )
    marks: list[Mark] = []
    height, x = LEAST_MM * 1.25 + DIAL_MM * 1.12 + LEAST_MM * 1.3 + 1.0, 0.0
    for place, (label, value, under, share) in enumerate(zip(LABELS, dial.cells, unders, DIAL_SHARES, strict=True)):
        wide = unit * share
        marks.append(Words("text", x + 1.6, 1.1 * LEAST_MM, "white bal." if place == 5 else label, LEAST_MM))
        if place == len(LABELS) - 1:
            rows = wrap_mm(value, LEAST_MM, width_mm=wide - 2.4, is_bold=True)[:2]
            marks += [Words("strong", x + 1.6, LEAST_MM * (1.2 + 1.08 * (i + 0.9)), row, LEAST_MM)
                      for i, row in enumerate(rows)]  # fmt: skip
        else:
            size = min(DIAL_MM, DIAL_MM * (wide - 2.6) / max(text_width_mm(value, DIAL_MM, is_bold=True), 1.0))
            marks.append(Words("strong", x + 1.6, LEAST_MM * 1.25 + 0.86 * DIAL_MM, value, size))
        if under:
            marks.append(Words("text", x + 1.6, height - 1.5, under, LEAST_MM))
        if place:
            marks.append(Line("frame-edge", (np.array([[x, 0.0], [x, height]]),)))
        x += wide
    marks.append(Line("frame-edge", (box_ring(0.0, 0.0, width_mm, height),)))
    return Block(width_mm, height + 0.6, tuple(marks))


def blank_block(entries: Sequence[tuple[str, str]], width_mm: float) -> Block:
    """Labels under each other, each with what is known or a line to write on; a known name needs no label."""
    marks: list[Mark] = []
    top = 0.0
    for label, known in entries:
        y = top + 3.6
        said = known if label in SPEAKS_FOR_ITSELF else f"{label}: {known}"
        rows = wrap_mm(said, LEAST_MM, width_mm=width_mm) if known else [label]
        marks += [Words("text", 0.0, y + LEAST_MM * LEADING * i, row, LEAST_MM) for i, row in enumerate(rows)]
        if not known:
            start = text_width_mm(label, LEAST_MM) + 1.5
            marks.append(Line("hair", (np.array([[start, y + 0.8], [width_mm, y + 0.8]]),)))
        top += LEAST_MM * LEADING * len(rows) + 0.4 if known else BLANK_MM
    return Block(width_mm, top + 0.6, tuple(marks))


def grade_mark(grade: str, x: float, y: float, radius: float) -> list[Mark]:
    """Full, half or empty circle round a middle: well, partly, hardly."""
    if not grade:
        return []
    rim = Fill("grade-rim", (disc_ring(x, y, radius, points=24),))
    if grade == "well":
        return [rim, Fill("grade-full", (disc_ring(x, y, radius, points=24),))]
    if grade == "partly":
        turn = np.linspace(math.pi / 2, 3 * math.pi / 2, 15)
        half = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
        return [rim, Fill("grade-full", (np.vstack([half, half[:1]]),))]
    return [rim]


def bullet_columns(texts: Sequence[str], *, width_mm: float, size_mm: float, first_bold: int = 1) -> Block:
    """Sentences behind bullets in two columns, filled so that both end alike."""
    across = (width_mm - GAP_MM) / 2
    blocks = [_bullet(words, across, size_mm, is_bold=i < first_bold) for i, words in enumerate(texts)]
    total = sum(block.height_mm for block in blocks)
    best = min(
        range(len(blocks) + 1),
        key=lambda n: max(sum(b.height_mm for b in blocks[:n]), total - sum(b.height_mm for b in blocks[:n])),
    )
    columns = [Block(across, b.height_mm, b.marks) for b in (stack(blocks[:best]), stack(blocks[best:]))]
    return beside(columns, gap_mm=GAP_MM)


def _bullet(words: str, width_mm: float, size_mm: float, *, is_bold: bool) -> Block:
    indent = 0.95 * size_mm
    ends = [words.index(sign) + 1 for sign in (": ", ". ") if sign in words]
    if is_bold and ends:
        lead, rest = words[: min(ends)], words[min(ends) + 1 :]
        body = led(lead, rest, width_mm=width_mm - indent, size_mm=size_mm)
    else:
        body = text(words, width_mm=width_mm - indent, size_mm=size_mm)
    dot = Words("text", 0.0, 0.86 * size_mm, "•", size_mm)
    return Block(width_mm, body.height_mm + 0.5, (dot, *shifted(body.marks, indent, 0.0)))


def times_block(times: Sequence[tuple[str, str]], *, width_mm: float, most: int = 9) -> Block:
    """Call times side by side, a bar before each."""
    kept = list(times[:most])
    across = width_mm / max(len(kept), 1)
    blocks, size = [], 12 * POINT_MM
    for place, (time, words) in enumerate(kept):
        rows = wrap_mm(words, LEAST_MM, width_mm=across - 2.0)
        marks: list[Mark] = [Words("strong", 1.6, 0.86 * size, time, size)]
        marks += [Words("text", 1.6, size * 1.15 + LEAST_MM * (0.86 + 1.15 * i), row, LEAST_MM)
                  for i, row in enumerate(rows)]  # fmt: skip
        height = size * 1.15 + LEAST_MM * 1.15 * len(rows)
        marks.append(Line("hair" if place else "band", (np.array([[0.3, 0.0], [0.3, height]]),)))
        blocks.append(Block(across, height, tuple(marks)))
    return beside(blocks, gap_mm=0.0) if blocks else Block(width_mm, 0.0)
