"""One sheet for each person of a tournament: the day line by line, where to stand, and the cautions of those places."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from standmark.cli.drawing.pdf import pdf_bytes
from standmark.cli.sheet.list_pages import caution_blocks, section_blocks
from standmark.cli.sheet.paper import FIRST_WORD, PAPERS, Part, numbered, part_pages
from standmark.cli.words.section import Section
from standmark.cli.words.tournament_words import caution_rows, missed_section, person_section
from standmark.cli.words.units import Units
from standmark.optimizer.day.cautions import DEFER
from standmark.optimizer.day.outing import Outing
from standmark.optimizer.day.tournament.roster import Roster
from standmark.optimizer.day.tournament.worth import Mix, Plans


def person_file(name: str) -> str:
    """Part of a file's name for a person; a name may hold anything."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-").lower() or "person"


def tournament_sheets(
    roster: Roster,
    plans: Plans,
    outings: Mapping[tuple[str, Mix], Outing],
    *,
    units: Units = Units.METRIC,
    paper: str = "a4",
) -> dict[str, bytes]:
    """Write a PDF document for each person, `sheet-NAME.pdf`, and one for the lead with all of them and the misses.

    Parameters
    ----------
    outings : of the matches that are filmed, for the cautions
    paper : "a4" or "letter"
    """
    day, size = roster.tournament, PAPERS[paper]
    footer = f"{FIRST_WORD} {day.title}, {day.date:%A} {day.date.day} {day.date:%B %Y}."
    files, all_days = {}, []
    for person in roster.people:
        name = day.members[person.member].name
        section = person_section(roster, person, plans, units=units)
        blocks = section_blocks(section, widths=(0.8, 0.8, 3, 6), width_mm=size.inner_mm)
        all_days += blocks
        rows = caution_rows(roster, person, outings)
        if rows:
            cautions = Section("cautions", "Cautions", ("hazard", "caution"), rows, warnings=(DEFER,))
            blocks = [*blocks, *caution_blocks(cautions, size.inner_mm)]
        pages = numbered(part_pages(Part(f"{name}: {day.title}", blocks), size, footer=footer), size)
        files[f"sheet-{person_file(name)}.pdf"] = pdf_bytes(pages, title=f"{name}: {day.title}")
    if roster.not_filmed:
        all_days += section_blocks(missed_section(roster), widths=(1, 2, 3, 6), width_mm=size.inner_mm)
    pages = numbered(part_pages(Part(f"Everybody: {day.title}", all_days), size, footer=footer), size)
    files["everybody.pdf"] = pdf_bytes(pages, title=f"Everybody: {day.title}")
    return files
