"""The sheets on paper: one page for each operator, the lead's page with the lists of the day, and pocket cards."""

from __future__ import annotations

from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.pdf import pdf_bytes
from standmark.cli.sheet.content import SheetContent, start_words
from standmark.cli.sheet.follow_page import follow_parts
from standmark.cli.sheet.lead_page import lead_page
from standmark.cli.sheet.list_pages import list_blocks
from standmark.cli.sheet.operator_page import operator_page
from standmark.cli.sheet.paper import FIRST_WORD, PAPERS, Part, numbered, part_pages
from standmark.cli.sheet.pocket_card import card_pages
from standmark.cli.words.sheet_name import sheet_name


def sheet_files(content: SheetContent, *, paper: str = "a4") -> dict[str, bytes]:
    """Write every sheet as a PDF document: `sheet.pdf` for the lead, `sheet-A.pdf` for an operator, `cards.pdf`.

    Parameters
    ----------
    paper : "a4" or "letter"
    """
    title, size = content.plan.match.title, PAPERS[paper]
    files = {"sheet.pdf": pdf_bytes(sheet_pages(content, paper=paper), title=f"Crew sheet: {title}")}
    for answer in content.answers:
        page = operator_page(content, answer, size)
        files[operator_file(answer.name)] = pdf_bytes([page], title=f"Camera {answer.name}: {title}")
    files["cards.pdf"] = pdf_bytes(card_pages(content, size), title=f"Pocket cards: {title}")
    return files


def operator_file(camera: str) -> str:
    """Name of an operator's file."""
    return f"{sheet_name(camera)}.pdf"


def sheet_pages(content: SheetContent, *, paper: str = "a4") -> list[Picture]:
    """Lay out the lead's sheet: the first page, which is the operator's where one person does all, then the lists."""
    size, match = PAPERS[paper], content.plan.match
    is_alone = len(content.answers) == 1
    first = operator_page(content, content.answers[0], size) if is_alone else lead_page(content, size)
    parts = [*follow_parts(content, size), Part("Lists of the day", list_blocks(content, size))]
    start = f", {start_words(match)}" if match.start is not None else ""
    footer = f"{FIRST_WORD} {match.title}, {match.venue.name}{start}."
    return [first, *numbered([page for part in parts for page in part_pages(part, size, footer=footer)], size, after=1)]
