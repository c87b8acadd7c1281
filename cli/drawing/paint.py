"""Pictures in pixels: PNG through matplotlib, the same bytes for the same picture."""

from __future__ import annotations

import io
import math
import warnings
from collections.abc import Iterable
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_rgb
from matplotlib.image import imsave
from matplotlib.path import Path
from matplotlib.transforms import Affine2D

from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words
from standmark.cli.drawing.palette import PAPER, STYLES, Style
from standmark.cli.drawing.text_size import font_properties, text_width_mm
from standmark.geometry.arrays import Floats

MM_PER_INCH = 25.4
POINTS_PER_MM = 72 / MM_PER_INCH
_SETTINGS: Any = {"text.parse_math": False, "text.usetex": False, "path.simplify": False}


def png_bytes(picture: Picture, *, dpi: int = 150) -> bytes:
    """Paint a picture in pixels."""
    width_px, height_px = (round(side_mm / MM_PER_INCH * dpi) for side_mm in (picture.width_mm, picture.height_mm))
    buffer = io.BytesIO()
    with mpl.rc_context(_SETTINGS), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph")
        renderer: Any = RendererAgg(width_px, height_px, dpi)  # type: ignore[no-untyped-call]
        per_mm = dpi / MM_PER_INCH
        to_page = Affine2D().scale(per_mm, -per_mm).translate(0.0, height_px)
        _draw_path(renderer, Path.unit_rectangle(), Affine2D().scale(width_px, height_px), Style(fill=PAPER))
        for mark in picture.marks:
            _draw(renderer, mark, to_page)
        pixels = np.asarray(renderer.buffer_rgba())
        about: Any = {"Title": picture.title, "Software": None}
        imsave(buffer, pixels, format="png", dpi=dpi, metadata=about)
    return buffer.getvalue()


def _draw(renderer: RendererBase, mark: Mark, to_page: Affine2D) -> None:
    style = STYLES[mark.style]
    match mark:
        case Fill():
            _draw_path(renderer, _path(mark.rings, is_closed=True), to_page, style)
        case Line():
            _draw_path(renderer, _path(mark.parts, is_closed=False), to_page, style)
        case Words():
            _draw_words(renderer, mark, to_page, style)


def _draw_path(renderer: RendererBase, path: Path | None, to_page: Affine2D, style: Style) -> None:
    if path is None:
        return
    pen = renderer.new_gc()
    pen.set_linewidth(style.width_mm * POINTS_PER_MM if style.stroke else 0.0)
    pen.set_foreground(to_rgb(style.stroke or PAPER), isRGBA=False)
    pen.set_joinstyle("round")
    pen.set_capstyle("butt")
    if style.dash_mm:
        pen.set_dashes(0.0, [d * POINTS_PER_MM for d in style.dash_mm])
    if style.fill is not None:
        pen.set_alpha(style.fill_opacity)
    renderer.draw_path(pen, path, to_page, to_rgb(style.fill) if style.fill is not None else None)
    pen.restore()


def _draw_words(renderer: RendererBase, mark: Words, to_page: Affine2D, style: Style) -> None:
    width_mm = text_width_mm(mark.text, mark.size_mm, is_bold=style.is_bold)
    back = {"start": 0.0, "middle": width_mm / 2, "end": width_mm}[mark.anchor]
    turn = math.radians(mark.turn_deg)
    x, y = to_page.transform((mark.x_mm - back * math.cos(turn), mark.y_mm + back * math.sin(turn)))
    if renderer.flipy():
        y = renderer.get_canvas_width_height()[1] - y
    font = font_properties(style.is_bold)
    font.set_size(mark.size_mm * POINTS_PER_MM)
    pen: GraphicsContextBase = renderer.new_gc()
    pen.set_foreground(to_rgb(style.fill or PAPER), isRGBA=False)
    renderer.draw_text(pen, x, y, mark.text, font, mark.turn_deg, ismath=False)
    pen.restore()


def _path(parts: Iterable[Floats], *, is_closed: bool) -> Path | None:
    kept = [part for part in parts if len(part) > 1]
    if not kept:
        return None
    codes = []
    for part in kept:
        own = np.full(len(part), Path.LINETO, dtype=np.uint8)
        own[0] = Path.MOVETO
        if is_closed:
            own[-1] = Path.CLOSEPOLY
        codes.append(own)
    return Path(np.concatenate(kept), np.concatenate(codes))
