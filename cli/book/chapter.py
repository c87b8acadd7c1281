"""A run of pages painted into one PDF, which the book is bound from: fonts are put in once for many pages.

Numbers and the label of the edition are put on when the book is bound, so that pages outlive both.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from standmark.cli.book.job import archive
from standmark.cli.book.picture_file import read_pictures
from standmark.cli.drawing.pdf import pdf_bytes

PAGES = "pages.pdf"


@dataclass(frozen=True)
class Chapter:
    """Pages to paint."""

    pictures: tuple[bytes, ...]  # each the pages of one part, as `pictures_bytes` writes them
    program: str

    @property
    def key(self) -> str:
        """Name of the result: the same for the same pages."""
        digest = hashlib.sha256(f"chapter {self.program}".encode())
        for part in self.pictures:
            digest.update(hashlib.sha256(part).digest())
        return digest.hexdigest()


def do_chapter(chapter: Chapter) -> bytes:
    """Paint the pages of a chapter; returns an archive with the PDF."""
    pages = [page for part in chapter.pictures for page in read_pictures(part)]
    return archive({PAGES: pdf_bytes(pages, title="")})
