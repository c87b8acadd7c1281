"""The paper font inside pages and pictures: only the letters that they use, so that they look alike everywhere."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

from standmark.cli.drawing.marks import Mark, Words
from standmark.cli.drawing.palette import STYLES
from standmark.cli.drawing.text_size import FAMILY, FOLDER

Letters = dict[bool, str]  # is bold -> letters used, sorted

# Sets of letters for which a font lies ready, small ones first: English with its signs, European languages as well
ENGLISH = "".join(map(chr, (*range(0x20, 0x7F), 0xA0, 0xB0, 0xB7, 0xBD, 0xD7, 0x2013, 0x2014, 0x2019, 0x2026)))
EUROPEAN = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA1, 0x180), 0x2013, 0x2014, 0x2019, 0x201C, 0x201D, 0x2026)))
READY = {"English": ENGLISH, "European": EUROPEAN}


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
    data = base64.b64encode(_font_data(is_bold, letters)).decode("ascii")
    weight = 700 if is_bold else 400
    return (
        f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};'
        f'src:url("data:font/woff;base64,{data}") format("woff")}}'
    )


def ready_file(name: str, is_bold: bool) -> Path:
    """Where a font that lies ready is kept."""
    return FOLDER / f"{name}-{'Bold' if is_bold else 'Regular'}.woff"


def _font_data(is_bold: bool, letters: str) -> bytes:
    """Font file that holds some letters: one that lies ready, or else one cut for them."""
    for name, held in READY.items():
        if set(letters) <= set(held):
            return ready_file(name, is_bold).read_bytes()
    from standmark.cli.drawing.font_subset import subset

    return subset(is_bold, letters)
