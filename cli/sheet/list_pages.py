"""Pages after the first for whoever leads the crew: what to decide, pack and check, and where facts come from."""

from __future__ import annotations

from collections.abc import Sequence

from standmark.cli.sheet.blocks import SMALL_MM, Block, blank_lines, bullets, heading, paragraph, stack, table
from standmark.cli.sheet.content import SheetContent
from standmark.cli.sheet.paper import Paper
from standmark.cli.words.crew_words import contacts_of
from standmark.cli.words.section import Section


def list_blocks(content: SheetContent, paper: Paper) -> list[Block]:
    """Lay out the lists of the day."""
    width, sections = paper.inner_mm, content.sections
    blocks = section_blocks(sections.get("decisions"), widths=(1,), width_mm=width)
    blocks += section_blocks(sections.get("times"), widths=(1, 2.6, 8), width_mm=width)
    blocks += section_blocks(sections.get("joint"), widths=(2, 1, 8), width_mm=width)
    blocks += section_blocks(sections.get("wrong"), widths=(2, 9), width_mm=width)
    blocks += section_blocks(sections.get("dates"), widths=(2, 2.6, 7), width_mm=width)
    for key in ("before", "access", "welfare"):
        blocks += section_blocks(sections.get(key), widths=(1,), width_mm=width)
    blocks += section_blocks(sections.get("kit"), widths=(1.3, 0.9, 3.4, 4.4), width_mm=width)
    contacts = contacts_of(content.plan.match)
    blocks += [heading("Contacts", width_mm=width), stack(blank_lines(contacts, width_mm=width))]
    return [*blocks, *caution_blocks(sections.get("cautions"), width)]


def section_blocks(section: Section | None, *, widths: Sequence[float], width_mm: float) -> list[Block]:
    """Lay out a section of settings or day: title, warnings, table, notes."""
    if section is None:
        return []
    blocks = [heading(section.title, width_mm=width_mm)]
    blocks += bullets(section.warnings, width_mm=width_mm, sign="!", style="strong")
    if section.rows:
        blocks += table(section.columns, section.rows, widths=widths, width_mm=width_mm)
    return [*blocks, *bullets(section.notes, width_mm=width_mm)]


def caution_blocks(section: Section | None, width: float) -> list[Block]:
    """End note: the cautions in full with the source of each."""
    if section is None:
        return []
    numbers: dict[str, int] = {}
    rows = []
    for hazard, words in section.rows:
        said, _, source = words.rpartition(" [")
        number = numbers.setdefault(source.removesuffix("]"), len(numbers) + 1)
        rows.append((hazard, f"{said} ({number})"))
    blocks = [heading("Cautions", width_mm=width), *bullets(section.warnings, width_mm=width, sign="!", style="strong")]
    blocks += table(("", ""), rows, widths=(2, 8), width_mm=width)
    notes = "  ".join(f"({number}) {source}." for source, number in numbers.items())
    return [*blocks, heading("Sources", width_mm=width), paragraph(notes, width_mm=width, size_mm=SMALL_MM)]
