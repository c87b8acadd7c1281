"""One ground on paper: the plan to scale and every coded position in words, on as many A4 pages as it takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from standmark.cli.book.plan_panel import description, legend_words, panel_height_mm, panel_marks
from standmark.cli.book.words import MAIN_SIDE_REASONS
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, disc_ring
from standmark.cli.drawing.text_size import cut_mm, text_width_mm, wrap_mm
from standmark.cli.summary import CAUTION
from standmark.cli.units import Units
from standmark.cli.words import percent
from standmark.optimizer.match import Match

A4_MM = (210.0, 297.0)
MARGIN_MM = 13.0
WIDTH_MM = A4_MM[0] - 2 * MARGIN_MM
TALLEST_PANEL_MM = 112.0
GAP_MM = 6.0
COLUMN_MM = (WIDTH_MM - GAP_MM) / 2
TITLE_MM, TEXT_MM, SMALL_MM = 5.4, 2.6, 2.5
LINE_MM = 3.4
CODE_WIDTH_MM = 9.0
FOOT_MM = 11.0


@dataclass(frozen=True)
class Row:
    """One line of a block: style, indent, text."""

    style: str
    indent_mm: float
    text: str


def sheet_pages(match: Match, record: Mapping[str, Any], *, units: Units) -> list[Picture]:
    """Lay a ground out on A4 pages: the plan, then the positions in two columns; more pages where one is not enough."""
    top = MARGIN_MM + 24.0
    height = panel_height_mm(match, record, width_mm=WIDTH_MM, most_mm=TALLEST_PANEL_MM)
    head = list(_head_marks(record))
    head += panel_marks(match, record, (MARGIN_MM, top, WIDTH_MM, height), units=units, with_heights=True)
    head += _legend_marks(top + height + 3.0)
    pages = list(_columns(record, head, first_mm=top + height + 12.0, units=units))
    told = description(record)
    return [
        Picture(*A4_MM, (*marks, *_foot_marks(record, i + 1, len(pages))), f"{record['code']} {record['name']}", told)
        for i, marks in enumerate(pages)
    ]


def _columns(record: Mapping[str, Any], head: list[Mark], *, first_mm: float, units: Units) -> Iterator[list[Mark]]:
    """Fill columns with positions, page after page."""
    bottom = A4_MM[1] - MARGIN_MM - FOOT_MM
    marks, top, x, y = head, first_mm, MARGIN_MM, first_mm
    for position in record["positions"]:
        rows = position_rows(position, units)
        needed = LINE_MM * len(rows) + 1.6
        if y + needed > bottom and y > top:
            x, y = x + COLUMN_MM + GAP_MM, top
            if x > MARGIN_MM + WIDTH_MM - 1.0:
                yield marks
                marks, top, x = [*_continued_marks(record)], MARGIN_MM + 11.0, MARGIN_MM
                y = top
        marks += _block_marks(position, rows, x, y)
        y += needed
    yield marks


def position_rows(position: Mapping[str, Any], units: Units) -> list[Row]:
    """Say one position in lines that fit a column."""
    width = COLUMN_MM - CODE_WIDTH_MM
    role = position["role"] + ("" if position["needed"] else " (optional)")
    rows = [Row("strong", 0.0, cut_mm(role, TEXT_MM, width_mm=width, is_bold=True))]
    if position["filled"]:
        rows += _wrapped("text", f"Stand {position['place']}.", width)
        rows += _wrapped("text", how_words(position), width)
    for shortfall in position["shortfalls"]:
        rows += _wrapped("name-1", f"Short: {shortfall}", width, is_bold=True)
    for fix in position["fixes"]:
        rows += _wrapped("text", fix["words"], width)
    return rows


def how_words(position: Mapping[str, Any]) -> str:
    """Lens, focal length, direction, what the place covers, and its coordinates."""
    compass = position["looks_compass_deg"]
    looks = "" if compass is None else f", {compass:.0f}° from north"
    return (
        f"{position['lens']} at {position['focal_mm']:.0f} mm, {position['distance_m']:.0f} m to the aim{looks}; "
        f"covers {percent(position['coverage'])}; x {position['x_m']:.2f}, y {position['y_m']:.2f} m."
    )


def _wrapped(style: str, text: str, width_mm: float, *, is_bold: bool = False) -> Iterator[Row]:
    for i, line in enumerate(wrap_mm(text, TEXT_MM, width_mm=width_mm - 2.0, is_bold=is_bold)):
        yield Row(style, 0.0 if i == 0 else 2.0, line)


def _block_marks(position: Mapping[str, Any], rows: Sequence[Row], x: float, y: float) -> Iterator[Mark]:
    yield Line("rule", (np.array([[x, y], [x + COLUMN_MM, y]]),))
    style = "name-0" if position["met"] else "name-1" if position["filled"] else "quiet"
    yield Words(style, x, y + LINE_MM * 0.95, position["role_code"], TEXT_MM * 1.3)
    for i, row in enumerate(rows):
        yield Words(row.style, x + CODE_WIDTH_MM + row.indent_mm, y + LINE_MM * (i + 0.95), row.text, TEXT_MM)


def _head_marks(record: Mapping[str, Any]) -> Iterator[Mark]:
    code_mm = text_width_mm(record["code"], TITLE_MM, is_bold=True)
    yield Words("name-0", MARGIN_MM, MARGIN_MM + 4.6, record["code"], TITLE_MM)
    name = cut_mm(record["name"], TITLE_MM, width_mm=WIDTH_MM - code_mm - 4.0, is_bold=True)
    yield Words("strong", MARGIN_MM + code_mm + 4.0, MARGIN_MM + 4.6, name, TITLE_MM)
    area = record["playing_area"]
    facts = f"{record['sport_name']}, {area['length_m']:g} x {area['width_m']:g} m. "
    facts += f"Main side: {record['main_side_name']}, {MAIN_SIDE_REASONS[record['main_side_reason']]}."
    standard = f"Standard: {record['standard']['name']}, edition {record['standard']['edition']}."
    short = len(record["short"])
    met = f"{record['met']} of {len(record['positions'])} positions meet it" + (
        f", {short} needed {'one falls' if short == 1 else 'ones fall'} short; " if short else "; "
    )
    together = f"together they cover {percent(record['together'])} of what matters."
    for i, line in enumerate((facts, standard, met + together)):
        text = cut_mm(line, 2.9, width_mm=WIDTH_MM)
        yield Words("quiet", MARGIN_MM, MARGIN_MM + 10.5 + 3.9 * i, text, 2.9)


def _continued_marks(record: Mapping[str, Any]) -> Iterator[Mark]:
    text = cut_mm(f"{record['code']} {record['name']}, continued", 3.6, width_mm=WIDTH_MM, is_bold=True)
    yield Words("strong", MARGIN_MM, MARGIN_MM + 4.6, text, 3.6)


def _legend_marks(y: float) -> Iterator[Mark]:
    x = MARGIN_MM + 66.0
    for style, words in legend_words():
        if style == "position-wanted":
            cross = ([[x - 1, y - 1], [x + 1, y + 1]], [[x - 1, y + 1], [x + 1, y - 1]])
            yield Line(style, tuple(np.array(stroke) for stroke in cross))
        else:
            yield Fill(style, (disc_ring(x, y, 1.1, points=24),))
        yield Words("text", x + 2.2, y + 0.9, words, SMALL_MM)
        x += 2.2 + text_width_mm(words, SMALL_MM) + 5.0


def _foot_marks(record: Mapping[str, Any], page: int, pages: int) -> Iterator[Mark]:
    y = A4_MM[1] - MARGIN_MM - FOOT_MM + 3.0
    yield Line("rule", (np.array([[MARGIN_MM, y], [MARGIN_MM + WIDTH_MM, y]]),))
    for i, line in enumerate(wrap_mm(CAUTION, 2.2, width_mm=WIDTH_MM - 24.0)):
        yield Words("quiet", MARGIN_MM, y + 3.0 * (i + 1), line, 2.2)
    which = record["code"] if pages == 1 else f"{record['code']}  {page}/{pages}"
    yield Words("quiet", MARGIN_MM + WIDTH_MM, y + 3.0, which, SMALL_MM, "end")
