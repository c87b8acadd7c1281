"""Text measured against pixels, and broken where it must."""

import io

import numpy as np
import pytest
from PIL import Image

from standmark.cli.drawing.brief_page import brief_pages
from standmark.cli.drawing.marks import Picture, Words
from standmark.cli.drawing.paint import png_bytes
from standmark.cli.drawing.text_size import cut_mm, missing_letters, text_width_mm, wrap_mm
from standmark.sports.library import load_sport

TEXT = "Measured words, 12.5 m"


def inked_mm(page):
    """Width of what is drawn on a page, in millimetres."""
    dark = np.asarray(Image.open(io.BytesIO(png_bytes(page, dpi=300))).convert("L")) < 128
    columns = np.flatnonzero(dark.any(axis=0)) / 300 * 25.4
    return columns[-1] - columns[0]


@pytest.mark.parametrize("style", ["text", "strong"])
def test_text_is_measured_as_it_is_drawn(style):
    is_bold = style == "strong"
    before = text_width_mm(TEXT, 6.0, is_bold=is_bold)
    page = Picture(120.0, 20.0, (Words(style, 10.0, 12.0, TEXT, 6.0),), "p", "")
    assert inked_mm(page) == pytest.approx(before, abs=1.2)  # letters have a little air beside them
    letters = "".join(chr(c) for c in range(0x21, 0x7F))
    assert text_width_mm(letters, 6.0, is_bold=is_bold) > 90 * 2.0  # measured after drawing at another size
    assert text_width_mm(TEXT, 6.0, is_bold=is_bold) == before


def test_lines_break_where_they_must_and_figures_keep_their_units():
    rows = wrap_mm("stand 12 m behind the line and 3.5 m to the left of the goal", 3.0, width_mm=30.0)
    assert all(text_width_mm(row, 3.0) <= 30.0 for row in rows)
    assert not any(row.startswith("m ") for row in rows)
    assert all(text_width_mm(row, 3.0) <= 10.0 for row in wrap_mm("x" * 60, 3.0, width_mm=10.0))


def test_text_is_cut_to_a_width():
    assert cut_mm("short", 3.0, width_mm=50.0) == "short"
    cut = cut_mm("far too long for this", 3.0, width_mm=20.0)
    assert cut.endswith("…")
    assert text_width_mm(cut, 3.0) <= 20.0


def test_letters_that_the_font_lacks_are_named():
    assert missing_letters("ab東京") == "東京"


def test_a_brief_on_paper_is_set_in_nine_points():
    pages = brief_pages(load_sport("football"))
    words = [mark for page in pages for mark in page.marks if isinstance(mark, Words)]
    assert len(pages) <= 3
    assert min(mark.size_mm for mark in words) >= 9 * 25.4 / 72
