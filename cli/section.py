"""A titled table with notes: what settings and day are told in, on the terminal and on the sheet."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

WIDTH = 100
GAP = 2


@dataclass(frozen=True)
class Section:
    """One part of a report; rows are as wide as columns, texts hold no line breaks."""

    key: str  # unique within a report, lower case with hyphens
    title: str
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def sections_text(sections: Iterable[Section]) -> str:
    """Write sections as plain text."""
    return "\n".join("\n".join(section_lines(section)) for section in sections) + "\n"


def section_lines(section: Section) -> Iterator[str]:
    """Write one section, line by line."""
    yield section.title
    for warning in section.warnings:
        yield from textwrap.wrap(warning, WIDTH, initial_indent="  ! ", subsequent_indent="    ")
    if section.rows:
        yield from _table(section)
    for note in section.notes:
        yield from textwrap.wrap(note, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    yield ""


def _table(section: Section) -> Iterator[str]:
    lines = (section.columns, *section.rows)
    widths = [max(len(line[index]) for line in lines) for index in range(len(section.columns))]
    indent = 2 + sum(widths[:-1]) + GAP * (len(widths) - 1)
    for line in lines:
        head = "  " + "".join(cell.ljust(width + GAP) for cell, width in zip(line[:-1], widths[:-1], strict=True))
        last = textwrap.wrap(line[-1], max(WIDTH - indent, 24)) or [""]
        yield (head + last[0]).rstrip()
        yield from (" " * indent + rest for rest in last[1:])
