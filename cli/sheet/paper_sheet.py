"""The sheet on paper: pages for the crew lead, then one for each camera and place it takes."""

from __future__ import annotations

from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.pdf import pdf_bytes
from standmark.cli.sheet.camera_page import camera_blocks
from standmark.cli.sheet.content import SheetContent, start_words
from standmark.cli.sheet.lead_page import lead_blocks, map_blocks
from standmark.cli.sheet.paper import PAPERS, Part, numbered, part_pages


def sheet_pdf(content: SheetContent, *, paper: str = "a4") -> bytes:
    """Write the sheet as a PDF document.

    Parameters
    ----------
    paper : "a4" or "letter"
    """
    return pdf_bytes(sheet_pages(content, paper=paper), title=f"Crew sheet: {content.plan.match.title}")


def sheet_pages(content: SheetContent, *, paper: str = "a4") -> list[Picture]:
    """Lay out all pages of the sheet."""
    size, match = PAPERS[paper], content.plan.match
    parts = [Part("Crew lead", lead_blocks(content, size)), Part("Maps", map_blocks(content, size))]
    parts += [
        Part(f"Camera {post.assignment.camera}, {post.when.lower()}", camera_blocks(content, post, size))
        for posts in content.posts
        for post in posts
    ]
    start = f", {start_words(match)}" if match.start is not None else ""
    footer = f"{match.title}, {match.venue.name}{start}. The venue and the officials go before this sheet."
    return numbered([page for part in parts for page in part_pages(part, size, footer=footer)], size)
