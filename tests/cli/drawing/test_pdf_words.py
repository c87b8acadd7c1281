"""Lines of words as operators: the same as reportlab's canvas writes, call by call."""

import io

from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from standmark.cli.drawing.marks import ANCHORS, Words
from standmark.cli.drawing.pdf import pdf_bytes
from standmark.cli.drawing.pdf_words import LEADING, Typesetter, is_plain, placed, start_mm
from standmark.cli.drawing.text_size import FONTS, font_runs, text_width_mm

TEXTS = ("A", "(a) \\ b", "Ligüéa Őş жЖ Ελληνικά", "€ · × ≥ → °", "50\u00a0m up", "%PDF endobj", "ж")
places = st.floats(-300.0, 300.0) | st.integers(-30_000, 30_000).map(lambda n: n / 100)
marks = st.builds(
    Words, st.just("text"), places, places, st.sampled_from(TEXTS), st.floats(0.5, 30.0), st.sampled_from(ANCHORS)
)


def blank():
    pdf_bytes([], title="")  # reportlab knows our fonts from now on
    return Canvas(io.BytesIO(), bottomup=0, invariant=1, initialFontName=FONTS[False, False])


@settings(max_examples=60, deadline=None)
@given(st.lists(marks, max_size=4), st.booleans())
def test_lines_are_those_of_the_canvas(lines, is_bold):
    ours, theirs = blank(), blank()
    typesetter = Typesetter(ours)
    for mark in lines:
        assert is_plain(mark.text, is_bold)
        ours.addLiteral(
            placed(mark, typesetter.line(mark.text, mark.size_mm, is_bold=is_bold, anchor=mark.anchor))
        )  # fmt: skip
        draw_with_the_canvas(theirs, mark, is_bold)
    assert "\n".join(ours._code) == "\n".join(theirs._code)


def draw_with_the_canvas(canvas, mark, is_bold):
    x_mm = start_mm(mark.text, mark.size_mm, is_bold=is_bold, anchor=mark.anchor)
    canvas.saveState()
    canvas.translate(mark.x_mm, mark.y_mm)
    canvas.rotate(0.0)
    for second, run in font_runs(mark.text, is_bold):
        canvas.setFont(FONTS[is_bold, second], mark.size_mm, leading=LEADING * mark.size_mm)
        canvas.drawString(x_mm, 0.0, run)
        x_mm += text_width_mm(run, mark.size_mm, is_bold=is_bold)
    canvas.restoreState()
