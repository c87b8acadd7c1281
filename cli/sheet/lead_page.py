"""The crew lead's first page: the plan, who stands where, who takes what, if one fails, if they say no, set, times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standmark.cli.drawing.action_lines import has_lines
from standmark.cli.drawing.field_plan import field_marks
from standmark.cli.drawing.marks import Mark, Picture, Words, shifted
from standmark.cli.drawing.text_size import wrap_mm
from standmark.cli.sheet.answers import CameraAnswer
from standmark.cli.sheet.bands import (
    BODY_MM,
    GAP_MM,
    LABEL_MM,
    LEADING,
    LEAST_MM,
    PAD_MM,
    band,
    blank_block,
    grade_mark,
    hairline,
    head_block,
    led,
    letter_disc,
    rows_at_most,
    text,
    times_block,
)
from standmark.cli.sheet.blocks import Block, beside, space, stack
from standmark.cli.sheet.content import SheetContent, match_line, start_pair
from standmark.cli.sheet.operator_page import WELL, main_times, stand_of
from standmark.cli.sheet.paper import BOTTOM_MM, MARGIN_MM, TOP_MM, Paper
from standmark.cli.words.checked_words import checked_words
from standmark.cli.words.crew_words import contact_of
from standmark.cli.words.dial import Dial
from standmark.cli.words.handover import handover_words, straight_cost_words, straight_of
from standmark.cli.words.lines import capital
from standmark.cli.words.moments import Taken, moment_title, moment_words, taken_moments
from standmark.cli.words.shares import grade
from standmark.cli.words.summary import gain_words
from standmark.optimizer.match.crew import GROUND, LEAD, operator_of
from standmark.optimizer.planning import Plan

TALLEST_MM, GOOD_MM, LEAST_HIGH_MM = 125.0, 68.0, 24.0  # height of the drawing
MOST_TAKEN = 6
NAME_MM, END_MM = 40.0, 31.0
DISC_MM = 2.5


@dataclass(frozen=True)
class Fit:
    """What stands on the page beside the drawing, the places and who takes what."""

    n_taken: int = MOST_TAKEN  # kinds of moments
    refused: bool = True
    fails: bool = True
    blanks: bool = True  # a line for the name and the telephone of each operator


FITS = (Fit(), Fit(refused=False), Fit(5, refused=False), Fit(4, refused=False), Fit(4, False, False),
        Fit(4, False, False, False), Fit(3, False, False, False))  # fmt: skip


def lead_page(content: SheetContent, paper: Paper) -> Picture:
    """Lay out the crew lead's page, the drawing as tall as there is room.

    With many cameras what follows if one is refused or fails stays on each operator's page and with the lists.
    """
    width, plan = paper.inner_mm, content.plan
    head = head_block(
        [(a.name, a.index) for a in content.answers],
        f"{plan.match.venue.name}: crew lead",
        match_line(plan),
        width_mm=width,
        right=start_pair(plan.match),
    )
    for fit in FITS:
        below = _below(content, width, fit)
        room = paper.height_mm - TOP_MM - BOTTOM_MM - head.height_mm - sum(b.height_mm for b in below) - 2 * PAD_MM
        if room >= GOOD_MM:
            break
    height = max(min(TALLEST_MM, room), LEAST_HIGH_MM)
    stands = [stand_of(a, stay, len(a.stays)) for a in content.answers for stay in a.stays]
    first = plan.periods[0]
    _, marks = field_marks(
        plan,
        stands,
        (0.0, 0.0, width, height),
        handover=straight_of(plan, first),
        action=first if has_lines(plan.match) else None,
    )
    body = stack([head, band("", Block(width, height, tuple(marks)), width_mm=width), *below])
    return Picture(
        paper.width_mm,
        paper.height_mm,
        shifted(body.marks, MARGIN_MM, TOP_MM),
        f"Crew lead: {plan.match.title}",
        match_line(plan),
    )


def _below(content: SheetContent, width: float, fit: Fit) -> list[Block]:
    inner, plan = width - LABEL_MM, content.plan
    blocks = [
        band("Who stands where", _stands(content, inner, with_blanks=fit.blanks), width_mm=width),
        band("Who takes what", _takes(content, inner, fit.n_taken), width_mm=width),
    ]
    fails = _fails(content, inner) if fit.fails else None
    blocks += [band("If one fails", fails, width_mm=width)] if fails is not None else []
    refused = _refused(content, inner) if fit.refused else None
    blocks += [band("If they say no", refused, width_mm=width)] if refused is not None else []
    blocks.append(band("Set", _dials(content.answers, inner), width_mm=width))
    times = content.answers[0].times
    blocks += [band("Times", times_block(main_times(times), width_mm=inner), width_mm=width)] if times else []
    checked = checked_words(plan.match.sport)
    own = "Cautions are" if fit.refused else "Cautions, and what to do if they say no, are"
    rest = f"{'' if fit.fails else 'If one fails: page 2. '}{own} on each operator's page."
    notes = (WELL, gain_words(plan), checked, _lines_note(plan), rest)
    said = " ".join(filter(None, notes))
    block = text(said, width_mm=width, size_mm=LEAST_MM)
    blocks.append(Block(width, block.height_mm + 1.0, (*hairline(width).marks, *shifted(block.marks, 0.0, 1.0))))
    return blocks


def _lines_note(plan: Plan) -> str:
    """Say what the lines of action on the drawing mean."""
    if not has_lines(plan.match):
        return ""
    crossed = any(line.crossed_by for line in plan.periods[0].lines)
    bold = "; two cameras film the bold ones from opposite sides" if crossed else ""
    return f"Dashed: lines of action{bold}."


def _stands(content: SheetContent, width: float, *, with_blanks: bool) -> Block:
    """Places and kit; `with_blanks` also who films, whom the lists name as well."""
    across = (0.5 * width, 0.2 * width, 0.3 * width) if with_blanks else (0.7 * width, 0.3 * width, 0.0)
    match = content.plan.match
    rows = []
    for answer in content.answers:
        first = answer.stays[0]
        places = []
        for stay in answer.stays:
            place = f"{f'{stay.when}: ' if stay.when else ''}{stay.where.name}, {stay.where.detail}."
            places.append(capital(place))
        words = text(" ".join(places), width_mm=across[0] - 9.0)
        spot = Block(
            across[0],
            max(words.height_mm, 6.0),
            (*letter_disc(answer.name, answer.index, DISC_MM).marks, *shifted(words.marks, 7.0, 0.0)),
        )
        kit = text(first.kit, width_mm=across[1] - 2.0, size_mm=LEAST_MM)
        who = operator_of(match.crew, answer.name)
        reach = [("Name", who.name if who else ""), ("Phone", who.phone if who else "")]
        kit = Block(across[1], kit.height_mm, kit.marks)
        blanks = [blank_block(reach, across[2])] if with_blanks else []
        rows.append(beside([spot, kit, *blanks], gap_mm=0.0))
    moves = [a for a in content.answers if any(stay.walk_words for stay in a.stays)]
    walks = "; ".join(f"{a.name}: {s.walk_words}" for a in moves for s in a.stays if s.walk_words)
    said = f"{capital(walks)}." if walks else "Nobody needs to move." if content.has_breaks else ""
    others = [contact_of(match, role) for role in (LEAD, GROUND, "first aid")]
    third = (width - 2 * GAP_MM) / 3
    reach_all = beside([blank_block([(contact.label, contact.known)], third) for contact in others], gap_mm=GAP_MM)
    said_block = [text(said, width_mm=width, style="strong")] if said else []
    return stack([*_between(rows, width), hairline(width), *said_block, reach_all])


def _between(rows: Sequence[Block], width: float) -> list[Block]:
    blocks: list[Block] = []
    for place, row in enumerate(rows):
        blocks += [hairline(width)] if place else []
        blocks.append(row)
    return blocks


def _takes(content: SheetContent, width: float, n_taken: int) -> Block:
    """Who has play where, then the moments that are worth most, for each end."""
    plan = content.plan
    told: dict[str, list[str]] = {}
    for period in plan.periods:
        told.setdefault(handover_words(plan, period, units=content.units), []).append(period.period.name)
    lines = [w for w in told if w]
    blocks: list[Block] = []
    if len(content.answers) > 1 and lines:
        others = "the other goes" if len(content.answers) == 2 else "the others go"
        rest = f"Whoever has it says “mine”; {others} wide, then for faces."
        rest = f"{rest} {straight_cost_words(plan)}".strip()
        blocks += [led(f"Handover: {lines[0]}", rest, width_mm=width), space(0.5)]
    by_key: dict[str, list[Taken]] = {}
    for taken in taken_moments(plan):
        by_key.setdefault(taken.moment.key, []).append(taken)
    ranked = sorted(by_key.values(), key=lambda own: -sum(t.rank for t in own))[:n_taken]
    ends = [end for end in ("attack", "other", "+x", "-x") if any(t.end == end for own in ranked for t in own)] or [""]
    names = {"attack": "where we attack", "other": "where we defend", "": "who has it"} | {
        key: f"at the {content.plan.match.venue.side_names[key]}" for key in ("+x", "-x")
    }
    other_x = NAME_MM + END_MM * len(ends)
    heads = [rows_at_most(names[end], LEAST_MM, 2, width_mm=END_MM - 2.0) for end in ends]
    marks: list[Mark] = [Words("text", NAME_MM + END_MM * i, LEAST_MM * (0.86 + LEADING * k), row, LEAST_MM)
                         for i, rows in enumerate(heads) for k, row in enumerate(rows)]  # fmt: skip
    if len(content.answers) > 1:
        other = "the other" if len(content.answers) == 2 else "another"
        marks.append(Words("text", other_x, 0.86 * LEAST_MM, f"meanwhile {other}", LEAST_MM))
    blocks += [Block(width, LEAST_MM * LEADING * max(map(len, heads)), tuple(marks))]
    for own in ranked:
        blocks += [hairline(width), _taken_row(content, own, ends, other_x, width)]
    return stack(blocks)


def _taken_row(content: SheetContent, own: Sequence[Taken], ends: Sequence[str], other_x: float, width: float) -> Block:
    moment, index_of = own[0].moment, {a.name: a.index for a in content.answers}
    y = 0.86 * BODY_MM + 0.5
    rows = wrap_mm(moment_title(content.plan.match.sport, moment), BODY_MM, width_mm=NAME_MM - 1.0, is_bold=True)
    marks: list[Mark] = [Words("strong", 0.0, y + BODY_MM * LEADING * i, row, BODY_MM) for i, row in enumerate(rows)]
    height = BODY_MM * LEADING * len(rows)
    for i, end in enumerate(ends):
        taken = next((t for t in own if t.end == end), next((t for t in own if t.end == ""), None))
        if taken is None:
            continue
        x = NAME_MM + END_MM * i
        if len(content.answers) > 1:
            name = taken.takers[0]
            marks += shifted(letter_disc(name, index_of[name], 2.1).marks, x, y - 3.2)
            x += 6.0
        marks += grade_mark(grade(taken.captured), x + 1.4, y - 1.25, 1.35)
        marks.append(Words("text", x + 4.0, y, grade(taken.captured), BODY_MM))
    if len(content.answers) > 1:
        words = moment_words(content.plan.match.sport, moment).meanwhile
        said = text(words, width_mm=width - other_x, size_mm=LEAST_MM)
        marks += shifted(said.marks, other_x, y - 0.86 * LEAST_MM)
        height = max(height, said.height_mm)
    return Block(width, height + 0.8, tuple(marks))


def _fails(content: SheetContent, width: float) -> Block | None:
    """What is left when one camera drops out."""
    if len(content.answers) < 2 or not content.if_lost:
        return None
    across = (width - GAP_MM) / 2
    cells = [led(f"{name} fails:", words, width_mm=across) for name, words in content.if_lost]
    return stack([beside(cells[i : i + 2], gap_mm=GAP_MM) for i in range(0, len(cells), 2)], gap_mm=0.8)


def _refused(content: SheetContent, width: float) -> Block | None:
    told = [
        (f"{a.name}{', ' + s.when if s.when and len(a.stays) > 1 else ''}:", s.refused[0])
        for a in content.answers
        for s in a.stays
        if s.refused
    ]
    if not told:
        return None
    across = (width - GAP_MM) / 2
    cells = [led(name, words, width_mm=across) for name, words in told]
    return stack([beside(cells[i : i + 2], gap_mm=GAP_MM) for i in range(0, len(cells), 2)], gap_mm=0.8)


def _dials(answers: Sequence[CameraAnswer], width: float) -> Block:
    groups: dict[str, list[str]] = {}
    for answer in answers:
        groups.setdefault(_dial_line(answer.dial), []).append(answer.name)
    rows = []
    for line, names in groups.items():
        who = "All" if len(names) == len(answers) > 1 else ", ".join(names)
        rows.append(led(f"{who}: {line}", "", width_mm=width))
    rest = ["Same white card, clocks to the second."] if len(answers) > 1 else []
    rest = [*(f"{label}: {said}." for label, said in answers[0].dial.skies), *rest]
    return stack([*rows, *([text(" ".join(rest), width_mm=width, size_mm=LEAST_MM)] if rest else [])])


def _dial_line(dial: Dial) -> str:
    nd = "no ND" if dial.nd == "none" else f"ND {dial.nd}"
    return f"{dial.rate} frames, {dial.shutter}, {dial.aperture}, {nd}, ISO {dial.iso}, {dial.white_balance}."
