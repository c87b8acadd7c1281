"""Fonts inside a PDF document: TrueType subsets with the letters that are used, and the way back to text."""

from __future__ import annotations

import hashlib
import io
import logging
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from standmark.cli.drawing.marks import Floats
from standmark.cli.drawing.text_size import FAMILY, font_file, glyph_advance_em, glyph_index

# letters that every document carries, so that documents share their subsets: Basic Latin, Latin-1 and a few marks
USUAL = frozenset(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100)))) | frozenset("–—‘’“”•…€·×≥≤→°\u00a0")
# from Hebrew to the scripts of South-East Asia, and marks that combine: letters change with their neighbours
SHAPED = ((0x0300, 0x036F), (0x0590, 0x10FF), (0x1700, 0x18AF), (0x200B, 0x200F), (0xFB1D, 0xFDFF), (0xFE00, 0xFEFF))


@dataclass(frozen=True)
class Font:
    """One weight of the paper font with the letters of a document."""

    name: str  # of the resource: "F0" or "F1"
    is_bold: bool
    letters: frozenset[str]


def document_fonts(texts: Iterable[tuple[str, bool]]) -> list[Font]:
    """Fonts that some texts need; each text comes with whether it is bold."""
    letters: dict[bool, set[str]] = {}
    for text, is_bold in texts:
        letters.setdefault(is_bold, set()).update(text)
    return [
        Font(f"F{int(is_bold)}", is_bold, USUAL | {c for c in used if glyph_index(c, is_bold) and not _is_shaped(c)})
        for is_bold, used in sorted(letters.items())
    ]


def is_plain(text: str, font: Font) -> bool:
    """Whether a text can be written letter by letter with a font."""
    return all(letter in font.letters for letter in text)


def glyph_hex(text: str, font: Font) -> str:
    """Write a text as glyph numbers of two bytes each, in hexadecimal."""
    return "".join(f"{glyph_index(letter, font.is_bold):04X}" for letter in text)


def outline_rings(text: str, size_mm: float, *, is_bold: bool) -> tuple[Floats, ...]:
    """Outlines of a line of text, shaped, in millimetres with y downward, from the start of its baseline."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.path import Path
    from matplotlib.textpath import text_to_path

    font = FontProperties(family=FAMILY, weight="bold" if is_bold else "normal")
    corners, codes = text_to_path.get_text_path(font, text, ismath=False)
    if not len(corners):
        return ()
    polygons = Path(np.asarray(corners, float), codes).to_polygons(closed_only=True)
    scale = size_mm / text_to_path.FONT_SCALE
    return tuple(np.asarray(p, float) * (scale, -scale) for p in polygons)


def font_objects(font: Font, *, first: int) -> list[bytes]:
    """Objects of an embedded font; the first of them is the font itself.

    Parameters
    ----------
    first : number of the first object
    """
    program, name = _program(font.is_bold, font.letters)
    glyphs = {glyph_index(letter, font.is_bold): letter for letter in sorted(font.letters)}
    widths = " ".join(
        f"{glyph}[{1000 * glyph_advance_em(letter, font.is_bold):.0f}]" for glyph, letter in sorted(glyphs.items())
    )
    to_unicode = zlib.compress(_to_unicode(glyphs), 9)
    descendant = (
        f"<</Type/Font/Subtype/CIDFontType2/BaseFont/{name}/CIDToGIDMap/Identity/DW 600"
        f"/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>/FontDescriptor {first + 2} 0 R"
        f"/W[{widths}]>>"
    )
    # box, ascent and descent of the DejaVu fonts, in thousandths of the em; flag 4: letters beyond the Latin standard
    descriptor = (
        f"<</Type/FontDescriptor/FontName/{name}/Flags 4/FontBBox[-1070 -415 1975 1175]/ItalicAngle 0/Ascent 928"
        f"/Descent -236/CapHeight 729/StemV {150 if font.is_bold else 90}/FontFile2 {first + 3} 0 R>>"
    )
    return [
        f"<</Type/Font/Subtype/Type0/BaseFont/{name}/Encoding/Identity-H/DescendantFonts[{first + 1} 0 R]"
        f"/ToUnicode {first + 4} 0 R>>".encode("ascii"),
        descendant.encode("ascii"),
        descriptor.encode("ascii"),
        program,
        b"<</Length %d/Filter/FlateDecode>>stream\n%s\nendstream" % (len(to_unicode), to_unicode),
    ]


@lru_cache(maxsize=16)
def _program(is_bold: bool, letters: frozenset[str]) -> tuple[bytes, str]:
    """Stream object with the subset of the font, and its name with the tag that subsets carry."""
    from fontTools import subset
    from fontTools.ttLib import TTFont

    logging.getLogger("fontTools.subset").setLevel(logging.ERROR)
    options = subset.Options(retain_gids=True, layout_features=[], hinting=False, notdef_outline=True, name_IDs=[])
    options.drop_tables += ["GSUB", "GPOS", "GDEF", "kern", "FFTM", "MATH"]
    font = TTFont(font_file(is_bold), recalcTimestamp=False, lazy=True)
    cutter = subset.Subsetter(options)
    cutter.populate(text="".join(sorted(letters)))
    cutter.subset(font)
    buffer = io.BytesIO()
    font.save(buffer)
    data = buffer.getvalue()
    packed = zlib.compress(data, 9)
    head = f"<</Length {len(packed)}/Length1 {len(data)}/Filter/FlateDecode>>stream\n".encode("ascii")
    digest = hashlib.sha256(data).digest()
    tag = "".join(chr(65 + byte % 26) for byte in digest[:6])
    return head + packed + b"\nendstream", f"{tag}+DejaVuSans{'-Bold' if is_bold else ''}"


def _to_unicode(glyphs: dict[int, str]) -> bytes:
    pairs = [f"<{glyph:04X}> <{letter.encode('utf-16-be').hex().upper()}>" for glyph, letter in sorted(glyphs.items())]
    chunks = [pairs[i : i + 100] for i in range(0, len(pairs), 100)]
    body = "\n".join(f"{len(chunk)} beginbfchar\n{_lines(chunk)}\nendbfchar" for chunk in chunks)
    return (
        "/CIDInit /ProcSet findresource begin 12 dict begin begincmap\n"
        "/CIDSystemInfo <</Registry(Adobe)/Ordering(UCS)/Supplement 0>> def\n"
        "/CMapName /Adobe-Identity-UCS def /CMapType 2 def\n"
        f"1 begincodespacerange <0000> <FFFF> endcodespacerange\n{body}\n"
        "endcmap CMapName currentdict /CMap defineresource pop end end"
    ).encode("ascii")


def _lines(chunk: Sequence[str]) -> str:
    return "\n".join(chunk)


def _is_shaped(letter: str) -> bool:
    code = ord(letter)
    return any(low <= code <= high for low, high in SHAPED)
