"""Outlines of lines of text whose letters change with their neighbours, through matplotlib."""

from __future__ import annotations

import warnings
from functools import lru_cache

import matplotlib as mpl
import matplotlib.font_manager as fonts
import numpy as np
from matplotlib.textpath import TextPath

from standmark.cli.drawing.text_size import FALLBACK, FAMILY, font_file
from standmark.geometry.arrays import Floats


def outline_rings(text: str, size_mm: float, is_bold: bool) -> tuple[Floats, ...]:
    """Outlines of a line of text, shaped, in millimetres with y downward, from the start of its baseline."""
    with mpl.rc_context({"text.parse_math": False, "text.usetex": False}), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph")
        try:
            path = TextPath((0.0, 0.0), text, size=size_mm, prop=_font_properties(is_bold))
        except AttributeError:  # matplotlib makes no path of letters without a stroke, such as a zero-width space
            return ()
    polygons = path.to_polygons(closed_only=True)
    return tuple(np.asarray(p, float) * (1.0, -1.0) for p in polygons)


@lru_cache(maxsize=2)
def _font_properties(is_bold: bool) -> fonts.FontProperties:
    """Both fonts as matplotlib asks for them."""
    known = {entry.fname for entry in fonts.fontManager.ttflist}
    for weight in (False, True):
        if font_file(weight) not in known:
            fonts.fontManager.addfont(font_file(weight))
    return fonts.FontProperties(family=[FAMILY, FALLBACK], weight="bold" if is_bold else "normal")
