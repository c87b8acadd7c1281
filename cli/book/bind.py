"""The book for print: chapters painted by the crew, bound into volumes with an outline."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import cast

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, StreamObject

from standmark.cli.book.chapter import PAGES, Chapter, do_chapter
from standmark.cli.book.contents import Contents, IndexLine
from standmark.cli.book.editions import EditionChange
from standmark.cli.book.engine import Crew, JobOutcome, run_jobs
from standmark.cli.book.front import (
    change_pages,
    failure_pages,
    index_pages,
    label_words,
    standard_pages,
    title_pages,
)
from standmark.cli.book.job import SHEET
from standmark.cli.book.picture_file import pictures_bytes
from standmark.cli.book.progress import Progress
from standmark.cli.book.sheet import NUMBER_MM
from standmark.cli.book.store import Store
from standmark.cli.drawing.marks import Picture, Words
from standmark.cli.drawing.pdf import pdf_bytes
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.sheet.blocks import SMALL_MM
from standmark.cli.sheet.paper import CONTINUED, MARGIN_MM, Paper
from standmark.cli.words.units import Units
from standmark.geometry.errors import OutputError

PARTS_A_CHAPTER = 40  # grounds, or pages before them: enough to share fonts, few enough to hold and to send
GROUNDS_A_VOLUME = 1000  # a volume is held in memory while it is bound

Bookmark = tuple[str, int]  # words, page from 0


def volume_names(n_grounds: int) -> list[str]:
    """Names of the PDF files of a book."""
    n = max(1, -(-n_grounds // GROUNDS_A_VOLUME))
    return ["book.pdf"] if n == 1 else [f"book-{i + 1}.pdf" for i in range(n)]


def bind_book(
    book: Contents,
    front: Sequence[Picture],
    store: Store,
    crew: Crew,
    progress: Progress,
    *,
    program: str,
    paper: Paper,
    earlier: Store | None = None,
) -> Iterator[tuple[str, bytes, list[str]]]:
    """Paint and bind the book, volume by volume.

    Parameters
    ----------
    front : pages before the first ground, see `front_pages`
    earlier : results of an earlier edition, whose chapters serve again where they are the same

    Returns
    -------
    of each volume its file's name, its bytes, and the keys of its chapters, which are kept for the next time
    """
    names = volume_names(len(book.lines))
    n_chapters = -(-len(front) // PARTS_A_CHAPTER) + sum(
        -(-min(len(book.lines) - first, GROUNDS_A_VOLUME) // PARTS_A_CHAPTER)
        for first in range(0, len(book.lines), GROUNDS_A_VOLUME)
    )
    progress.begin("chapters of the PDF", n_chapters)
    for number, name in enumerate(names):
        lines = book.lines[number * GROUNDS_A_VOLUME : (number + 1) * GROUNDS_A_VOLUME]
        title = book.standard.name if len(names) == 1 else f"{book.standard.name}, volume {number + 1}"
        pages = list(front) if number == 0 else []
        keys = _paint(_chapters(pages, lines, store, program), store, crew, progress, earlier=earlier)
        marks = list(_bookmarks(pages, lines))
        label = label_words(book.standard)
        yield name, _bind(keys, store, title, marks, label=label, paper=paper), keys


def front_pages(
    book: Contents, changes: Iterable[EditionChange], *, since: str | None, paper: Paper, units: Units
) -> list[Picture]:
    """Lay out everything before the first ground, with the page of each ground in the index."""
    before = [*title_pages(book, paper, since=since), *standard_pages(book, paper, units)]
    after = failure_pages(book, paper)
    if since is not None:
        after += change_pages(book, paper, changes, since=since)
    n_index = len(index_pages(book, paper, ["0"] * len(book.lines)))
    pages = page_numbers(book.lines, first=len(before) + n_index + len(after) + 1)
    return [*before, *index_pages(book, paper, pages), *after]


def page_numbers(lines: Sequence[IndexLine], *, first: int) -> list[str]:
    """Page on which each ground begins, with its volume from the second on."""
    said = []
    page = first
    for index, line in enumerate(lines):
        volume, place = divmod(index, GROUNDS_A_VOLUME)
        page = 1 if place == 0 and volume else page
        said.append(f"{page}" if volume == 0 else f"vol. {volume + 1}, {page}")
        page += line.pages
    return said


def _chapters(front: Sequence[Picture], lines: Sequence[IndexLine], store: Store, program: str) -> Iterator[Chapter]:
    parts = iter(front)
    while pages := list(islice(parts, PARTS_A_CHAPTER)):
        yield Chapter((pictures_bytes(pages),), program)
    rest = iter(lines)
    while some := list(islice(rest, PARTS_A_CHAPTER)):
        yield Chapter(tuple(store.file(line.key, SHEET) for line in some), program)


def _paint(
    chapters: Iterator[Chapter], store: Store, crew: Crew, progress: Progress, *, earlier: Store | None
) -> list[str]:
    """Paint the chapters that are not in the store yet; gives the keys of all, in order."""
    keys: list[str] = []

    def missing() -> Iterator[Chapter]:
        """Chapters that are not in the store, one by one."""
        for chapter in chapters:
            keys.append(chapter.key)
            if earlier is not None:
                store.take_over(earlier, [chapter.key], is_sound=_holds_pages)
            if store.has(chapter.key) and store.is_sound(chapter.key, _holds_pages):
                progress.step()
            else:
                yield chapter

    def keep(outcome: JobOutcome[Chapter]) -> None:
        """Put a painted chapter into the store."""
        if outcome.content is None:
            raise OutputError(
                f"book.pdf: a chapter could not be painted ({outcome.reason}); run the same command again"
            )
        store.put(outcome.job.key, outcome.content)
        progress.step()

    run_jobs(missing(), do_chapter, crew, on_done=keep)
    return keys


def _holds_pages(_key: str, files: dict[str, bytes]) -> bool:
    return files.get(PAGES, b"").startswith(b"%PDF-")


def _feet(n_pages: int, label: str, paper: Paper) -> PdfReader:
    """Paint the foot of every page: the label of the standard, and its number, in fonts with names of their own."""
    y = paper.height_mm - NUMBER_MM
    left = Words("quiet", MARGIN_MM, y, cut_mm(label, SMALL_MM, width_mm=paper.inner_mm - 30.0), SMALL_MM)
    pages = []
    for index in range(n_pages):
        number = Words("text", paper.width_mm - MARGIN_MM, y, f"{index + 1}", SMALL_MM, "end")
        pages.append(Picture(paper.width_mm, paper.height_mm, (left, number), "", ""))
    return PdfReader(io.BytesIO(pdf_bytes(pages, title="", fonts="Foot")))


def _bind(
    keys: Sequence[str],
    store: Store,
    title: str,
    bookmarks: Sequence[Bookmark],
    *,
    label: str,
    paper: Paper,
) -> bytes:
    """Put chapters together.

    Parameters
    ----------
    label : goes to the foot of every page
    """
    writer = PdfWriter()
    for key in keys:
        for page in PdfReader(io.BytesIO(store.file(key, PAGES))).pages:
            writer.add_page(page)
    feet = _feet(len(writer.pages), label, paper)
    _lay_over(writer, feet)
    for words, page_index in bookmarks:
        writer.add_outline_item(title=words, page_number=page_index)
    writer.add_metadata({"/Title": title, "/Creator": "standmark"})
    buffer = io.BytesIO()
    writer.write(buffer)
    return buffer.getvalue()


def _lay_over(writer: PdfWriter, feet: PdfReader) -> None:
    """Lay a foot over every page, as a stream after its own, which is left as it is (ISO 32000-1, 7.8.2).

    The names of the fonts of both differ.
    """
    save, restore = (writer._add_object(_stream(operator)) for operator in (b"q", b"Q"))
    for page, foot in zip(writer.pages, feet.pages, strict=True):
        fonts = _fonts(page)
        for name, font in _fonts(foot).items():
            if name not in fonts:
                fonts[NameObject(name)] = font.clone(writer)
        laid = cast(StreamObject, foot["/Contents"]).clone(writer)
        page[NameObject("/Contents")] = ArrayObject([save, page.raw_get("/Contents"), restore, laid.indirect_reference])


def _fonts(page: PageObject) -> DictionaryObject:
    """Fonts of a page by their names, which other pages may share."""
    resources = cast(DictionaryObject, page["/Resources"])
    return cast(DictionaryObject, resources.setdefault(NameObject("/Font"), DictionaryObject()).get_object())


def _stream(content: bytes) -> StreamObject:
    stream = StreamObject()
    stream.set_data(content)
    return stream


def _bookmarks(front: Sequence[Picture], lines: Sequence[IndexLine]) -> Iterator[Bookmark]:
    for index, page in enumerate(front):
        if not page.title.endswith(CONTINUED):
            yield page.title, index
    index = len(front)
    for line in lines:
        yield f"{line.code} {line.name}", index
        index += line.pages
