"""The paper font inside pages and pictures: only the letters that they use, so that they look alike everywhere."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterable
from functools import lru_cache

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from standmark.cli.drawing.marks import Mark, Words
from standmark.cli.drawing.palette import STYLES
from standmark.cli.drawing.text_size import FAMILY, font_file

Letters = dict[bool, str]  # is bold -> letters used, sorted


def picture_letters(marks: Iterable[Mark]) -> Letters:
    """Letters that some marks use, plain and bold."""
    used: dict[bool, set[str]] = {False: set(), True: set()}
    for mark in marks:
        if isinstance(mark, Words):
            used[STYLES[mark.style].is_bold].update(mark.text)
    return {is_bold: "".join(sorted(letters)) for is_bold, letters in used.items()}


def font_faces(letters: Letters) -> str:
    """Rules of a style sheet that hold the font's letters; none where no letter is used."""
    return "".join(_font_face(is_bold, used) for is_bold, used in letters.items() if used.strip())


@lru_cache(maxsize=64)
def _font_face(is_bold: bool, letters: str) -> str:
    data = base64.b64encode(_subset(is_bold, letters)).decode("ascii")
    weight = 700 if is_bold else 400
    return (
        f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};'
        f'src:url("data:font/woff;base64,{data}") format("woff")}}'
    )


def _subset(is_bold: bool, letters: str) -> bytes:
    """Font file in WOFF (W3C) with no more than some letters; the same bytes for the same letters."""
    options = Options(layout_features=[], notdef_outline=True, recalc_timestamp=False, flavor="woff", hinting=False)
    font = TTFont(font_file(is_bold), recalcTimestamp=False)
    subsetter = Subsetter(options)
    subsetter.populate(text=letters)
    subsetter.subset(font)
    font.flavor = "woff"
    buffer = io.BytesIO()
    font.save(buffer, reorderTables=True)
    return buffer.getvalue()
