"""The sheet on paper: pages for the crew lead, then one for each camera and place it takes."""

from __future__ import annotations

from collections.abc import Sequence

from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.pdf import pdf_bytes
from standmark.cli.drawing.scene import match_scene
from standmark.cli.sheet.camera_page import camera_blocks
from standmark.cli.sheet.content import sheet_sections, start_words
from standmark.cli.sheet.lead_page import lead_blocks
from standmark.cli.sheet.paper import PAPERS, Part, numbered, part_pages
from standmark.cli.units import Units
from standmark.optimizer.plan import Plan
from standmark.optimizer.stretch import Stretch


def sheet_pdf(plan: Plan, stretches: Sequence[Stretch], *, paper: str = "a4", units: Units = Units.METRIC) -> bytes:
    """Write the sheet as a PDF document of A4 or Letter pages."""
    pages = sheet_pages(plan, stretches, paper=paper, units=units)
    return pdf_bytes(pages, title=f"Crew sheet: {plan.match.title}")


def sheet_pages(
    plan: Plan, stretches: Sequence[Stretch], *, paper: str = "a4", units: Units = Units.METRIC
) -> list[Picture]:
    """Lay out all pages of the sheet.

    Parameters
    ----------
    paper : "a4" or "letter"
    """
    size, sections, scene = PAPERS[paper], sheet_sections(plan, units), match_scene(plan.match)
    parts = [Part("Crew lead", lead_blocks(plan, stretches, sections, size, units))]
    for index, camera in enumerate(plan.match.cameras):
        for stretch in stretches:
            blocks = camera_blocks(plan, stretch, sections, scene, camera=index, paper=size, units=units)
            parts.append(Part(f"Camera {camera.name}, {stretch.name.lower()}", blocks))
    start = f", {start_words(plan.match)}" if plan.match.start is not None else ""
    footer = f"{plan.match.title}, {plan.match.venue.name}{start}. The venue and the officials go before this sheet."
    return numbered([page for part in parts for page in part_pages(part, size, footer=footer)], size)
