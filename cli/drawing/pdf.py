"""Pictures as the pages of a PDF document, through reportlab; the same bytes for the same pictures.

Text stays text: it can be selected, searched and read out. Scripts that need shaping, and letters that the font lacks,
are drawn as outlines that carry their text (ISO 32000-1, 14.9.4 ActualText).
"""

from __future__ import annotations

import io
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from itertools import groupby
from threading import Lock

from reportlab import rl_config
from reportlab.lib.colors import Color, HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words
from standmark.cli.drawing.palette import STYLES, Style
from standmark.cli.drawing.pdf_words import Typesetter, composed, is_plain, number, placed, start_mm
from standmark.cli.drawing.text_size import FONTS, paper_font
from standmark.geometry.arrays import Floats

POINTS_PER_MM = 72 / 25.4
PAINT = {(True, True): "B*", (True, False): "f*", (False, True): "S"}  # ISO 32000-1, 8.5.3; holes by even-odd
_ONE_AT_A_TIME = Lock()  # a font of reportlab keeps its place in its file


def pdf_bytes(pages: Iterable[Picture], *, title: str, fonts: str = "F") -> bytes:
    """Write pictures as the pages of one document, each page exactly as large as its picture.

    Parameters
    ----------
    fonts : what their names inside begin with; pages are laid over those of a document with other names
    """
    buffer = io.BytesIO()
    with _ONE_AT_A_TIME:
        canvas = _canvas(buffer, title)
        typesetter = Typesetter(canvas, fonts)
        for page in pages:
            _draw_page(canvas, page, typesetter)
        canvas.save()
    return buffer.getvalue()


def _canvas(buffer: io.BytesIO, title: str) -> Canvas:
    """Document in which y points downward, as in our pictures."""
    _set_up()
    with _no_other_date():
        canvas = Canvas(
            buffer,
            bottomup=0,
            pageCompression=1,
            invariant=1,
            pdfVersion=(1, 7),
            lang="en",
            initialFontName=FONTS[False, False],
        )
    canvas.setTitle(title)
    canvas.setCreator("standmark")
    canvas.setAuthor("")
    canvas.setSubject("")
    canvas.setDateFormatter(lambda *_: "")  # else the first of January 2000: invariant documents know no better
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas


@contextmanager
def _no_other_date() -> Iterator[None]:
    """Hide the date that a build system may set: the same plan gives the same bytes whatever it says."""
    date = os.environ.pop("SOURCE_DATE_EPOCH", None)
    try:
        yield
    finally:
        if date is not None:
            os.environ["SOURCE_DATE_EPOCH"] = date


@lru_cache(maxsize=1)
def _set_up() -> None:
    """Give reportlab our fonts, and have it write streams as they are: spelled in letters they are a quarter longer."""
    rl_config.useA85 = 0
    for is_bold in (False, True):
        pdfmetrics.registerFont(paper_font(is_bold, False))


def _draw_page(canvas: Canvas, page: Picture, typesetter: Typesetter) -> None:
    """Draw a page in millimetres, one graphics state for each run of a style."""
    canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    canvas.setLineJoin(1)
    for name, run in groupby(page.marks, key=lambda mark: mark.style):
        style = STYLES[name]
        is_opaque = style.fill_opacity == 1.0
        if is_opaque:
            canvas.addLiteral(f"q\n{_look(name)}")
        else:
            canvas.saveState()
            _set_look(canvas, style)
        for mark in run:
            _draw(canvas, mark, style, typesetter)
        if is_opaque:
            canvas.addLiteral("Q")
        else:
            canvas.restoreState()
    canvas.showPage()


@lru_cache(maxsize=256)
def _look(name: str) -> str:
    """Operators of a style without transparency."""
    style, said = STYLES[name], []
    if style.fill is not None:
        said.append(f"{number(_colour(style.fill).rgb())} rg")
    if style.stroke is not None:
        said += [f"{number(_colour(style.stroke).rgb())} RG", f"{number(style.width_mm)} w"]
    if style.dash_mm:
        said.append(f"[{number(style.dash_mm)}] 0 d")
    return "\n".join(said)


def _set_look(canvas: Canvas, style: Style) -> None:
    """Have the canvas say a style, as the document has to know of its transparency."""
    if style.fill is not None:
        canvas.setFillColor(_colour(style.fill), alpha=style.fill_opacity)
    if style.stroke is not None:
        canvas.setStrokeColor(_colour(style.stroke))
        canvas.setLineWidth(style.width_mm)
    if style.dash_mm:
        canvas.setDash(style.dash_mm)


def _draw(canvas: Canvas, mark: Mark, style: Style, typesetter: Typesetter) -> None:
    match mark:
        case Fill():
            _draw_path(canvas, mark.rings, is_closed=True, is_filled=True, is_stroked=style.stroke is not None)
        case Line():
            _draw_path(canvas, mark.parts, is_closed=False, is_filled=False, is_stroked=True)
        case Words():
            _draw_words(canvas, mark, style.is_bold, typesetter)


def _draw_path(canvas: Canvas, parts: Iterable[Floats], *, is_closed: bool, is_filled: bool, is_stroked: bool) -> None:
    """Write the operators of a path at once: a call for each corner would take most of the time of a page."""
    kept = [_subpath(part, is_closed) for part in parts if len(part) > 1]
    if kept:
        canvas.addLiteral(f"{' '.join(kept)} {PAINT[is_filled, is_stroked]}")


def _subpath(xy: Floats, is_closed: bool) -> str:
    first, *rest = [f"{x:.3f} {y:.3f}" for x, y in (xy[:-1] if is_closed else xy).tolist()]
    return f"{first} m {' '.join(f'{point} l' for point in rest)}{' h' if is_closed else ''}"


def _draw_words(canvas: Canvas, mark: Words, is_bold: bool, typesetter: Typesetter) -> None:
    text = composed(mark.text)
    if not text:
        return
    is_line = is_plain(text, is_bold)
    if is_line and not mark.turn_deg:
        canvas.addLiteral(placed(mark, typesetter.line(text, mark.size_mm, is_bold=is_bold, anchor=mark.anchor)))
        return
    canvas.saveState()
    canvas.translate(mark.x_mm, mark.y_mm)
    canvas.rotate(-mark.turn_deg)
    if is_line:
        canvas.addLiteral(typesetter.line(text, mark.size_mm, is_bold=is_bold, anchor=mark.anchor))
    else:
        canvas.translate(start_mm(text, mark.size_mm, is_bold=is_bold, anchor=mark.anchor), 0.0)
        _draw_outlines(canvas, text, mark.size_mm, is_bold)
    canvas.restoreState()


def _draw_outlines(canvas: Canvas, text: str, size_mm: float, is_bold: bool) -> None:
    said = text.encode("utf-16-be").hex().upper()
    canvas.addLiteral(f"/Span <</ActualText <FEFF{said}>>> BDC")
    from standmark.cli.drawing.outlines import outline_rings

    rings = outline_rings(text, size_mm, is_bold)
    _draw_path(canvas, rings, is_closed=True, is_filled=True, is_stroked=False)
    hung = canvas.beginText(0.0, 0.0)  # unseen type that the text hangs on, for those who search or listen
    hung.setFont(FONTS[is_bold, False], size_mm)
    hung.setTextRenderMode(3)
    hung.textOut(" " * len(text))
    canvas.drawText(hung)
    canvas.addLiteral("EMC")


@lru_cache(maxsize=256)
def _colour(colour: str) -> Color:
    return HexColor(colour)
