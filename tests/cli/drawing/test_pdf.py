"""Pages on paper, judged by poppler and pypdf: size, fonts, text, opacity, holes, and the same bytes every time."""

import io
import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from standmark.cli.drawing.marks import Fill, Line, Picture, Words, box_ring
from standmark.cli.drawing.palette import INK, PAPER
from standmark.cli.drawing.pdf import pdf_bytes

PLAIN = ["Plain (text) \\ back\\slash", "%PDF endobj )( <b>&amp;</b> $x_1$", "€ · × ≥ ≤ → ° Ligüéa Őş жЖ Ελληνικά"]
SHAPED = [
    "שלום עולם",
    "مرحبا بالعالم",
    "x\u0323\u0301",
    "हिन्दी",
    "👍 $\\frac",
    "日本語",
    "𝔸𝔹",
    "\u202eabc\u200b",
    "tab\tnul\x00",
]


def page(*marks, width_mm=210.0, height_mm=297.0):
    return Picture(width_mm, height_mm, tuple(marks), "A page", "What it says.")


def words(texts, style="text"):
    return [Words(style, 20.0, 20.0 + 8.0 * index, text, 4.0) for index, text in enumerate(texts)]


def poppler(program, content, *options):
    command = [program, *options, "-", *(["-"] if program == "pdftotext" else [])]
    return subprocess.run(command, input=content, capture_output=True, check=True)


def pixels(content, *, dpi=127):  # 5 pixels a millimetre
    out = poppler("pdftoppm", content, "-r", str(dpi), "-aa", "no", "-aaVector", "no", "-png").stdout
    return np.asarray(Image.open(io.BytesIO(out)).convert("RGB"), float)


def ink_inside(content, x_mm, y_mm, width_mm, height_mm):
    dark = pixels(content).mean(axis=2) < 128
    return dark[round(5 * y_mm) : round(5 * (y_mm + height_mm)), round(5 * x_mm) : round(5 * (x_mm + width_mm))].sum()


@pytest.mark.parametrize("text", SHAPED)
def test_what_the_font_cannot_write_is_drawn_and_keeps_its_text(text):
    content = pdf_bytes([page(*words([text]))], title="t")
    assert ink_inside(content, 19.0, 14.0, 60.0, 10.0) > 50
    stream = PdfReader(io.BytesIO(content)).pages[0].get_contents().get_data()
    (said,) = re.findall(rb"/ActualText <FEFF([0-9A-F]+)>", stream)
    assert bytes.fromhex(said.decode()).decode("utf-16-be") == text


@pytest.mark.parametrize("style", ["text", "strong"])
def test_text_stays_text(style):
    content = pdf_bytes([page(*words(PLAIN, style))], title="t")
    said = poppler("pdftotext", content).stdout.decode("utf-8")
    assert [line for line in said.splitlines() if line.strip("\f")] == PLAIN


def test_only_our_fonts_are_inside_as_subsets():
    content = pdf_bytes([page(*words(PLAIN), *words(PLAIN, "strong"))], title="t")
    lines = poppler("pdffonts", content).stdout.decode().splitlines()[2:]
    assert {line.split()[0].partition("+")[2] for line in lines} == {
        "AtkinsonHyperlegibleNext-Regular",
        "AtkinsonHyperlegibleNext-Bold",
        "DejaVuSans",
        "DejaVuSans-Bold",
    }
    assert all(re.search(r"TrueType\s+\S+\s+yes yes yes", line) for line in lines)  # embedded, subset, to Unicode
    assert not poppler("pdffonts", pdf_bytes([page()], title="t")).stdout.decode().splitlines()[2:]


def test_each_page_is_as_large_as_its_picture():
    sizes = [(210.0, 297.0), (215.9, 279.4), (100.5, 40.25)]
    content = pdf_bytes([page(width_mm=w, height_mm=h) for w, h in sizes], title="t")
    boxes = [p.mediabox for p in PdfReader(io.BytesIO(content)).pages]
    assert [(b.width, b.height) for b in boxes] == [
        pytest.approx((w / 25.4 * 72, h / 25.4 * 72), abs=0.01) for w, h in sizes
    ]


def test_document_says_its_title_and_language_and_no_date():
    title = "Sheet (A) \\ שלום 👍"
    reader = PdfReader(io.BytesIO(pdf_bytes([page()], title=title)))
    assert reader.metadata.title == title
    assert reader.metadata.creator == "standmark"
    assert not reader.metadata.author
    assert reader.metadata.creation_date is None
    assert reader.root_object["/Lang"] == "en"
    assert reader.root_object["/ViewerPreferences"]["/DisplayDocTitle"]


def test_no_date_of_a_build_changes_a_document(monkeypatch):
    pages = [Picture(50.0, 20.0, (Words("text", 5.0, 10.0, "A", 4.0),), "title", "description")]
    plain = pdf_bytes(pages, title="t")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1234567890")
    assert pdf_bytes(pages, title="t") == plain
    assert os.environ["SOURCE_DATE_EPOCH"] == "1234567890"


def test_y_points_downward_and_rings_inside_are_holes():
    content = pdf_bytes([page(Fill("text", (box_ring(20, 30, 40, 20), box_ring(30, 35, 20, 10))))], title="t")
    shown = pixels(content)[:, :, 0]
    ink = int(INK[1:3], 16)
    assert [shown[5 * 32, 5 * 22], shown[5 * 40, 5 * 40], shown[5 * 260, 5 * 22]] == [ink, 255, 255]


def test_opacity_and_dashes():
    fill, bar = (
        Fill("dot", (box_ring(20, 30, 40, 20),)),
        Line("marking-dashed", (np.array([[20.0, 70.0], [120.0, 70.0]]),)),
    )
    shown = pixels(pdf_bytes([page(fill, bar)], title="t"), dpi=254)[:, :, 0]
    paper, ink = int(PAPER[1:3], 16), int(INK[1:3], 16)
    assert shown[400, 400] == pytest.approx(0.55 * ink + 0.45 * paper, abs=1)
    row = shown[700, 202:1198] < 250
    assert np.count_nonzero(np.diff(row.astype(int)) == 1) == pytest.approx(100 / (1.2 + 0.9), abs=1)
    assert row.mean() == pytest.approx(1.2 / (1.2 + 0.9), abs=0.06)


@pytest.mark.parametrize(("anchor", "left_mm"), [("start", 100.0), ("middle", 80.0), ("end", 60.0)])
@pytest.mark.parametrize("text", ["HHHHHHHHHH", "ההההההההההה"])
def test_words_hang_on_their_anchor(anchor, left_mm, text):
    content = pdf_bytes([page(Words("text", 100.0, 150.0, text, 5.0, anchor))], title="t")
    dark = np.flatnonzero((pixels(content).mean(axis=2) < 128).any(axis=0)) / 5
    width = dark[-1] - dark[0]
    share = (100.0 - left_mm) / 40.0
    assert dark[0] == pytest.approx(100.0 - share * width, abs=1.0)


def test_turned_words_run_upward():
    content = pdf_bytes([page(Words("text", 100.0, 150.0, "HHHHHHHHHH", 5.0, turn_deg=90.0))], title="t")
    assert ink_inside(content, 95.0, 100.0, 6.0, 50.0) == ink_inside(content, 0.0, 0.0, 210.0, 297.0) > 0


def test_nothing_to_draw_does_no_harm():
    one_point = np.array([[1.0, 1.0]])
    marks = [Line("line", ()), Line("line", (one_point,)), Fill("text", ()), Words("text", 1.0, 1.0, "", 4.0)]
    assert (pixels(pdf_bytes([page(*marks)], title="t")) == 255).all()


MAKE = """
import hashlib
from standmark.cli.drawing.marks import Picture, Words
from standmark.cli.drawing.pdf import pdf_bytes
marks = tuple(Words(style, 20.0, 20.0, "Őж שלום (a)", 4.0) for style in ("text", "strong", "quiet"))
print(hashlib.sha256(pdf_bytes([Picture(90.0, 50.0, marks, "t", "d")] * 2, title="שלום")).hexdigest())
"""


def test_same_bytes_in_every_run():
    def run(seed):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)}
        return subprocess.run([sys.executable, "-c", MAKE], env=environment, capture_output=True, check=True).stdout

    assert run("0") == run("7")


def test_documents_made_at_once_are_the_same_as_one_alone():
    pages = [page(*words(PLAIN), *words(PLAIN, "strong")), page(*words(SHAPED))]
    with ThreadPoolExecutor(4) as threads:
        made = list(threads.map(lambda _: pdf_bytes(pages, title="t"), range(4)))
    assert set(made) == {pdf_bytes(pages, title="t")}
