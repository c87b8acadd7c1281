"""A brief on paper: the playing area on top, the words in two columns below, on as many pages as it takes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standmark.cli.drawing.marks import Mark, Picture, Words
from standmark.cli.drawing.sport_picture import heat_legend_marks, sport_marks, sport_scale_marks
from standmark.cli.drawing.text_size import text_width_mm, wrap_mm
from standmark.cli.words.brief_text import BriefPart, brief_sections, headline
from standmark.cli.words.units import Units
from standmark.sports.sport import Sport

PAGE_MM = (210.0, 297.0)  # A4
MARGIN_MM = 12.0
GUTTER_MM = 7.0
COLUMN_MM = (PAGE_MM[0] - 2 * MARGIN_MM - GUTTER_MM) / 2
DRAWING_MM = 78.0
PICTURE_WIDTH_MM = 190.0
NAME_MM, TEXT_MM, HEADING_MM, LEAD_MM = 6.5, 3.2, 3.6, 3.55  # 3.2 mm are 9 points
STEP = 1.32  # line height over text height


@dataclass(frozen=True)
class Row:
    """One line of a column: where it starts and whether a column may end after it."""

    style: str
    text: str
    size_mm: float
    height_mm: float
    indent_mm: float = 0.0
    may_break_after: bool = True
    n_bold: int = 0  # letters at the start that are set in bold


def brief_pages(sport: Sport, *, units: Units = Units.METRIC) -> list[Picture]:
    """Lay a brief out on A4."""
    top, marks = _first_page_head(sport, units)
    rows = [row for section in brief_sections(sport, units=units) for row in _section_rows(section)]
    pages: list[Picture] = []
    while rows or not pages:
        for column in range(2):
            x = MARGIN_MM + column * (COLUMN_MM + GUTTER_MM)
            rows = _fill_column(rows, marks, x, top)
        number = len(pages) + 1
        marks.append(Words("quiet", MARGIN_MM, PAGE_MM[1] - 6.0, f"{sport.name}, page {number}", TEXT_MM))
        pages.append(Picture(*PAGE_MM, tuple(marks), f"Brief: {sport.name}, page {number}", sport.summary))
        top, marks = MARGIN_MM, []
    return pages


def sport_picture(sport: Sport, *, units: Units = Units.METRIC) -> Picture:
    """Playing area with hot zones, scale bar and legend, by itself."""
    marks, scale = sport_marks(sport, (4.0, 4.0, PICTURE_WIDTH_MM - 8.0, DRAWING_MM + 20.0))
    marks += sport_scale_marks(scale, 4.0, DRAWING_MM + 26.0, units)
    marks += heat_legend_marks(4.0, DRAWING_MM + 33.0)
    title = f"{sport.name}: playing area, where it happens, where people usually stand"
    return Picture(PICTURE_WIDTH_MM, DRAWING_MM + 40.0, tuple(marks), title, headline(sport))


def _first_page_head(sport: Sport, units: Units) -> tuple[float, list[Mark]]:
    width = PAGE_MM[0] - 2 * MARGIN_MM
    marks: list[Mark] = [Words("strong", MARGIN_MM, MARGIN_MM + 5.0, sport.name, NAME_MM)]
    y = MARGIN_MM + 7.0
    for style, text, size in (("text", sport.summary, LEAD_MM), ("quiet", headline(sport), TEXT_MM)):
        for line in wrap_mm(text, size, width_mm=width):
            y += size * STEP
            marks.append(Words(style, MARGIN_MM, y, line, size))
    drawn, scale = sport_marks(sport, (MARGIN_MM, y + 3.0, width, DRAWING_MM))
    marks += drawn
    y += DRAWING_MM + 5.0
    marks += sport_scale_marks(scale, MARGIN_MM, y, units)
    marks += heat_legend_marks(MARGIN_MM, y + 6.5)
    return y + 14.0, marks


def _section_rows(section: BriefPart) -> Iterator[Row]:
    yield Row("strong", section.title, HEADING_MM, HEADING_MM * STEP, may_break_after=False)
    for sentence in section.sentences:
        for line in wrap_mm(sentence, TEXT_MM, width_mm=COLUMN_MM):
            yield Row("text", line, TEXT_MM, TEXT_MM * STEP)
    for name, words in section.items:
        yield from _item_rows(name, words)
    yield Row("text", "", TEXT_MM, 2.0)


def _item_rows(name: str, words: str) -> Iterator[Row]:
    lead = f"- {name}:" if name else "-"
    wider = text_width_mm(lead, TEXT_MM, is_bold=True) - text_width_mm(lead, TEXT_MM)
    for index, line in enumerate(wrap_mm(f"{lead} {words}", TEXT_MM, width_mm=COLUMN_MM - 1.8 - wider)):
        n_bold = len(lead) if index == 0 and name else 0
        yield Row("text", line, TEXT_MM, TEXT_MM * STEP, 0.0 if index == 0 else 1.8, n_bold=n_bold)


def _row_marks(row: Row, x: float, y: float) -> Iterator[Mark]:
    lead, rest = row.text[: row.n_bold], row.text[row.n_bold :]
    if lead:
        yield Words("strong", x + row.indent_mm, y, lead, row.size_mm)
    if rest:
        shift = text_width_mm(lead, row.size_mm, is_bold=True)
        yield Words(row.style, x + row.indent_mm + shift, y, rest, row.size_mm)


def _fill_column(rows: list[Row], marks: list[Mark], x: float, top: float) -> list[Row]:
    """Put as many rows as fit into a column; return the rest, a heading never left behind alone."""
    y, count = top, 0
    while count < len(rows) and y + rows[count].height_mm <= PAGE_MM[1] - MARGIN_MM:
        y += rows[count].height_mm
        count += 1
    while 0 < count < len(rows) and not rows[count - 1].may_break_after:
        count -= 1
    y = top
    for row in rows[:count]:
        y += row.height_mm
        marks += _row_marks(row, x, y)
    rest = rows[count:]
    return rest[1:] if rest and not rest[0].text else rest
