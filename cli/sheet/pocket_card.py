"""Pocket cards: one A6 for each camera, four to a page, with cut marks."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from standmark.cli.drawing.field_plan import field_marks
from standmark.cli.drawing.marks import Line, Mark, Picture, Words, box_ring, shifted
from standmark.cli.drawing.text_size import cut_mm, text_width_mm, wrap_mm
from standmark.cli.sheet.answers import CameraAnswer
from standmark.cli.sheet.bands import LEADING, POINT_MM, grade_mark, hairline, led, letter_disc, text
from standmark.cli.sheet.blocks import Block, beside, space, stack
from standmark.cli.sheet.content import SheetContent, start_pair
from standmark.cli.sheet.operator_page import main_times, name_rows, stand_of
from standmark.cli.sheet.paper import Paper
from standmark.cli.words.crew_words import call_words
from standmark.cli.words.lines import capital

SMALL_MM, NAME_MM = 9 * POINT_MM, 12 * POINT_MM
CARD_MM = (105.0, 148.0)  # A6, ISO 216
EDGE_MM = 6.0
MOST_GET, LEAST_GET, MOST_TIMES = 6, 3, 5
GOOD_MM = 32.0  # height of the drawing, for which moments give way
SIDE_OF = re.compile(r", (left|right) of .*")  # "church end, right of the goal": where two places share the width
GRADE_MM = 9.0
NAME_ROOM_MM = 28.0  # most that the name of a kind of moment takes
TICK_MM = 5.0


def card_pages(content: SheetContent, paper: Paper) -> list[Picture]:
    """Lay four cards on a page: one camera four times, two twice each, else each once."""
    n_each = {1: 4, 2: 2}.get(len(content.answers), 1)
    cards = [answer for answer in content.answers for _ in range(n_each)]
    return [_page(content, cards[i : i + 4], paper) for i in range(0, len(cards), 4)]


def _page(content: SheetContent, cards: Sequence[CameraAnswer], paper: Paper) -> Picture:
    wide, tall = min(CARD_MM[0], paper.width_mm / 2), min(CARD_MM[1], paper.height_mm / 2)
    left, top = (paper.width_mm - 2 * wide) / 2, (paper.height_mm - 2 * tall) / 2
    marks: list[Mark] = list(_cut_marks(left, top, wide, tall, paper))
    for place, answer in enumerate(cards):
        card = _card(content, answer, wide - 2 * EDGE_MM, tall - 2 * EDGE_MM)
        x, y = left + (place % 2) * wide + EDGE_MM, top + (place // 2) * tall + EDGE_MM
        marks += shifted(card.marks, x, y)
    title = f"Pocket cards: {content.plan.match.title}"
    return Picture(paper.width_mm, paper.height_mm, tuple(marks), title, "Cut along the marks.")


def _cut_marks(left: float, top: float, wide: float, tall: float, paper: Paper) -> list[Mark]:
    lines = []
    for x in (left, left + wide, left + 2 * wide):
        lines += [[(x, 0.0), (x, TICK_MM)], [(x, paper.height_mm - TICK_MM), (x, paper.height_mm)]]
    for y in (top, top + tall, top + 2 * tall):
        lines += [[(0.0, y), (TICK_MM, y)], [(paper.width_mm - TICK_MM, y), (paper.width_mm, y)]]
    x, y = left + wide, top + tall
    lines += [[(x - TICK_MM / 2, y), (x + TICK_MM / 2, y)], [(x, y - TICK_MM / 2), (x, y + TICK_MM / 2)]]
    return [Line("cut", tuple(np.array(line) for line in lines))]


def _card(content: SheetContent, answer: CameraAnswer, width: float, height: float) -> Block:
    head, places = _head(content, answer, width), _places(answer, width)
    for n_gets in range(MOST_GET, LEAST_GET - 1, -1):
        gets = _gets(answer, width, n_gets)
        below = [_dial(answer, width), gets, _foot(content, answer, width), _times(answer, width)]
        used = head.height_mm + places.height_mm + sum(b.height_mm for b in below) + 2.0
        room = max(height - used, 20.0)
        if room >= GOOD_MM:
            break
    stands = [stand_of(answer, stay, len(answer.stays)) for stay in answer.stays]
    _, marks = field_marks(content.plan, stands, (0.0, 0.0, width, room), with_sun=False, is_small=True)
    return stack([head, places, Block(width, room + 1.0, tuple(marks)), *below])


def _head(content: SheetContent, answer: CameraAnswer, width: float) -> Block:
    radius, big = 5.6, 14 * POINT_MM
    start, what = start_pair(content.plan.match)
    x = 2 * radius + 2.5
    room = width - x - text_width_mm(start, big, is_bold=True) - 2.0
    title = cut_mm(content.plan.match.venue.name, big, width_mm=room, is_bold=True)
    kit = cut_mm(answer.stays[0].kit, SMALL_MM, width_mm=width - x - text_width_mm(what, SMALL_MM) - 2.0)
    marks: list[Mark] = [*letter_disc(answer.name, answer.index, radius).marks]
    marks += [Words("strong", x, 5.0, title, big), Words("text", x, 10.0, kit, SMALL_MM)]
    marks += [Words("strong", width, 5.0, start, big, "end"), Words("text", width, 10.0, what, SMALL_MM, "end")]
    rule = Line("band", (np.array([[0.0, 12.2], [width, 12.2]]),))
    return Block(width, 13.4, (*marks, rule))


def _places(answer: CameraAnswer, width: float) -> Block:
    stays = answer.stays[:2]
    across = width if len(stays) == 1 else (width - 4.0) / 2
    cells = []
    for stay in stays:
        blocks = [text(stay.when, width_mm=across, size_mm=SMALL_MM, style=f"name-{answer.index}")] if stay.when else []
        name = stay.where.name.replace(" of the ", " of ")
        name = name if len(stays) == 1 else SIDE_OF.sub(r", \1", name)
        blocks.append(text(capital(name), width_mm=across, size_mm=NAME_MM, style="strong"))
        blocks.append(text(_short_detail(stay.where.detail), width_mm=across, size_mm=SMALL_MM))
        cells.append(Block(across, stack(blocks).height_mm, stack(blocks).marks))
    return beside(cells, gap_mm=4.0)


def _short_detail(detail: str) -> str:
    """Leave out the paces and everything after the second landmark."""
    parts = detail.split(", ")[:2]
    return ", ".join(part.split(" (")[0] + (part.split(")", 1)[1] if ")" in part else "") for part in parts)


def _dial(answer: CameraAnswer, width: float) -> Block:
    labels = ("rate", "shutter", "aperture", "ND", "ISO", "WB")
    values = (*answer.dial.cells[:5], answer.dial.white_balance.removesuffix(" K"))
    wide, tall, big = width / 3, 7.2, 13 * POINT_MM
    marks: list[Mark] = [Line("frame-edge", (box_ring(0.0, 0.0, width, 2 * tall),))]
    marks.append(Line("frame-edge", (np.array([[0.0, tall], [width, tall]]),)))
    marks += [Line("frame-edge", (np.array([[wide * i, 0.0], [wide * i, 2 * tall]]),)) for i in (1, 2)]
    for place, (label, value) in enumerate(zip(labels, values, strict=True)):
        x, y = wide * (place % 3), tall * (place // 3) + 5.1
        marks.append(Words("text", x + 1.3, y, label, SMALL_MM))
        room = wide - 3.2 - text_width_mm(label, SMALL_MM)
        size = min(big, big * room / max(text_width_mm(value, big, is_bold=True), 1.0))
        marks.append(Words("strong", x + wide - 1.3, y, value, size, "end"))
    return Block(width, 2 * tall + 1.5, tuple(marks))


def _gets(answer: CameraAnswer, width: float, most: int) -> Block:
    stays = answer.stays[:2]
    blocks: list[Block] = []
    if len(stays) > 1:
        marks = tuple(
            Words("text", width - GRADE_MM * (len(stays) - i), 0.86 * SMALL_MM, stay.when.split()[0], SMALL_MM)
            for i, stay in enumerate(stays)
        )
        blocks.append(Block(width, SMALL_MM * 1.15, marks))
    names = [name_rows(get, NAME_ROOM_MM, SMALL_MM, 1)[0] for get in answer.gets[:most]]
    first = max((text_width_mm(n, SMALL_MM, is_bold=True) for n in names), default=0.0) + 2.0
    for get, name in zip(answer.gets, names, strict=False):
        y = 0.86 * SMALL_MM
        room = width - first - GRADE_MM * len(stays)
        marks_ = [
            Words("strong", 0.0, y, name, SMALL_MM),
            Words("text", first, y, _one_line(get.short, room), SMALL_MM),
        ]
        drawn: list[Mark] = list(marks_)
        for i, grade in enumerate(get.grades[: len(stays)]):
            drawn += grade_mark(grade, width - GRADE_MM * (len(stays) - i) + 2.0, y - 1.1, 1.25)
        blocks.append(Block(width, SMALL_MM * 1.22, tuple(drawn)))
    return stack([*blocks, space(0.6)])


def _one_line(words: str, width: float, *, is_bold: bool = False) -> str:
    """First line of some words, broken at a comma where they don't fit."""
    rows = wrap_mm(words, SMALL_MM, width_mm=width, is_bold=is_bold)
    if len(rows) <= 1:
        return words
    first = words.split(",")[0]
    return first if len(wrap_mm(first, SMALL_MM, width_mm=width, is_bold=is_bold)) == 1 else rows[0]


def _foot(content: SheetContent, answer: CameraAnswer, width: float) -> Block:
    danger = answer.cautions[0]
    refused = answer.stays[0].refused
    said = f"If refused: {refused[0][:1].lower()}{refused[0][1:]}" if refused else ""
    call = call_words(content.plan.match)
    known = [text(call, width_mm=width, size_mm=SMALL_MM)] if call else []
    return stack([hairline(width), led(danger, said, width_mm=width, size_mm=SMALL_MM), *known])


def _times(answer: CameraAnswer, width: float) -> Block:
    wanted = ("in place, record", "start", "walk, new battery", "new battery", "film on")
    kept = [t for t in main_times(answer.times) if t[1] in wanted][:MOST_TIMES]
    if not kept:
        return Block(width, 0.0)
    across, big = width / len(kept), 11 * POINT_MM
    cells = []
    for time, words in kept:
        row = _one_line(words, across - 1.0)
        marks = (
            Words("strong", 0.0, 0.86 * big, time, big),
            Words("text", 0.0, big * 1.1 + 0.86 * SMALL_MM, row, SMALL_MM),
        )
        cells.append(Block(across, big * 1.1 + SMALL_MM * LEADING, marks))
    return stack([hairline(width), beside(cells, gap_mm=0.0)])
