"""The pages before the grounds: how codes work, the map, the standard, the index, what failed, what changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from standmark.cli.book.contents import Contents, pins
from standmark.cli.book.editions import Change
from standmark.cli.book.league_map import chart_marks, league_chart
from standmark.cli.book.sheet import A4_MM, MARGIN_MM, WIDTH_MM
from standmark.cli.book.site import RoleRow, role_rows
from standmark.cli.book.words import CODE_WORDS, DIRECTION_WORDS, FRAME_WORDS
from standmark.cli.drawing.marks import Line, Mark, Picture, Words, shifted
from standmark.cli.drawing.text_size import cut_mm, wrap_mm
from standmark.cli.summary import CAUTION
from standmark.cli.units import Units

TOP_MM = MARGIN_MM + 14.0
BOTTOM_MM = A4_MM[1] - MARGIN_MM
HEADING_MM, TEXT_MM, LINE_MM = 4.6, 2.9, 3.9
CHART_MM = 130.0


@dataclass(frozen=True)
class Cell:
    """A piece of a line: where it starts, how it looks."""

    x_mm: float
    text: str
    style: str = "text"
    anchor: str = "start"


@dataclass(frozen=True)
class Block:
    """Lines that stay together on one page if they fit at all; a rule above if asked for."""

    lines: tuple[tuple[Cell, ...], ...]
    has_rule: bool = False


def flow(heading: str, blocks: Iterable[Block]) -> Iterator[Picture]:
    """Lay blocks on pages under a heading."""
    title = heading
    marks: list[Mark] = [*_heading_marks(title)]
    y = TOP_MM
    is_empty = True
    for block in blocks:
        rows = list(block.lines)
        while rows:
            room = int((BOTTOM_MM - y) // LINE_MM)
            if len(rows) > room and y > TOP_MM:
                yield _page(title, marks)
                title = f"{heading}, continued"
                marks, y = [*_heading_marks(title)], TOP_MM
                continue
            if block.has_rule:
                marks.append(Line("rule", (np.array([[MARGIN_MM, y], [MARGIN_MM + WIDTH_MM, y]]),)))
            part, rows = rows[: max(room, 1)], rows[max(room, 1) :]
            marks += [
                Words(c.style, MARGIN_MM + c.x_mm, y + LINE_MM * (i + 0.85), c.text, TEXT_MM, c.anchor)
                for i, line in enumerate(part)
                for c in line
            ]
            y += LINE_MM * len(part) + 1.2
            is_empty = False
    if not is_empty:
        yield _page(title, marks)


def title_page(book: Contents, *, since: str | None) -> Picture:
    """Say what the book is, how its codes work, and where its grounds lie."""
    standard = book.standard
    marks: list[Mark] = [
        Words("quiet", MARGIN_MM, MARGIN_MM + 8.0, "Position book", HEADING_MM),
        Words("strong", MARGIN_MM, MARGIN_MM + 18.0, cut_mm(standard.name, 8.0, width_mm=WIDTH_MM, is_bold=True), 8.0),
    ]
    facts = f"Edition {standard.edition}. {len(book.lines)} grounds, {book.n_positions} positions. "
    facts += f"At {book.n_short_grounds} grounds a position that the standard needs falls short."
    if book.failures:
        facts += f" {len(book.failures)} files could not be used; they are listed with their reasons."
    if since is not None:
        facts += f" What changed since {since} stands before the first ground."
    y = MARGIN_MM + 26.0
    for heading, text in (("", facts), ("How to read a code", CODE_WORDS), ("Directions and places", _frame_words())):
        if heading:
            marks.append(Words("strong", MARGIN_MM, y + LINE_MM * 0.85, heading, TEXT_MM * 1.2))
            y += LINE_MM * 1.4
        for line in wrap_mm(text, TEXT_MM, width_mm=WIDTH_MM):
            marks.append(Words("text", MARGIN_MM, y + LINE_MM * 0.85, line, TEXT_MM))
            y += LINE_MM
        y += LINE_MM * 0.9
    placed = list(pins(book.lines))
    if placed:
        chart = league_chart(placed, width_mm=CHART_MM)
        if y + chart.picture.height_mm < BOTTOM_MM - 14.0:
            marks += shifted(chart_marks(chart), (A4_MM[0] - CHART_MM) / 2, y)
    for i, line in enumerate(wrap_mm(CAUTION, 2.4, width_mm=WIDTH_MM)):
        marks.append(Words("quiet", MARGIN_MM, BOTTOM_MM - 6.0 + 3.2 * i, line, 2.4))
    return Picture(*A4_MM, tuple(marks), f"Position book: {standard.name}", facts)


def standard_pages(book: Contents, units: Units) -> Iterator[Picture]:
    """Say what every role asks for, and how it fares over the league."""
    yield from flow("The standard", (_role_block(row) for row in role_rows(book, units)))


def index_pages(book: Contents, page_of: Sequence[str]) -> Iterator[Picture]:
    """List the grounds.

    Parameters
    ----------
    page_of : what stands for the page of each ground
    """
    titles = ((0.0, "Code"), (22, "Ground"), (98, "Sport"), (134, "Meets"), (150, "Needed, short"))
    head = (*(Cell(x, text, "quiet") for x, text in titles), Cell(WIDTH_MM, "Page", "quiet", "end"))
    blocks = [Block((head,))]
    for line, page in zip(book.lines, page_of, strict=True):
        cells = (
            Cell(0, line.code, "name-1" if line.short else "name-0"),
            Cell(22, cut_mm(line.name, TEXT_MM, width_mm=74)),
            Cell(98, cut_mm(line.sport, TEXT_MM, width_mm=34)),
            Cell(134, f"{line.n_met} of {line.n_positions}"),
            Cell(150, cut_mm(", ".join(line.short), TEXT_MM, width_mm=20)),
            Cell(WIDTH_MM, page, "text", "end"),
        )
        blocks.append(Block((cells,), has_rule=True))
    yield from flow("Grounds", blocks)


def failure_pages(book: Contents) -> Iterator[Picture]:
    """List the files that could not be used, with their reasons."""
    blocks = []
    for failure in book.failures:
        lines = [(Cell(0, cut_mm(failure.path, TEXT_MM, width_mm=WIDTH_MM, is_bold=True), "strong"),)]
        for reason in failure.reason.splitlines():
            lines += [(Cell(4, line),) for line in wrap_mm(reason, TEXT_MM, width_mm=WIDTH_MM - 4)]
        blocks.append(Block(tuple(lines), has_rule=True))
    yield from flow("Not in the book", blocks)


def change_pages(changes: Iterable[Change], *, since: str) -> Iterator[Picture]:
    """List what changed since an earlier edition, and why."""
    yield from flow(f"What changed since {since}", (_change_block(change) for change in changes))


def _role_block(row: RoleRow) -> Block:
    needed = "" if row.needed else " (where a ground has it)"
    codes = ", ".join(f"{c.code}: {c.n_filled} of {c.n_grounds} have a place, {c.n_met} meet it" for c in row.counts)
    lines: list[tuple[Cell, ...]] = [(Cell(0, f"{row.name}{needed}", "strong"),)]
    for text in (row.purpose, "; ".join(row.wishes), codes):
        lines += [(Cell(4, line),) for line in wrap_mm(text, TEXT_MM, width_mm=WIDTH_MM - 4)]
    return Block(tuple(lines), has_rule=True)


def _change_block(change: Change) -> Block:
    words = wrap_mm(change.words, TEXT_MM, width_mm=WIDTH_MM - 26)
    lines: list[tuple[Cell, ...]] = [(Cell(26, line),) for line in words]
    lines[0] = (Cell(0, change.code, "name-0"), *lines[0])
    for reason in change.reasons:
        lines += [(Cell(30, line, "quiet"),) for line in wrap_mm(reason, TEXT_MM, width_mm=WIDTH_MM - 30)]
    return Block(tuple(lines), has_rule=True)


def _frame_words() -> str:
    return f"{DIRECTION_WORDS} {FRAME_WORDS}"


def _heading_marks(heading: str) -> Iterator[Mark]:
    yield Words("strong", MARGIN_MM, MARGIN_MM + 5.0, cut_mm(heading, HEADING_MM, width_mm=WIDTH_MM), HEADING_MM)


def _page(heading: str, marks: Sequence[Mark]) -> Picture:
    return Picture(*A4_MM, tuple(marks), heading, heading)
