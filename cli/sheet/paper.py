"""Pages of paper: blocks go down the page, and on to the next where there is no room left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standmark.cli.drawing.marks import Mark, Picture, Words, shifted
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.sheet.blocks import SMALL_MM, Block

MARGIN_MM = 12.0
TOP_MM, BOTTOM_MM = 9.0, 8.0  # of a hand-out that fills one page
FOOT_MM = 6.0
FIRST_WORD = "What the venue and the officials say goes first."  # at the foot, before what may be cut
CONTINUED = ", continued"


@dataclass(frozen=True)
class Paper:
    """A size of paper, upright."""

    name: str
    width_mm: float
    height_mm: float

    @property
    def inner_mm(self) -> float:
        """Width between the margins."""
        return self.width_mm - 2 * MARGIN_MM

    @property
    def room_mm(self) -> float:
        """Height between the upper margin and the foot."""
        return self.height_mm - 2 * MARGIN_MM - FOOT_MM


PAPERS = {
    "a4": Paper("A4", 210.0, 297.0),  # ISO 216
    "letter": Paper("Letter", 215.9, 279.4),  # 8.5 x 11 in, ANSI/ASME Y14.1
}


@dataclass(frozen=True)
class Part:
    """Blocks that begin a page of their own."""

    title: str
    blocks: Sequence[Block]
    again: Sequence[Block] = ()  # stand at the top of every page but the first


def part_pages(part: Part, paper: Paper, *, footer: str) -> list[Picture]:
    """Lay the blocks of a part on as many pages as they need."""
    filled: list[list[Mark]] = [[]]
    bottom = MARGIN_MM + paper.room_mm
    y = MARGIN_MM
    for run in _runs(part.blocks):
        height = sum(block.height_mm for block in run)
        if y + height > bottom + 1e-6 and y > MARGIN_MM:
            filled.append([])
            y = MARGIN_MM
            run = [*part.again, *run]
        for block in run:
            filled[-1] += shifted(block.marks, MARGIN_MM, y)
            y += block.height_mm
    return [
        _page(marks, part.title if index == 0 else f"{part.title}{CONTINUED}", paper, footer)
        for index, marks in enumerate(filled)
    ]


def numbered(pages: Sequence[Picture], paper: Paper, *, after: int = 0) -> list[Picture]:
    """Write "2 of 5" at the foot of every page.

    Parameters
    ----------
    after : pages before these, which carry no number
    """
    return [
        Picture(
            page.width_mm,
            page.height_mm,
            (
                *page.marks,
                Words(
                    "quiet",
                    paper.width_mm - MARGIN_MM,
                    _foot_mm(paper),
                    f"{i} of {len(pages) + after}",
                    SMALL_MM,
                    "end",
                ),
            ),
            page.title,
            page.description,
        )
        for i, page in enumerate(pages, start=1 + after)
    ]


def _runs(blocks: Sequence[Block]) -> list[list[Block]]:
    """Blocks that must stay together: one that keeps the next one, and that one."""
    runs: list[list[Block]] = []
    is_open = False
    for block in blocks:
        if is_open:
            runs[-1].append(block)
        else:
            runs.append([block])
        is_open = block.keeps_next
    return runs


def _page(marks: Sequence[Mark], title: str, paper: Paper, footer: str) -> Picture:
    foot = Words(
        "quiet", MARGIN_MM, _foot_mm(paper), cut_mm(footer, SMALL_MM, width_mm=paper.inner_mm - 20.0), SMALL_MM
    )
    return Picture(paper.width_mm, paper.height_mm, (*marks, foot), title, footer)


def _foot_mm(paper: Paper) -> float:
    return paper.height_mm - MARGIN_MM + 1.5
