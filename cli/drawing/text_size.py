"""How wide a line of text is and where it breaks, measured with the font that is drawn on paper.

The font is Atkinson Hyperlegible Next, which lies beside this file with its licence. What it lacks (Greek, Cyrillic
and other scripts) is drawn with DejaVu Sans, letter by letter.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from itertools import groupby, repeat
from pathlib import Path

from reportlab.pdfbase.ttfonts import TTFont

from standmark.cli.words.lines import with_unit

FAMILY = "Atkinson Hyperlegible Next"
FALLBACK = "DejaVu Sans"
FONTS = {
    (False, False): "AtkinsonHyperlegibleNext-Regular",
    (True, False): "AtkinsonHyperlegibleNext-Bold",
    (False, True): "DejaVuSans",
    (True, True): "DejaVuSans-Bold",
}  # bold, second font
FOLDER = Path(__file__).parent / "fonts"


def text_width_mm(text: str, size_mm: float, *, is_bold: bool = False) -> float:
    """Width of a line of text at a font height [mm]."""
    return _width_em(text, is_bold) * size_mm


def wrap_mm(text: str, size_mm: float, *, width_mm: float, is_bold: bool = False) -> list[str]:
    """Break a text into lines that fit a width; a word wider than a whole line is broken inside."""
    lines: list[str] = []
    line, line_em = "", 0.0
    for word in with_unit(text).split(" "):
        for piece in _pieces(word, size_mm, width_mm, is_bold):
            longer_em = sum(map(glyph_advance_em, f" {piece}", repeat(is_bold)), line_em)
            if line and longer_em * size_mm <= width_mm:
                line, line_em = f"{line} {piece}", longer_em
                continue
            if line:
                lines.append(line)
            line, line_em = piece, _width_em(piece, is_bold)
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
    return "".join(letter for letter in dict.fromkeys(text) if not letter.isspace() and not _is_held(letter))


@lru_cache(maxsize=20_000)
def _is_held(letter: str) -> bool:
    """Has a font the letter; the second is read only where the first lacks one."""
    return any(_glyphs(False, second).get(ord(letter)) for second in (False, True))


def _pieces(word: str, size_mm: float, width_mm: float, is_bold: bool) -> list[str]:
    if text_width_mm(word, size_mm, is_bold=is_bold) <= width_mm:
        return [word]
    head, hyphen, tail = word.rpartition("-")
    if head and tail and text_width_mm(head + hyphen, size_mm, is_bold=is_bold) <= width_mm:
        return [head + hyphen, *_pieces(tail, size_mm, width_mm, is_bold)]
    pieces, piece = [], ""
    for letter in word:
        if piece and text_width_mm(piece + letter, size_mm, is_bold=is_bold) > width_mm:
            pieces.append(piece)
            piece = ""
        piece += letter
    return [*pieces, piece]


def has_glyph(letter: str, is_bold: bool) -> bool:
    """Does one of the two fonts hold a letter."""
    return bool(_glyphs(is_bold, is_fallback(letter, is_bold)).get(ord(letter)))


def is_fallback(letter: str, is_bold: bool) -> bool:
    """Is a letter drawn with the second font, because the first one lacks it."""
    return ord(letter) not in _glyphs(is_bold, False)


def font_runs(text: str, is_bold: bool) -> list[tuple[bool, str]]:
    """Cut a text into runs of one font: whether it is the second one, and the letters."""
    if text and _glyphs(is_bold, False).keys() >= set(map(ord, text)):
        return [(False, text)]
    return [(key, "".join(run)) for key, run in groupby(text, key=lambda letter: is_fallback(letter, is_bold))]


@lru_cache(maxsize=20_000)
def glyph_advance_em(letter: str, is_bold: bool) -> float:
    """Width that a letter takes, in shares of the font height; kerning is left out everywhere."""
    face = paper_font(is_bold, is_fallback(letter, is_bold)).face
    return float(face.charWidths.get(ord(letter), face.defaultWidth)) / 1000.0


@lru_cache(maxsize=4)
def font_file(is_bold: bool, second: bool = False) -> str:
    """Path of a font file, of the first font or of the second, which matplotlib brings along."""
    if second:
        spec = find_spec("matplotlib")
        assert spec is not None
        assert spec.submodule_search_locations is not None
        folder = Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
        return str(folder / f"DejaVuSans{'-Bold' if is_bold else ''}.ttf")
    return str(FOLDER / f"AtkinsonHyperlegibleNext-{'Bold' if is_bold else 'Regular'}.ttf")


@lru_cache(maxsize=4)
def paper_font(is_bold: bool, second: bool) -> TTFont:
    """Give one of the fonts of `FONTS`, read once: always asked for in the same form, as answers are kept by it."""
    return TTFont(FONTS[is_bold, second], font_file(is_bold, second), asciiReadable=True)


@lru_cache(maxsize=20_000)
def _width_em(text: str, is_bold: bool) -> float:
    return sum(map(glyph_advance_em, text, repeat(is_bold)))


def _glyphs(is_bold: bool, second: bool) -> dict[int, int]:
    """Number of the glyph of each character."""
    glyphs: dict[int, int] = paper_font(is_bold, second).face.charToGlyph
    return glyphs
