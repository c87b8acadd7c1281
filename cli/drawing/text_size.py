"""How wide a line of text is and where it breaks, measured with the font that is drawn on paper.

The font is Atkinson Hyperlegible Next, which lies beside this file with its licence. What it lacks (Greek, Cyrillic
and other scripts) is drawn with DejaVu Sans, letter by letter.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from pathlib import Path
from threading import Lock
from typing import Any, cast

import matplotlib.font_manager as fonts
from matplotlib.ft2font import FT2Font, LoadFlags

from standmark.cli.words.lines import with_unit

FAMILY = "Atkinson Hyperlegible Next"
FALLBACK = "DejaVu Sans"
FOLDER = Path(__file__).parent / "fonts"
_MEASURED_PT = 64.0
_ONE_AT_A_TIME = Lock()  # a font holds one glyph at a time


def text_width_mm(text: str, size_mm: float, *, is_bold: bool = False) -> float:
    """Width of a line of text at a font height [mm]."""
    return _width_em(text, is_bold) * size_mm


def wrap_mm(text: str, size_mm: float, *, width_mm: float, is_bold: bool = False) -> list[str]:
    """Break a text into lines that fit a width; a word wider than a whole line is broken inside."""
    lines: list[str] = []
    line = ""
    for word in with_unit(text).split(" "):
        for piece in _pieces(word, size_mm, width_mm, is_bold):
            longer = f"{line} {piece}" if line else piece
            if line and text_width_mm(longer, size_mm, is_bold=is_bold) > width_mm:
                lines.append(line)
                longer = piece
            line = longer
    return [*lines, line] if line else lines


def cut_mm(text: str, size_mm: float, *, width_mm: float, is_bold: bool = False) -> str:
    """Shorten a text to a width, with an ellipsis where something is lost."""
    if text_width_mm(text, size_mm, is_bold=is_bold) <= width_mm:
        return text
    while text and text_width_mm(text + "…", size_mm, is_bold=is_bold) > width_mm:
        text = text[:-1]
    return text.rstrip() + "…"


def missing_letters(text: str) -> str:
    """Characters that the paper font does not hold, each once, in order of appearance."""
    known = (_char_map(False, False), _char_map(False, True))
    lacks = (c for c in text if not c.isspace() and not any(ord(c) in letters for letters in known))
    return "".join(dict.fromkeys(lacks))


def _pieces(word: str, size_mm: float, width_mm: float, is_bold: bool) -> list[str]:
    if text_width_mm(word, size_mm, is_bold=is_bold) <= width_mm:
        return [word]
    pieces, piece = [], ""
    for letter in word:
        if piece and text_width_mm(piece + letter, size_mm, is_bold=is_bold) > width_mm:
            pieces.append(piece)
            piece = ""
        piece += letter
    return [*pieces, piece]


def glyph_index(letter: str, is_bold: bool) -> int:
    """Number of a letter's glyph in the font that draws it; 0 where neither font holds it."""
    return _char_map(is_bold, is_fallback(letter, is_bold)).get(ord(letter), 0)


def is_fallback(letter: str, is_bold: bool) -> bool:
    """Is a letter drawn with the second font, because the first one lacks it."""
    return ord(letter) not in _char_map(is_bold, False)


def font_runs(text: str, is_bold: bool) -> list[tuple[bool, str]]:
    """Cut a text into runs of one font: whether it is the second one, and the letters."""
    return [(key, "".join(run)) for key, run in groupby(text, key=lambda letter: is_fallback(letter, is_bold))]


@lru_cache(maxsize=20_000)
def glyph_advance_em(letter: str, is_bold: bool) -> float:
    """Width that a letter takes, in shares of the font height; kerning is left out everywhere."""
    index, second = glyph_index(letter, is_bold), is_fallback(letter, is_bold)
    with _ONE_AT_A_TIME:
        glyph = _font(is_bold, second).load_glyph(cast(Any, index), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance / 65536.0 / _MEASURED_PT)


@lru_cache(maxsize=4)
def font_file(is_bold: bool, second: bool = False) -> str:
    """Path of a font file, of the first font or of the second."""
    if second:
        return fonts.findfont(fonts.FontProperties(family=FALLBACK, weight="bold" if is_bold else "normal"))
    return str(FOLDER / f"AtkinsonHyperlegibleNext-{'Bold' if is_bold else 'Regular'}.ttf")


@lru_cache(maxsize=2)
def font_properties(is_bold: bool) -> fonts.FontProperties:
    """Both fonts as matplotlib asks for them."""
    known = {entry.fname for entry in fonts.fontManager.ttflist}
    for weight in (False, True):
        if font_file(weight) not in known:
            fonts.fontManager.addfont(font_file(weight))
    return fonts.FontProperties(family=[FAMILY, FALLBACK], weight="bold" if is_bold else "normal")


@lru_cache(maxsize=20_000)
def _width_em(text: str, is_bold: bool) -> float:
    return sum(glyph_advance_em(letter, is_bold) for letter in text)


@lru_cache(maxsize=4)
def _font(is_bold: bool, second: bool) -> FT2Font:
    """Font of our own: the one that matplotlib keeps changes its size whenever it draws."""
    font = FT2Font(font_file(is_bold, second))
    font.set_size(_MEASURED_PT, 72)
    return font


@lru_cache(maxsize=4)
def _char_map(is_bold: bool, second: bool) -> dict[int, int]:
    with _ONE_AT_A_TIME:
        return dict(_font(is_bold, second).get_charmap())
