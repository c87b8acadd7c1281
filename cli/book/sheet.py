"""One ground on paper: the plan to scale and every coded position in words, on as many pages as it takes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from standmark.cli.book.plan_panel import description, legend_words, panel_bounds_m, panel_height_mm, panel_marks
from standmark.cli.book.record_types import (
    DangerRecord,
    GroundRecord,
    PositionRecord,
)
from standmark.cli.book.words import MAIN_SIDE_REASONS
from standmark.cli.drawing.cameras import danger_marks
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, disc_ring, shifted
from standmark.cli.drawing.text_size import cut_mm, text_width_mm, wrap_mm
from standmark.cli.sheet.blocks import SMALL_MM, Block, bullets, paragraph, stack
from standmark.cli.sheet.paper import MARGIN_MM, Paper
from standmark.cli.words.lines import capital
from standmark.cli.words.shares import about
from standmark.cli.words.summary import CAUTION, CHILDREN
from standmark.cli.words.units import Units, distance_words
from standmark.optimizer.match.match import Match

PANEL_SHARES = (0.4, 0.35, 0.3, 0.26, 0.22)  # of the page's height: the largest with which all stands on one page
TITLE_MM, FACT_MM, BODY_MM, CAUTION_MM = 5.4, 3.2, 3.2, 3.2  # 3.2 mm are 9 points
HEAD_MM = 18.0
UNDER_PANEL_MM = 13.0
GAP_MM = 6.0  # between the columns
CODE_MM = 10.0  # width of the code beside a position
PAD_MM = 1.6
NUMBER_MM = 7.5  # from the lower edge: what most printers can still print
PAGE_MM = 12.0  # room for the number of a page


def sheet_pages(match: Match, record: GroundRecord, paper: Paper, *, units: Units) -> list[Picture]:
    """Lay a ground out: the plan, then the positions in two columns.

    The plan is made smaller if all then stands on one page; otherwise it takes more pages.
    """
    width, top = paper.inner_mm, MARGIN_MM + HEAD_MM
    column = (width - GAP_MM) / 2
    blocks = [position_block(position, column, units) for position in record["positions"]]
    blocks += ground_blocks(match, column)
    bounds_m = panel_bounds_m(match, record)
    heights = [panel_height_mm(bounds_m, width_mm=width, most_mm=share * paper.height_mm) for share in PANEL_SHARES]
    bottom = MARGIN_MM + paper.room_mm
    height = next((h for h in heights if _fits(blocks, bottom - top - h - UNDER_PANEL_MM)), heights[0])
    head = list(_head_marks(record, width))
    panel = (MARGIN_MM, top, width, height)
    head += panel_marks(match, record, panel, bounds_m=bounds_m, units=units, with_heights=True)
    head += _legend_marks(MARGIN_MM + 0.36 * width, top + height + 4.0, MARGIN_MM + width - 14.0)
    pages = list(_columns(record, head, blocks, paper, first_mm=top + height + UNDER_PANEL_MM))
    name, told = f"{record['code']} {record['name']}", description(record)
    return [
        Picture(
            paper.width_mm,
            paper.height_mm,
            (*marks, *_foot_marks(match, record, paper, f", {i} of {len(pages)}" * (len(pages) > 1))),
            name,
            told,
        )
        for i, marks in enumerate(pages, start=1)
    ]


def position_block(position: PositionRecord, width_mm: float, units: Units) -> Block:
    """Say one position: code, role, where to stand, with what, what falls short and how to fix it."""
    width = width_mm - CODE_MM
    role = position["role"] + ("" if position["needed"] else " (optional)")
    parts = [paragraph(role, width_mm=width, size_mm=BODY_MM, style="strong")]
    if position["filled"]:
        for text in (f"{capital(position['place'])}.", how_words(position, units)):
            parts.append(paragraph(text, width_mm=width, size_mm=BODY_MM))
    for danger in position["dangers"] if position["filled"] else ():
        parts += bullets([danger_words(danger)], width_mm=width, size_mm=BODY_MM, sign="!", style="strong")
    for text in position["shortfalls"]:
        parts += bullets([text], width_mm=width, size_mm=BODY_MM, sign="!", style="name-1")
    parts += bullets([fix["words"] for fix in position["fixes"]], width_mm=width, size_mm=BODY_MM)
    body = stack(parts)
    style = "name-0" if position["met"] else "name-1" if position["filled"] else "quiet"
    marks = (
        Line("rule", (np.array([[0.0, 0.0], [width_mm, 0.0]]),)),
        Words(style, 0.0, PAD_MM + 0.86 * BODY_MM, position["role_code"], 1.25 * BODY_MM),
        *shifted(body.marks, CODE_MM, PAD_MM),
    )
    return Block(width_mm, body.height_mm + 2 * PAD_MM, marks)


def ground_blocks(match: Match, width_mm: float) -> list[Block]:
    """What holds at every position of a ground: the sport's cautions, what was released, the way, a line to sign."""
    venue = match.venue
    care = [paragraph("Take care", width_mm=width_mm, size_mm=BODY_MM, style="strong")]
    care += bullets(match.sport.brief.dangers, width_mm=width_mm, size_mm=BODY_MM)
    said = []
    if not venue.respect_keep_clear:
        said.append("Released by the ground: the areas that this sport usually keeps clear.")
    if venue.latitude_deg is not None and venue.longitude_deg is not None:
        said.append(f"Way: geo:{venue.latitude_deg:.5f},{venue.longitude_deg:.5f}")
    signed_by = Block(
        width_mm,
        9.0,
        (
            Line(
                "hair",
                (np.array([[0.0, 5.2], [0.62 * width_mm, 5.2]]), np.array([[0.68 * width_mm, 5.2], [width_mm, 5.2]])),
            ),
            Words("quiet", 0.0, 8.2, "Agreed for the ground: name, signature", BODY_MM),
            Words("quiet", 0.68 * width_mm, 8.2, "date", BODY_MM),
        ),
    )
    rule = Line("rule", (np.array([[0.0, 0.0], [width_mm, 0.0]]),))
    body = stack([*care, *(paragraph(words, width_mm=width_mm, size_mm=BODY_MM) for words in said), signed_by])
    return [Block(width_mm, body.height_mm + 2 * PAD_MM, (rule, *shifted(body.marks, 0.0, PAD_MM)))]


def danger_words(danger: DangerRecord) -> str:
    """Say a danger: what it is, and what to do about it."""
    return f"Danger, {danger['name']}: {danger['text']}"


def how_words(position: PositionRecord, units: Units) -> str:
    """Lens, focal length, direction, and what the place gets."""
    compass = position["looks_compass_deg"]
    looks = "" if compass is None else f", {compass:.0f}° from true north"
    return (
        f"{position['lens']} at {position['focal_mm']:.0f} mm, {distance_words(position['distance_m'], units)} to the "
        f"aim{looks}; gets {about(position['seen'])} of the match."
    )


def _columns(
    record: GroundRecord, head: list[Mark], blocks: list[Block], paper: Paper, *, first_mm: float
) -> Iterator[list[Mark]]:
    """Fill two columns with blocks, page after page."""
    bottom = MARGIN_MM + paper.room_mm
    step = (paper.inner_mm + GAP_MM) / 2
    marks, top, rest = head, first_mm, blocks
    while True:
        columns = _split(rest, bottom - top)
        for index, column in enumerate(columns):
            y = top
            for block in column:
                marks += shifted(block.marks, MARGIN_MM + index * step, y)
                y += block.height_mm
        yield marks
        rest = rest[sum(len(column) for column in columns) :]
        if not rest:
            return
        marks, top = [*_continued_marks(record, paper.inner_mm)], MARGIN_MM + 9.0


def _split(blocks: list[Block], room_mm: float) -> tuple[list[Block], list[Block]]:
    """Blocks for the two columns of a page: as level as can be where all find room, else as many as do."""
    fair = min(range(len(blocks) + 1), key=lambda n: max(_height(blocks[:n]), _height(blocks[n:])))
    if max(_height(blocks[:fair]), _height(blocks[fair:])) <= room_mm:
        return blocks[:fair], blocks[fair:]
    left = max(1, _n_fitting(blocks, room_mm))
    return blocks[:left], blocks[left:][: _n_fitting(blocks[left:], room_mm)]


def _fits(blocks: list[Block], room_mm: float) -> bool:
    return sum(len(column) for column in _split(blocks, room_mm)) == len(blocks) and (
        max(_height(column) for column in _split(blocks, room_mm)) <= room_mm
    )


def _n_fitting(blocks: list[Block], room_mm: float) -> int:
    return next((n for n in range(len(blocks), 0, -1) if _height(blocks[:n]) <= room_mm), 0)


def _height(blocks: list[Block]) -> float:
    return sum(block.height_mm for block in blocks)


def _head_marks(record: GroundRecord, width_mm: float) -> Iterator[Mark]:
    code_mm = text_width_mm(record["code"], TITLE_MM, is_bold=True)
    yield Words("name-0", MARGIN_MM, MARGIN_MM + 4.6, record["code"], TITLE_MM)
    name = cut_mm(record["name"], TITLE_MM, width_mm=width_mm - code_mm - 4.0, is_bold=True)
    yield Words("strong", MARGIN_MM + code_mm + 4.0, MARGIN_MM + 4.6, name, TITLE_MM)
    for i, line in enumerate(fact_lines(record)):
        text = cut_mm(line, FACT_MM, width_mm=width_mm)
        yield Words("quiet", MARGIN_MM, MARGIN_MM + 10.0 + 3.9 * i, text, FACT_MM)


def fact_lines(record: GroundRecord) -> tuple[str, str]:
    """Say what the ground is, and how far it meets the standard."""
    area, short = record["playing_area"], len(record["short"])
    falls = f"; {short} that it needs {'falls' if short == 1 else 'fall'} short" if short else ""
    return (
        f"{record['sport_name']}, {area['length_m']:g} x {area['width_m']:g} m. Main side: {record['main_side_name']}, "
        f"{MAIN_SIDE_REASONS[record['main_side_reason']]}.",
        f"{record['met']} of {len(record['positions'])} positions meet the standard{falls}. Together they get "
        f"{about(record['seen'])} of the match.",
    )


def _continued_marks(record: GroundRecord, width_mm: float) -> Iterator[Mark]:
    text = cut_mm(f"{record['code']} {record['name']}, continued", 3.6, width_mm=width_mm, is_bold=True)
    yield Words("strong", MARGIN_MM, MARGIN_MM + 4.6, text, 3.6)


def _legend_marks(left: float, y: float, right: float) -> Iterator[Mark]:
    x = left
    for style, words in legend_words():
        if x > left and x + 2.2 + text_width_mm(words, SMALL_MM) > right:
            x, y = left, y + 4.6
        if style == "position-wanted":
            cross = ([[x - 1, y - 1], [x + 1, y + 1]], [[x - 1, y + 1], [x + 1, y - 1]])
            yield Line(style, tuple(np.array(stroke) for stroke in cross))
        elif style == "danger":
            yield from danger_marks(x, y)
        else:
            yield Fill(style, (disc_ring(x, y, 1.1, points=24),))
        yield Words("text", x + 2.2, y + 0.9, words, SMALL_MM)
        x += 2.2 + text_width_mm(words, SMALL_MM) + 5.0


def _foot_marks(match: Match, record: GroundRecord, paper: Paper, number: str) -> Iterator[Mark]:
    y = MARGIN_MM + paper.room_mm
    yield Line("rule", (np.array([[MARGIN_MM, y + 0.6], [MARGIN_MM + paper.inner_mm, y + 0.6]]),))
    said = CAUTION.replace(CHILDREN, "") if any("consent" in words for words in match.sport.brief.dangers) else CAUTION
    for i, line in enumerate(wrap_mm(said, CAUTION_MM, width_mm=paper.inner_mm)):
        yield Words("quiet", MARGIN_MM, y + 4.0 + 3.8 * i, line, CAUTION_MM)
    right = MARGIN_MM + paper.inner_mm
    yield Words("quiet", right - PAGE_MM, paper.height_mm - NUMBER_MM, f"{record['code']}{number}", SMALL_MM, "end")
