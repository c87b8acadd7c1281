"""The page of one camera and stretch: where to stand, what it sees there, what it must get, how it is set."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from standmark.cli.drawing.marks import Fill, Words, disc_ring, shifted
from standmark.cli.drawing.plan import ground_panel, panel_height_mm
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.sheet.blocks import (
    SMALL_MM,
    TEXT_MM,
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
    Post,
    SheetContent,
    Shot,
    missed_words,
    own_duties,
    second_words,
    settings_table,
)
from standmark.cli.sheet.paper import Paper
from standmark.cli.words.section import Section
from standmark.cli.words.units import Units
from standmark.optimizer.picture.stretch import Stretch
from standmark.optimizer.planning import Plan

GAP_MM = 5.0
TALLEST_MM = 62.0
FRAME_GAP_MM = 3.0
SETTINGS_WIDTHS = (3.2, 1.4, 1.6, 0.7, 2.1, 1.2, 0.8, 1.0, 1.2, 2.0)


def camera_blocks(content: SheetContent, post: Post, paper: Paper) -> list[Block]:
    """Lay out the page of one camera for a stretch of periods in which it stays."""
    plan, sections, stretch = content.plan, content.sections, post.stretch
    width, name = paper.inner_mm, post.assignment.camera
    camera = stretch.first.assignments.index(post.assignment)
    blocks = [
        _title(plan, camera, width),
        space(1.5),
        _post(plan, post, camera, width, content.units),
        space(1.0),
        _frames(post.shots, width),
        *_duties(plan, stretch, name, width),
        *_settings(sections, name, stretch, width),
        *_times(sections.get("times"), width),
    ]
    return [*blocks, *_cautions(sections.get(f"cautions-{name}"), width)]


def _title(plan: Plan, camera: int, width: float) -> Block:
    """Letter and name on the left, lines to write on at the right."""
    name = plan.match.cameras[camera].name
    room = 0.56 * width - 13.0
    said = Block(
        0.56 * width,
        10.5,
        (
            Fill(f"camera-{camera}", (disc_ring(5.0, 5.0, 5.0),)),
            Words("on-camera", 5.0, 7.3, name[:1], 6.4, "middle"),
            Words("strong", 13.0, 4.6, cut_mm(f"Camera {name}", 5.0, width_mm=room, is_bold=True), 5.0),
            Words(
                "quiet",
                13.0,
                9.3,
                cut_mm(f"{plan.match.title}, {plan.match.venue.name}", TEXT_MM, width_mm=room),
                TEXT_MM,
            ),
        ),
    )
    return beside([said, stack(blank_lines(("Operator", "Crew lead"), width_mm=0.44 * width, columns=1))], gap_mm=0.0)


def _post(plan: Plan, post: Post, camera: int, width: float, units: Units) -> Block:
    """Words on the left, plan on the right."""
    across = (width - GAP_MM) * 0.46
    said = [
        paragraph(post.when, width_mm=across, size_mm=3.4, style="strong"),
        *_told("stand", post.where, across),
        *_told("spot", post.coordinates, across),
        *_told("lens", post.lens, across),
        *_told("pan", post.pan, across),
        *_told("covers", post.covers, across),
        *_told("keep to it", post.drift, across),
        *_told("if refused", post.refused, across),
        *_told("why", post.why, across),
    ]
    drawn = width - GAP_MM - across
    height = panel_height_mm(plan, drawn, most_mm=TALLEST_MM)
    _, marks = ground_panel(plan, post.stretch, (0.0, 0.0, drawn, height), units=units, only=camera)
    return beside([stack(said), Block(drawn, height, tuple(marks))], gap_mm=GAP_MM)


def _told(label: str, text: str, width: float) -> list[Block]:
    if not text:
        return []
    return table(("", ""), [(label, text)], widths=(1, 5), width_mm=width, size_mm=2.6, first_style="quiet")


def _frames(shots: Sequence[Shot], width: float) -> Block:
    """Pictures beside each other, each with its numbers."""
    across = (width - FRAME_GAP_MM * (len(shots) - 1)) / len(shots)
    return stack([beside([_frame(shot, across) for shot in shots], gap_mm=FRAME_GAP_MM), space(1.5)])


def _frame(shot: Shot, across: float) -> Block:
    marks = shifted(shot.marks, (across - shot.width_mm) / 2, 0.0)
    words = paragraph(shot.caption, width_mm=across, size_mm=SMALL_MM)
    return stack([Block(across, shot.height_mm + 1.2, marks), words])


def _duties(plan: Plan, stretch: Stretch, name: str, width: float) -> list[Block]:
    half = (width - GAP_MM) / 2
    rows = own_duties(plan, stretch, name)
    middle = (len(rows) + 1) // 2
    is_alone = len(plan.match.cameras) == 1
    columns, widths = (("get", "captured"), (6.4, 1.1)) if is_alone else (("get", "captured", "how"), (4.4, 1.1, 2.0))
    halves = [
        stack(table(columns, part, widths=widths, width_mm=half)) for part in (rows[:middle], rows[middle:]) if part
    ]
    said = [second_words(plan, stretch, name)] if not is_alone else []
    missed = missed_words(plan, stretch, name)
    said.append(
        f"From here you mostly miss: {', '.join(missed)}." if missed else "From here no kind of moment is missed."
    )
    title = heading("What to get", width_mm=width)
    body = [beside(halves, gap_mm=GAP_MM)] if halves else []
    return [title, *body, *(paragraph(text, width_mm=width, size_mm=2.6) for text in said if text), space(1.0)]


def _settings(sections: Mapping[str, Section], name: str, stretch: Stretch, width: float) -> list[Block]:
    columns, rows, warnings = settings_table(sections, name, stretch)
    warned = bullets(warnings, width_mm=width, sign="!", style="strong", size_mm=SMALL_MM)
    title = heading("Settings", width_mm=width)
    return [title, *warned, *table(columns, rows, widths=SETTINGS_WIDTHS, width_mm=width, size_mm=2.35), space(1.0)]


def _times(section: Section | None, width: float) -> list[Block]:
    """Call times in one paragraph: a camera's page has room for no more."""
    if section is None or not section.rows:
        return []
    said = "  ·  ".join(f"{row[0]} {row[1].lower()}" for row in section.rows)
    return [heading(section.title, width_mm=width), paragraph(said, width_mm=width, size_mm=2.6)]


def _cautions(section: Section | None, width: float) -> list[Block]:
    """All cautions of this camera; the page goes on where one is not enough."""
    if section is None:
        return []
    texts = [f"{hazard[:1].upper()}{hazard[1:]}: {text.rsplit(' [', 1)[0]}" for hazard, text in section.rows]
    warned = bullets(section.warnings, width_mm=width, sign="!", style="strong", size_mm=SMALL_MM)
    return [heading(section.title, width_mm=width), *warned, *bullets(texts, width_mm=width, size_mm=SMALL_MM)]
