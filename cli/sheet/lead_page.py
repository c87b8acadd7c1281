"""First pages of the paper sheet, for whoever leads the crew: the plan, who does what, the times, the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from standmark.cli.drawing.ground import Ground, ground_height_mm
from standmark.cli.drawing.map_page import KEY_HEIGHT_MM, Drawer, key_marks, map_panels
from standmark.cli.drawing.plan import foot_marks, ground_panel, panel_height_mm, plan_bounds
from standmark.cli.sheet.blocks import (
    Block,
    beside,
    blank_lines,
    bullets,
    heading,
    paragraph,
    space,
    stack,
    table,
)
from standmark.cli.sheet.content import (
    CONTACTS,
    SheetContent,
    duty_columns,
    duty_notes,
    duty_rows,
    match_facts,
    missed_words,
)
from standmark.cli.sheet.paper import Paper
from standmark.cli.words.naming import percent
from standmark.cli.words.section import Section
from standmark.cli.words.units import Units
from standmark.optimizer.picture.stretch import Stretch
from standmark.optimizer.planning import Plan

TALLEST_MM = 96.0
DUTY_WIDTHS = (4.2, 1.0, 2.6, 1.0, 1.0, 0.9, 1.0)
COLUMN_GAP_MM = 6.0
MAP_TITLE_MM = 7.5  # title of a map and the gap under it
LEAST_MAP_MM = 40.0


def lead_blocks(content: SheetContent, paper: Paper) -> list[Block]:
    """Lay out the crew lead's pages."""
    plan, stretches, sections, units = content.plan, content.stretches, content.sections, content.units
    width = paper.inner_mm
    blocks = [paragraph(plan.match.title, width_mm=width, size_mm=6.0, style="strong"), space(1.0)]
    blocks += table(("", ""), match_facts(plan, units), widths=(1, 9), width_mm=width, first_style="quiet")
    blocks.append(space(2.0))
    blocks += _plans(plan, stretches, width, units)
    blocks += _positions(content, width)
    for stretch in stretches:
        blocks += _duties(plan, stretch, width)
    blocks += section_blocks(sections.get("decisions"), widths=(1,), width_mm=width)
    blocks += section_blocks(sections.get("times"), widths=(1, 2.6, 8), width_mm=width)
    blocks += section_blocks(sections.get("joint"), widths=(2, 1, 8), width_mm=width)
    blocks += section_blocks(sections.get("cautions"), widths=(2, 8), width_mm=width)
    for key in ("before", "access", "welfare"):
        blocks += section_blocks(sections.get(key), widths=(1,), width_mm=width)
    blocks += section_blocks(sections.get("kit"), widths=(1.3, 0.9, 3.4, 4.4), width_mm=width)
    contacts = stack(blank_lines(CONTACTS, width_mm=width))
    return [*blocks, heading("Contacts", width_mm=width), contacts]


def section_blocks(section: Section | None, *, widths: Sequence[float], width_mm: float) -> list[Block]:
    """Lay out a section of settings or day: title, warnings, table, notes."""
    if section is None:
        return []
    blocks = [heading(section.title, width_mm=width_mm)]
    blocks += bullets(section.warnings, width_mm=width_mm, sign="!", style="strong", size_mm=2.6)
    if section.rows:
        blocks += table(section.columns, section.rows, widths=widths, width_mm=width_mm)
    return [*blocks, *bullets(section.notes, width_mm=width_mm, size_mm=2.5)]


def _plans(plan: Plan, stretches: Sequence[Stretch], width: float, units: Units) -> list[Block]:
    """Plan of every stretch, one over the whole width or two beside each other, and what the marks mean."""
    column = width if len(stretches) == 1 else (width - COLUMN_GAP_MM) / 2
    drawn = [_plan_block(plan, stretch, column, units) for stretch in stretches]
    rows = [beside([block for _, block in drawn[i : i + 2]], gap_mm=COLUMN_GAP_MM) for i in range(0, len(drawn), 2)]
    over = [mark for _, block in drawn for mark in block.marks]
    below, used = foot_marks(plan, drawn[0][0], (0.0, 0.0, width, 0.0), units=units, over=over)
    return [*rows, Block(width, used + 2.0, tuple(below))]


def _plan_block(plan: Plan, stretch: Stretch, width: float, units: Units) -> tuple[Ground, Block]:
    height = panel_height_mm(plan, width, most_mm=TALLEST_MM)
    said = f"{stretch.name}: covers {percent(stretch.first.coverage)}"
    ground, marks = ground_panel(plan, stretch, (0.0, 0.0, width, height), units=units)
    title = paragraph(said, width_mm=width, size_mm=3.5, style="strong")
    return ground, stack([title, Block(width, height, tuple(marks)), space(2.0)])


def _positions(content: SheetContent, width: float) -> list[Block]:
    rows = [
        (f"{post.assignment.camera}, {post.when.lower()}", f"{post.where} ({post.coordinates})", post.lens, post.covers)
        for posts in content.posts
        for post in posts
    ]
    columns = ("camera", "where to stand", "lens", "covers")
    body = table(columns, rows, widths=(1.6, 4.6, 1.9, 1.9), width_mm=width, first_style="strong")
    return [heading("Positions", width_mm=width), *body]


def _duties(plan: Plan, stretch: Stretch, width: float) -> list[Block]:
    blocks = [heading(f"Who does what, {stretch.name.lower()}", width_mm=width)]
    rows, columns = duty_rows(plan, stretch), duty_columns(plan.match)
    if len(columns) == 3:  # one camera: two halves beside each other
        half = (width - COLUMN_GAP_MM) / 2
        middle = (len(rows) + 1) // 2
        halves = [
            stack(table(columns, part, widths=(5, 1, 1.3), width_mm=half)) for part in (rows[:middle], rows[middle:])
        ]
        blocks.append(beside(halves, gap_mm=COLUMN_GAP_MM))
    else:
        blocks += table(columns, rows, widths=DUTY_WIDTHS, width_mm=width)
        said = " ".join(duty_notes(plan.match, rows))
        blocks += [paragraph(said, width_mm=width, size_mm=2.5, style="quiet")] if said else []
    missed = missed_words(plan, stretch)
    said = f"Mostly missed by all: {', '.join(missed)}." if missed else "No kind of moment is mostly missed."
    return [*blocks, space(1.0), paragraph(said, width_mm=width, size_mm=2.7)]


def map_blocks(content: SheetContent, paper: Paper) -> list[Block]:
    """Lay out what the tones mean and the maps of every stretch, two beside each other; on one page if they fit."""
    column = (paper.inner_mm - COLUMN_GAP_MM) / 2
    panels = [map_panels(content.plan, stretch) for stretch in content.stretches]
    titles = [heading(f"Maps, {stretch.name.lower()}", width_mm=paper.inner_mm) for stretch in content.stretches]
    n_rows = sum((len(maps) + 1) // 2 for maps in panels)
    room = (paper.room_mm - KEY_HEIGHT_MM - sum(title.height_mm for title in titles)) / n_rows - MAP_TITLE_MM
    tallest = room if room >= LEAST_MAP_MM else TALLEST_MM
    height = ground_height_mm(plan_bounds(content.plan), column, most_mm=min(tallest, TALLEST_MM))
    blocks = [Block(paper.inner_mm, KEY_HEIGHT_MM, tuple(key_marks(0.0, 0.0)))]
    for title, maps in zip(titles, panels, strict=True):
        drawn = [_map_block(name, draw, column, height) for name, draw in maps]
        blocks += [title, *(beside(drawn[i : i + 2], gap_mm=COLUMN_GAP_MM) for i in range(0, len(drawn), 2))]
    return blocks


def _map_block(name: str, draw: Drawer, width: float, height: float) -> Block:
    title = paragraph(f"{name[:1].upper()}{name[1:]}", width_mm=width, size_mm=2.9)
    drawn = Block(width, MAP_TITLE_MM - title.height_mm + height, tuple(draw((0.0, 0.0, width, height))))
    return stack([title, drawn])
