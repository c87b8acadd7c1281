"""The pages before the grounds: how codes work, the map, the standard, the index, what failed, what changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from standmark.cli.book.contents import Contents, code_example, pins, shared_names
from standmark.cli.book.editions import EditionChange
from standmark.cli.book.league_map import chart_marks, league_chart
from standmark.cli.book.site import RoleRow, role_rows
from standmark.cli.book.words import CODE_WORDS, DIRECTION_WORDS, FRAME_WORDS
from standmark.cli.drawing.marks import Fill, Mark, Picture, Words, disc_ring
from standmark.cli.drawing.text_size import text_width_mm
from standmark.cli.sheet.blocks import SMALL_MM, Block, bullets, heading, paragraph, space, stack, table
from standmark.cli.sheet.paper import CONTINUED, Paper, Part, part_pages
from standmark.cli.words.lines import counted
from standmark.cli.words.summary import CAUTION
from standmark.cli.words.units import Units
from standmark.optimizer.standard.standard import Standard

PIN_WORDS = ("has every position the standard needs", "a position falls short")
LEGEND_MM = 5.0
LEAST_CHART_MM = 80.0
GAP_MM = 2.5


def title_pages(book: Contents, paper: Paper, *, since: str | None) -> list[Picture]:
    """Say what the book is, how its codes work, and where its grounds lie."""
    standard, width = book.standard, paper.inner_mm
    n_short, n_failed = book.n_short_grounds, len(book.failures)
    facts = (
        f"Edition {standard.edition}. {counted(len(book.lines), 'ground')}, {counted(book.n_positions, 'position')}. "
    )
    facts += f"At {counted(n_short, 'ground')} a position the standard needs falls short."
    if n_failed:
        them = "it is listed with its reasons" if n_failed == 1 else "they are listed with their reasons"
        facts += f" {counted(n_failed, 'file')} could not be used; {them}."
    if since is not None:
        facts += f" What changed since {since} comes before the first ground."
    blocks = [
        paragraph("Position book", width_mm=width, size_mm=4.6, style="quiet"),
        paragraph(standard.name, width_mm=width, size_mm=8.0, style="strong"),
        space(GAP_MM),
        paragraph(facts, width_mm=width),
        space(GAP_MM),
        heading("How to read a code", width_mm=width),
        paragraph(f"{CODE_WORDS} {code_example(book)}", width_mm=width),
        space(GAP_MM),
        heading("Directions and places", width_mm=width),
        paragraph(f"{DIRECTION_WORDS} {FRAME_WORDS}", width_mm=width),
        space(GAP_MM),
        paragraph(CAUTION, width_mm=width, size_mm=SMALL_MM, style="quiet"),
        space(GAP_MM),
    ]
    placed = list(pins(book.lines))
    room_mm = paper.room_mm - sum(block.height_mm for block in blocks) - LEGEND_MM
    if placed:
        chart = league_chart(placed, width_mm=width, most_mm=max(room_mm, LEAST_CHART_MM))
        blocks += [Block(width, chart.picture.height_mm, tuple(chart_marks(chart))), _legend(width)]
    return part_pages(Part(f"Position book: {standard.name}", blocks), paper, footer="")


def standard_pages(book: Contents, paper: Paper, units: Units) -> list[Picture]:
    """Say what every role asks for, and how it fares over the league."""
    roles = (_role_block(row, paper.inner_mm) for row in role_rows(book, units))
    return _pages("The standard", roles, book, paper)


def index_pages(book: Contents, paper: Paper, page_of: Sequence[str]) -> list[Picture]:
    """List the grounds.

    Parameters
    ----------
    page_of : what stands for the page of each ground
    """
    shared = shared_names(book.lines)
    rows = [
        (
            line.code,
            f"{line.name} ({line.path})" if line.name in shared else line.name,
            line.sport,
            f"{line.n_met} of {line.n_positions}",
            ", ".join(line.short),
            page,
        )
        for line, page in zip(book.lines, page_of, strict=True)
    ]
    columns = ("Code", "Ground", "Sport", "Meets", "Needed, short", "Page")
    widths = (2.0, 7.0, 4.0, 1.6, 2.4, 1.6)
    head, *lines = table(columns, rows, widths=widths, width_mm=paper.inner_mm, first_style="strong")
    return _pages("Grounds", lines, book, paper, head=[head])


def failure_pages(book: Contents, paper: Paper) -> list[Picture]:
    """List the files that could not be used, with their reasons."""
    width = paper.inner_mm
    blocks = [
        stack([paragraph(f.path, width_mm=width, style="strong"), *bullets(f.own_reasons, width_mm=width), _GAP])
        for f in book.failures
    ]
    return _pages("Not in the book", blocks, book, paper) if blocks else []


def change_pages(book: Contents, paper: Paper, changes: Iterable[EditionChange], *, since: str) -> list[Picture]:
    """List what changed since an earlier edition, and why."""
    blocks = [_change_block(change, paper.inner_mm) for change in changes]
    none = paragraph("Nothing changed.", width_mm=paper.inner_mm)
    return _pages(f"What changed since {since}", blocks or [none], book, paper)


_GAP = space(GAP_MM)


def _role_block(row: RoleRow, width: float) -> Block:
    needed = "" if row.needed else " (where a ground has it)"
    parts = [paragraph(f"{row.codes}  {row.name}{needed}", width_mm=width, style="strong")]
    parts.append(paragraph(row.purpose, width_mm=width))
    parts += bullets(row.wishes, width_mm=width)
    counts = (f"{c.code}: {c.n_filled} of {c.n_grounds} grounds have a place, {c.n_met} meet it" for c in row.counts)
    parts.append(paragraph("; ".join(counts), width_mm=width, style="quiet"))
    return stack([*parts, _GAP])


def _change_block(change: EditionChange, width: float) -> Block:
    words = paragraph(f"{change.code}  {change.words}", width_mm=width, style="strong")
    return stack([words, *bullets(change.reasons, width_mm=width), _GAP])


def _pages(
    title: str, blocks: Iterable[Block], book: Contents, paper: Paper, *, head: Sequence[Block] = ()
) -> list[Picture]:
    """Lay blocks under a title.

    Parameters
    ----------
    head : stands over the blocks on every page
    """
    width = paper.inner_mm
    first = paragraph(title, width_mm=width, size_mm=5.0, style="strong")
    later = paragraph(f"{title}{CONTINUED}", width_mm=width, size_mm=3.6, style="strong")
    part = Part(title, [first, _GAP, *head, *blocks], again=[later, _GAP, *head])
    return part_pages(part, paper, footer="")


def _legend(width: float) -> Block:
    """What the pins of the map mean."""
    marks: list[Mark] = []
    x = 1.2
    for style, words in zip(("position", "position-short"), PIN_WORDS, strict=True):
        marks.append(Fill(style, (disc_ring(x, 2.2, 1.1, points=24),)))
        marks.append(Words("text", x + 2.2, 3.1, words, SMALL_MM))
        x += 2.2 + text_width_mm(words, SMALL_MM) + 6.0
    return Block(width, LEGEND_MM, tuple(marks))


def label_words(standard: Standard) -> str:
    """Name a standard and its edition, as at the foot of every page."""
    return f"{standard.name}, edition {standard.edition}"
