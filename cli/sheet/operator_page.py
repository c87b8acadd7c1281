"""The page of one operator: where, set, get, if they say no, take care, times; never more than one page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standmark.cli.drawing.field_plan import StandSpot, field_marks
from standmark.cli.drawing.marks import Picture, Words, shifted
from standmark.cli.drawing.text_size import cut_mm, wrap_mm
from standmark.cli.sheet.answers import CameraAnswer, Get, Standing
from standmark.cli.sheet.bands import (
    BODY_MM,
    GAP_MM,
    LABEL_MM,
    LEADING,
    LEAST_MM,
    PAD_MM,
    PLACE_MM,
    band,
    blank_block,
    bullet_columns,
    dial_block,
    grade_mark,
    hairline,
    head_block,
    led,
    text,
    times_block,
)
from standmark.cli.sheet.blocks import Block, beside, space, stack
from standmark.cli.sheet.content import SheetContent, match_line, start_pair
from standmark.cli.sheet.paper import BOTTOM_MM, MARGIN_MM, TOP_MM, Paper
from standmark.cli.words.checked_words import checked_words
from standmark.cli.words.crew_words import contact_of
from standmark.cli.words.dial import dial_notes
from standmark.cli.words.lines import capital
from standmark.cli.words.shares import about
from standmark.optimizer.advice.fallback import Fallback
from standmark.optimizer.match.crew import GROUND, LEAD, operator_of

PLAN_SHARE = 0.55  # of the width, for the drawing
TALLEST_MM, LOWEST_MM = 86.0, 44.0  # of the drawing
GRADE_MM = 21.0  # a column of grades
NAME_MM = 27.0
MOST_COLUMNS = 3  # of grades
HANDS = "Left and right are yours, facing the pitch."
WELL = "Well: at least 6 in 10 of them usable. Partly: 3 to 6 in 10. Hardly: fewer than 3 in 10."


@dataclass(frozen=True)
class PageFit:
    """How tightly a page is set: each level saves room, none leaves out a caution."""

    body_mm: float
    how_lines: int  # most lines on how to frame a moment
    is_brief: bool = False  # one spare place each, and nothing of how the shares were checked
    n_gets: int = 6  # moments to get


LEVELS = (
    PageFit(BODY_MM, 2), PageFit(LEAST_MM, 2), PageFit(LEAST_MM, 1), PageFit(LEAST_MM, 1, is_brief=True),
    PageFit(LEAST_MM, 1, is_brief=True, n_gets=4), PageFit(LEAST_MM, 1, is_brief=True, n_gets=2),
)  # fmt: skip


def operator_page(content: SheetContent, answer: CameraAnswer, paper: Paper) -> Picture:
    """Lay out the page of one camera, as loosely as it fits."""
    width = paper.inner_mm
    for fit in LEVELS:
        head, below = _head(content, answer, width), _below(content, answer, width, fit)
        room = paper.height_mm - TOP_MM - BOTTOM_MM - head.height_mm - sum(b.height_mm for b in below) - 2 * PAD_MM
        words = _place_words(answer, width * (1 - PLAN_SHARE) - GAP_MM, fit)
        if room >= max(words.height_mm, LOWEST_MM):
            break
    drawn = max(min(TALLEST_MM, room), words.height_mm)
    blocks = [head, _where(content, answer, words, width, drawn), *below]
    body = stack(blocks)
    title = f"Camera {answer.name}: {content.plan.match.title}"
    return Picture(
        paper.width_mm, paper.height_mm, shifted(body.marks, MARGIN_MM, TOP_MM), title, match_line(content.plan)
    )


def _head(content: SheetContent, answer: CameraAnswer, width: float) -> Block:
    plan = content.plan
    return head_block(
        [(answer.name, answer.index)],
        plan.match.venue.name,
        match_line(plan),
        width_mm=width,
        right=start_pair(plan.match),
    )


def _where(content: SheetContent, answer: CameraAnswer, words: Block, width: float, height: float) -> Block:
    """Drawing on the left, words on the right."""
    across = width * PLAN_SHARE
    stands = [stand_of(answer, stay, len(answer.stays)) for stay in answer.stays]
    _, marks = field_marks(content.plan, stands, (0.0, 0.0, across, height))
    drawn = Block(across, height, tuple(marks))
    return band("", beside([drawn, words], gap_mm=GAP_MM), width_mm=width)


def stand_of(answer: CameraAnswer, stay: Standing, n_stays: int) -> StandSpot:
    """One place of a camera as the drawing shows it."""
    near: Fallback | None = stay.spare
    return StandSpot(
        stay.assignment,
        answer.index,
        stay.when if n_stays > 1 else "",
        None if near is None else near.spot,
        stay.walk,
    )


def _place_words(answer: CameraAnswer, width: float, fit: PageFit) -> Block:
    blocks: list[Block] = []
    kits = {stay.kit for stay in answer.stays}
    for place, stay in enumerate(answer.stays):
        if place:
            blocks += [space(0.8), hairline(width)]
        if stay.when:
            blocks.append(text(stay.when, width_mm=width, style=f"name-{answer.index}", size_mm=fit.body_mm))
        name = stay.where.name
        blocks.append(text(capital(name), width_mm=width, size_mm=PLACE_MM, style="strong"))
        detail = stay.where.detail
        said = f"{capital(detail)}."
        if stay.shift and stay.shift != "not at all":
            said += f" Shift up to {stay.shift}."
        blocks.append(text(said, width_mm=width, size_mm=fit.body_mm))
        if stay.held:
            blocks.append(text(stay.held, width_mm=width, size_mm=fit.body_mm))
        if stay.missing:
            blocks.append(led("Ask first:", f"{stay.missing}.", width_mm=width, size_mm=fit.body_mm))
        if len(kits) > 1:
            blocks.append(text(f"{stay.kit}.", width_mm=width, size_mm=fit.body_mm))
        if stay.walk_words:
            blocks += [space(0.6), led("Then", f"{stay.walk_words}.", width_mm=width, size_mm=fit.body_mm)]
    blocks.append(space(1.0))
    lead = f"{answer.stays[0].kit}." if len(kits) == 1 else ""
    rest = "" if fit.is_brief else HANDS
    blocks.append(led(lead, rest, width_mm=width, size_mm=fit.body_mm) if lead else text(rest, width_mm=width))
    return Block(width, stack(blocks).height_mm, stack(blocks).marks)


def _below(content: SheetContent, answer: CameraAnswer, width: float, fit: PageFit) -> list[Block]:
    inner = width - LABEL_MM
    notes = " ".join([*dial_notes(answer.dial), *answer.dial.warnings])
    dial = [dial_block(answer.dial, width_mm=inner)]
    dial += [space(0.5), text(notes, width_mm=inner, size_mm=fit.body_mm)] if notes else []
    blocks = [band("Set", stack(dial), width_mm=width), band("Get", _gets(answer, inner, fit), width_mm=width)]
    refused = _refused(answer, inner, fit)
    if refused is not None:
        blocks.append(band("If they say no", refused, width_mm=width))
    care = bullet_columns(answer.cautions, width_mm=inner, size_mm=LEAST_MM)
    blocks.append(band("Take care", care, width_mm=width))
    call = _call(content, answer, inner)
    if answer.times:
        times = stack([times_block(main_times(answer.times), width_mm=inner), call], gap_mm=0.6)
        blocks.append(band("Times", times, width_mm=width))
    else:
        blocks.append(band("Call", call, width_mm=width))
    blocks.append(_note(content, width, is_brief=fit.is_brief))
    return blocks


def _call(content: SheetContent, answer: CameraAnswer, width: float) -> Block:
    """Who films here, and whom to call."""
    match = content.plan.match
    own = operator_of(match.crew, answer.name)
    others = (contact_of(match, role) for role in (LEAD, GROUND))
    told = [("You", own.name if own else ""), *((contact.label, contact.known) for contact in others)]
    across = (width - 2 * GAP_MM) / 3
    return beside([blank_block([entry], across) for entry in told], gap_mm=GAP_MM)


def _gets(answer: CameraAnswer, width: float, fit: PageFit) -> Block:
    columns = [stay.when for stay in answer.stays][:MOST_COLUMNS]
    shown = columns if len(answer.stays) > 1 else [""]
    how = width - NAME_MM - GRADE_MM * len(shown) - 2.0
    blocks: list[Block] = []
    if len(shown) > 1:
        marks = [Words("text", NAME_MM, 0.86 * LEAST_MM, "How to frame it", LEAST_MM)]
        marks += [
            Words("text", width - GRADE_MM * (len(shown) - i), 0.86 * LEAST_MM, when, LEAST_MM)
            for i, when in enumerate(shown)
        ]
        blocks += [Block(width, LEAST_MM * LEADING, tuple(marks)), hairline(width)]
    for place, get in enumerate(answer.gets[: fit.n_gets]):
        blocks += [hairline(width)] if place else []
        blocks.append(_get_row(get, width, how, len(shown), fit))
    if answer.missed:
        blocks += [hairline(width), led("Not from here:", answer.missed, width_mm=width, size_mm=fit.body_mm)]
    return stack(blocks)


def _get_row(get: Get, width: float, how: float, n_columns: int, fit: PageFit) -> Block:
    size = fit.body_mm
    rows = how_rows(get, how, size, fit.how_lines)
    names = name_rows(get, NAME_MM - 1.5, size, 2)
    marks = [Words("strong", 0.0, size * (0.86 + LEADING * i), row, size) for i, row in enumerate(names)]
    marks += [Words("text", NAME_MM, size * (0.86 + LEADING * i), row, size) for i, row in enumerate(rows)]
    every = list(marks)
    grades = get.grades[:n_columns] if n_columns > 1 else get.grades[:1]
    drawn = []
    for i, grade in enumerate(grades):
        x = width - GRADE_MM * (n_columns - i)
        drawn += grade_mark(grade, x + 1.5, 0.52 * size, 1.35)
        if grade:
            drawn.append(Words("text", x + 4.2, 0.86 * size, grade, size))
    return Block(width, size * LEADING * max(len(rows), len(names), 1), (*every, *drawn))


def name_rows(get: Get, width: float, size: float, most: int) -> list[str]:
    """Name of a kind of moment in so many lines; its shorter name where that's too long."""
    plural = capital(get.plural)
    names = (get.name, plural, plural.split(" and ")[0])
    fitting = (wrap_mm(words, size, width_mm=width, is_bold=True) for words in names)
    return next((rows for rows in fitting if len(rows) <= most), [cut_mm(plural, size, width_mm=width, is_bold=True)])


def how_rows(get: Get, width: float, size: float, most: int) -> list[str]:
    """How to frame a moment and what this place changes, in so many lines; in short where that's too long."""
    short = f"{capital(get.short)}."
    for words in (f"{get.how} {get.hint}", f"{short} {get.hint}", short):
        rows = wrap_mm(words.strip(), size, width_mm=width)
        if len(rows) <= most:
            return rows
    return rows[:most]


def _refused(answer: CameraAnswer, width: float, fit: PageFit) -> Block | None:
    told = [(s.when, " ".join(s.refused[:1] if fit.is_brief else s.refused)) for s in answer.stays if s.refused]
    if not told:
        return None
    if len(told) == 1:
        return led(f"{told[0][0]}." if told[0][0] else "", told[0][1], width_mm=width, size_mm=fit.body_mm)
    across = (width - GAP_MM) / 2
    cells = [led(f"{when}.", words, width_mm=across, size_mm=fit.body_mm) for when, words in told]
    pairs = [beside(cells[i : i + 2], gap_mm=GAP_MM) for i in range(0, len(cells), 2)]
    return stack(pairs, gap_mm=1.0)


def main_times(times: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Call times that one must not miss, at most nine."""
    kept = list(times)
    for words in ("faces, thanks", "teams walk out", "film the warm-up", "test, play back"):
        if len(kept) <= 9:
            break
        kept = [entry for entry in kept if entry[1] != words]
    return kept if len(kept) <= 9 else [*kept[:7], *kept[-2:]]


def _note(content: SheetContent, width: float, *, is_brief: bool) -> Block:
    usual = f" {content.usual.words}" if content.usual is not None else ""
    said = f"{WELL} In all you get {about(content.seen)} of the match.{usual}"
    said += f" {HANDS if is_brief else checked_words(content.plan.match.sport)}"
    return Block(
        width,
        (block := text(said, width_mm=width, size_mm=LEAST_MM)).height_mm + 1.0,
        (*hairline(width).marks, *shifted(block.marks, 0.0, 1.0)),
    )
