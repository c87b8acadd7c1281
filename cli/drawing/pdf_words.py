"""Words as operators of a PDF page, each line written at once: a call for each operator takes most of the time.

The bytes are those that the canvas of reportlab writes for `drawString` under a translation.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from reportlab.lib.rl_accel import fp_str
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from standmark.cli.drawing.marks import Words
from standmark.cli.drawing.text_size import font_runs, has_glyph, paper_font, text_width_mm

# from Hebrew to the scripts of South-East Asia, and marks that combine: letters change with their neighbours;
# last, everything beyond the basic plane, which reportlab's way back to text cannot name
SHAPED = (
    (0x0300, 0x036F),
    (0x0590, 0x10FF),
    (0x1700, 0x18AF),
    (0x200B, 0x200F),
    (0xFB1D, 0xFDFF),
    (0xFE00, 0xFEFF),
    (0x10000, 0x10FFFF),
)
SHARES = {"start": 0.0, "middle": 0.5, "end": 1.0}  # of the width that lies before the anchor
LEADING = 1.2  # of the font height, as reportlab has it; one line has none
ESCAPED = {  # ISO 32000-1, 7.3.4.2
    **{code: f"\\{code:03o}" for code in (*range(32), *range(127, 256))},
    **{ord(sign): f"\\{sign}" for sign in "\\()"},
}


class Typesetter:
    """The lines of one document as operators, in the font subsets that grow with it; each written once."""

    def __init__(self, canvas: Canvas, fonts: str = "F") -> None:
        self.document, self.fonts = canvas._doc, fonts
        self.known: dict[tuple[str, bool, float, str], str] = {}
        for is_bold in (False, True):
            self._font(is_bold, False)

    def line(self, text: str, size_mm: float, *, is_bold: bool, anchor: str) -> str:
        """Operators that show a line of plain words with its anchor at the origin."""
        key = (text, is_bold, size_mm, anchor)
        if key not in self.known:
            self.known[key] = "\n".join(self._runs(text, size_mm, is_bold, anchor))
        return self.known[key]

    def _runs(self, text: str, size_mm: float, is_bold: bool, anchor: str) -> list[str]:
        x_mm = start_mm(text, size_mm, is_bold=is_bold, anchor=anchor)
        shown = []
        for second, run in font_runs(text, is_bold):
            font = self._font(is_bold, second)
            said = [f"BT 1 0 0 -1 {number(x_mm)} 0 Tm"]
            for subset, codes in font.splitString(run, self.document):
                name = font.getSubsetInternalName(subset, self.document)
                said.append(f"{name} {number(size_mm)} Tf {number(LEADING * size_mm)} TL ({_escaped(codes)}) Tj")
            shown.append(" ".join([*said, "T* ET"]))
            x_mm += text_width_mm(run, size_mm, is_bold=is_bold)
        return shown

    def _font(self, is_bold: bool, second: bool) -> TTFont:
        """One of the paper fonts, known to the document; the second is large, and read when it is used."""
        font = paper_font(is_bold, second)
        pdfmetrics.registerFont(font)
        font._assignState(self.document, namePrefix=self.fonts)
        return font


def placed(mark: Words, line: str) -> str:
    """Operators that show upright words at their place, the graphics state left as it was."""
    return f"q\n1 0 0 1 {number(mark.x_mm)} {number(mark.y_mm)} cm\n{line}\nQ"


def start_mm(text: str, size_mm: float, *, is_bold: bool, anchor: str) -> float:
    """Where a line begins, seen from its anchor."""
    return -SHARES[anchor] * text_width_mm(text, size_mm, is_bold=is_bold)


@lru_cache(maxsize=50_000)  # places on a page of a book are whole hundredths of a millimetre
def number(value: float | tuple[float, ...]) -> str:
    """Write a number, or several, as reportlab does."""
    said: str = fp_str(value)
    return "0" if said == "-0" else said


@lru_cache(maxsize=20_000)
def composed(text: str) -> str:
    """Letters with their accents as one."""
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def is_plain(text: str, is_bold: bool) -> bool:
    """Whether a text can be written letter by letter with the font."""
    return (text.isascii() and text.isprintable()) or all(_is_plain_letter(letter, is_bold) for letter in set(text))


@lru_cache(maxsize=20_000)
def _is_plain_letter(letter: str, is_bold: bool) -> bool:
    return has_glyph(letter, is_bold) and not any(low <= ord(letter) <= high for low, high in SHAPED)


def _escaped(codes: bytes) -> str:
    return codes.decode("latin-1").translate(ESCAPED)
