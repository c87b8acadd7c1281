"""A run of pages painted into one PDF, which the book is bound from: fonts are put in once for many pages."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace

from standmark.cli.book.job import archive
from standmark.cli.book.picture_file import read_pictures
from standmark.cli.drawing.marks import Picture, Words
from standmark.cli.drawing.pdf import pdf_bytes
from standmark.cli.sheet.blocks import SMALL_MM
from standmark.cli.sheet.paper import MARGIN_MM

PAGES = "pages.pdf"
NUMBER_MM = 7.5  # from the lower edge: what most printers can still print


@dataclass(frozen=True)
class Chapter:
    """Pages to paint."""

    title: str
    first_page: int  # its number in the volume
    pictures: tuple[bytes, ...]  # each the pages of one part, as `pictures_bytes` writes them
    program: str

    @property
    def key(self) -> str:
        """Name of the result: the same for the same pages."""
        digest = hashlib.sha256(f"chapter {self.program} {self.first_page} {self.title}".encode())
        for part in self.pictures:
            digest.update(hashlib.sha256(part).digest())
        return digest.hexdigest()


def do_chapter(chapter: Chapter) -> bytes:
    """Paint the pages of a chapter; returns an archive with the PDF."""
    pages = [page for part in chapter.pictures for page in read_pictures(part)]
    numbered = [_numbered(page, number) for number, page in enumerate(pages, start=chapter.first_page)]
    return archive({PAGES: pdf_bytes(numbered, title=chapter.title)})


def _numbered(page: Picture, number: int) -> Picture:
    """Write the number at the foot, under everything else."""
    mark = Words("text", page.width_mm - MARGIN_MM, page.height_mm - NUMBER_MM, f"{number}", SMALL_MM, "end")
    return replace(page, marks=(*page.marks, mark))
