"""A titled table with notes: the form of settings and day, on the terminal and on the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from standmark.cli.words.lines import with_unit, wrapped

WIDTH = 80
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


def sections_text(sections: Iterable[Section], *, width: int = WIDTH) -> str:
    """Write sections as plain text, no line wider than so many letters."""
    return "\n".join("\n".join(section_lines(section, width=width)) for section in sections) + "\n"


def section_lines(section: Section, *, width: int = WIDTH) -> Iterator[str]:
    """Write one section, line by line."""
    yield section.title
    for warning in section.warnings:
        yield from wrapped(warning, width, first="  ! ", rest="    ")
    if section.rows:
        yield from _table(section, width)
    for note in section.notes:
        yield from wrapped(note, width, first="  - ", rest="    ")
    yield ""


def _table(section: Section, width: int) -> Iterator[str]:
    lines = (section.columns, *section.rows)
    widths = _widths(lines, width)
    for line in lines:
        cells = [wrapped(cell, wide) or [""] for cell, wide in zip(line, widths, strict=True)]
        for parts in zip_longest(*cells, fillvalue=""):
            told = "".join(part.ljust(wide + GAP) for part, wide in zip(parts, widths, strict=True))
            yield f"  {told}".rstrip()


def _widths(lines: Sequence[Sequence[str]], width: int) -> list[int]:
    """Widths of columns: the last one gives way first, then the widest, as far as their longest words let them."""
    columns = list(zip(*lines, strict=True))
    widths = [max(map(len, column)) for column in columns]
    least = [max(len(word) for cell in column for word in with_unit(cell).split(" ")) for column in columns]
    room = width - 2 - GAP * (len(widths) - 1)
    least[-1] = max(least[-1], min(24, widths[-1]))
    widths[-1] = max(least[-1], min(widths[-1], room - sum(widths[:-1])))
    while sum(widths) > room and widths != least:
        widest = max(range(len(widths)), key=lambda i: (widths[i] > least[i], widths[i]))
        widths[widest] -= 1
    return widths
