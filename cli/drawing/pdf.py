"""Pictures as the pages of a PDF document: written directly, since its page model is ours already.

Paths, opacity and text of a picture map one to one onto operators of PDF 1.7 (ISO 32000-1): 8.5 path operators, 9.4
text, 9.7.4 CIDFonts with Identity-H, 9.10.3 ToUnicode, 14.9.4 ActualText. Fonts are embedded as TrueType subsets cut
by fontTools. Text stays text: it can be selected, searched and read out. Scripts that need shaping are drawn as
outlines that carry their text.
"""

from __future__ import annotations

import math
import unicodedata
import zlib
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import groupby

from standmark.cli.drawing.marks import Fill, Floats, Line, Mark, Picture, Words
from standmark.cli.drawing.palette import STYLES, Style
from standmark.cli.drawing.pdf_font import (
    Font,
    document_fonts,
    font_objects,
    glyph_hex,
    is_plain,
    outline_rings,
)
from standmark.cli.drawing.text_size import text_width_mm

POINTS_PER_MM = 72 / 25.4


def pdf_bytes(pages: Iterable[Picture], *, title: str) -> bytes:
    """Write pictures as the pages of one document, each page exactly as large as its picture."""
    pictures = list(pages)
    texts = [(m.text, STYLES[m.style].is_bold) for page in pictures for m in page.marks if isinstance(m, Words)]
    fonts = document_fonts(texts)
    objects: list[bytes] = [b"", b""]  # catalogue and page tree, filled in below
    font_refs = {}
    for font in fonts:
        font_refs[font.name] = len(objects) + 1
        objects += font_objects(font, first=len(objects) + 1)
    states = sorted({STYLES[m.style].fill_opacity for page in pictures for m in page.marks})
    resources = _resources(font_refs, states)
    kids = []
    for page in pictures:
        content = _stream(_content(page, {f.is_bold: f for f in fonts}, states))
        kids.append(len(objects) + 1)
        objects += [_page(page, resources, content_ref=len(objects) + 2), content]
    objects[0] = b"<</Type/Catalog/Pages 2 0 R/Lang(en)/ViewerPreferences<</DisplayDocTitle true>>>>"
    objects[1] = b"<</Type/Pages/Count %d/Kids[%s]>>" % (len(kids), b" ".join(b"%d 0 R" % kid for kid in kids))
    objects.append(b"<</Title %s/Creator(standmark)>>" % text_string(title))
    return _document(objects, info_ref=len(objects))


def text_string(text: str) -> bytes:
    """Write a text as a PDF text string: UTF-16 with its mark, in hexadecimal."""
    return b"<FEFF" + text.encode("utf-16-be").hex().upper().encode("ascii") + b">"


def _document(objects: Sequence[bytes], *, info_ref: int) -> bytes:
    parts = [b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"]
    offsets = []
    at = len(parts[0])
    for number, body in enumerate(objects, start=1):
        offsets.append(at)
        parts.append(b"%d 0 obj\n%s\nendobj\n" % (number, body))
        at += len(parts[-1])
    table = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    parts.append(b"xref\n0 %d\n0000000000 65535 f \n%s" % (len(objects) + 1, table))
    parts.append(b"trailer\n<</Size %d/Root 1 0 R/Info %d 0 R>>\n" % (len(objects) + 1, info_ref))
    parts.append(b"startxref\n%d\n%%%%EOF\n" % at)
    return b"".join(parts)


def _resources(font_refs: dict[str, int], states: Sequence[float]) -> bytes:
    fonts = "".join(f"/{name} {ref} 0 R" for name, ref in font_refs.items())
    opacities = "".join(f"/G{index}<</ca {value:g}>>" for index, value in enumerate(states))
    return f"<</Font<<{fonts}>>/ExtGState<<{opacities}>>>>".encode("ascii")


def _page(page: Picture, resources: bytes, *, content_ref: int) -> bytes:
    width, height = page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM
    box = f"[0 0 {width:.3f} {height:.3f}]".encode("ascii")
    return b"<</Type/Page/Parent 2 0 R/MediaBox %s/Resources%s/Contents %d 0 R>>" % (box, resources, content_ref)


def _stream(data: bytes) -> bytes:
    packed = zlib.compress(data, 9)
    return b"<</Length %d/Filter/FlateDecode>>stream\n%s\nendstream" % (len(packed), packed)


def _content(page: Picture, fonts: dict[bool, Font], states: Sequence[float]) -> bytes:
    """Operators of a page: millimetres from the upper left corner, one graphics state for each run of a style."""
    scale = f"{POINTS_PER_MM:.6f}"
    parts = [f"{scale} 0 0 -{scale} 0 {page.height_mm * POINTS_PER_MM:.3f} cm 1 j"]
    for name, run in groupby(page.marks, key=lambda mark: mark.style):
        style = STYLES[name]
        parts.append(f"q {_state(style, states)}")
        for mark in run:
            parts += _operators(mark, style, fonts)
        parts.append("Q")
    return "\n".join(parts).encode("ascii")


def _state(style: Style, states: Sequence[float]) -> str:
    parts = []
    if style.fill is not None:
        parts.append(f"{_colour(style.fill)} rg /G{states.index(style.fill_opacity)} gs")
    if style.stroke is not None:
        parts.append(f"{_colour(style.stroke)} RG {style.width_mm:g} w")
    if style.dash_mm:
        parts.append(f"[{' '.join(f'{d:g}' for d in style.dash_mm)}] 0 d")
    return " ".join(parts)


def _operators(mark: Mark, style: Style, fonts: dict[bool, Font]) -> Iterator[str]:
    match mark:
        case Fill():
            yield f"{_path(mark.rings, is_closed=True)} {'B*' if style.stroke is not None else 'f*'}"
        case Line():
            yield f"{_path(mark.parts, is_closed=False)} S"
        case Words():
            yield from _text(mark, style, fonts[style.is_bold])


def _text(mark: Words, style: Style, font: Font) -> Iterator[str]:
    text = unicodedata.normalize("NFC", mark.text)
    if not text:
        return
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor] * text_width_mm(
        text, mark.size_mm, is_bold=style.is_bold
    )
    yield _turned(mark, back)
    if is_plain(text, font):
        yield f"BT /{font.name} {mark.size_mm:.3f} Tf 1 0 0 -1 0 0 Tm <{glyph_hex(text, font)}> Tj ET Q"
        return
    rings = outline_rings(text, mark.size_mm, is_bold=style.is_bold)
    yield f"/Span <</ActualText {text_string(text).decode('ascii')}>> BDC"
    yield f"{_path(rings, is_closed=True)} f* EMC Q"


def _turned(mark: Words, back_mm: float) -> str:
    """Coordinate system of a line of text: along its baseline, from its first letter."""
    cosine, sine = _cosine_sine(mark.turn_deg)
    x, y = mark.x_mm - back_mm * cosine, mark.y_mm + back_mm * sine
    return f"q {cosine:.5f} {-sine:.5f} {sine:.5f} {cosine:.5f} {x:.3f} {y:.3f} cm"


@lru_cache(maxsize=64)
def _cosine_sine(turn_deg: float) -> tuple[float, float]:
    return math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))


def _path(parts: Iterable[Floats], *, is_closed: bool) -> str:
    return " ".join(_subpath(xy, is_closed) for xy in parts if len(xy) > 1)


def _subpath(xy: Floats, is_closed: bool) -> str:
    points = [f"{x:.3f} {y:.3f}" for x, y in (xy[:-1] if is_closed else xy).tolist()]
    return f"{points[0]} m {' '.join(f'{p} l' for p in points[1:])}{' h' if is_closed else ''}"


@lru_cache(maxsize=256)
def _colour(colour: str) -> str:
    return " ".join(f"{int(colour[i : i + 2], 16) / 255:.3g}" for i in (1, 3, 5))
