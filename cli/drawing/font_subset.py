"""Cutting the paper font down to some letters, through fontTools, which takes longer to load than most pages to draw.

The two sets that nearly every file needs lie ready beside the font; `write_ready` makes them anew.
"""

from __future__ import annotations

import io

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from standmark.cli.drawing.font_face import READY, ready_file
from standmark.cli.drawing.text_size import font_file


def subset(is_bold: bool, letters: str) -> bytes:
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


def write_ready() -> None:
    """Write the fonts that lie ready, after a change of the font or of a set of letters."""
    for name, letters in READY.items():
        for is_bold in (False, True):
            ready_file(name, is_bold).write_bytes(subset(is_bold, letters))
