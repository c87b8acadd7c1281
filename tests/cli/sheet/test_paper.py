"""The sheet on paper: pages, what they say, and what happens when there is more than a page holds."""

import re
import subprocess

import pytest
from drawn_plans import content_of, default_plan, hostile_plan, placed_plan, stretches_of

from standmark.cli.drawing.marks import Words
from standmark.cli.sheet.blocks import Block, beside, heading, paragraph, stack, table
from standmark.cli.sheet.content import CONTACTS
from standmark.cli.sheet.lead_page import lead_blocks
from standmark.cli.sheet.paper import PAPERS, Part, part_pages
from standmark.cli.sheet.paper_sheet import sheet_pages, sheet_pdf


def text_of(page):
    return " ".join(mark.text.replace("\u00a0", " ") for mark in page.marks if isinstance(mark, Words))


def test_first_the_crew_lead_then_a_page_for_each_camera():
    plan = placed_plan()
    pages = sheet_pages(content_of(plan))
    titles = [page.title for page in pages]
    assert titles[0] == "Crew lead"
    for camera in plan.match.cameras:
        own = [page for page in pages if page.title.startswith(f"Camera {camera.name}, ")]
        assert len([page for page in own if not page.title.endswith("continued")]) == len(stretches_of(plan))
        assert "Operator" in text_of(own[0])


def test_camera_page_holds_what_an_operator_needs():
    plan = placed_plan()
    page = next(p for p in sheet_pages(content_of(plan)) if p.title.startswith("Camera A, "))
    said = text_of(page)
    for word in ("stand", "lens", "pan", "covers", "if refused", "Widest:", "Key moment:", "What to get", "Settings",
                 "17:00 start", "Cautions", "From here"):  # fmt: skip
        assert word in said, word
    frames = [mark for mark in page.marks if mark.style == "frame-edge"]
    assert len(frames) == 3


def test_lead_pages_hold_plan_positions_duties_times_and_cautions():
    plan = placed_plan()
    said = " ".join(text_of(p) for p in sheet_pages(content_of(plan)) if p.title.startswith("Crew lead"))
    for word in ("Evening singles", "Positions", "Who does what", "Cautions", "Contacts", "second angle", "17:00"):
        assert word in said, word


def test_contacts_stay_together():
    last = lead_blocks(content_of(placed_plan()), PAPERS["a4"])[-1]
    assert {mark.text for mark in last.marks if isinstance(mark, Words)} == set(CONTACTS)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("make", [placed_plan, hostile_plan, lambda: default_plan("football")])
def test_nothing_leaves_the_page(make, paper):
    plan = make()
    for page in sheet_pages(content_of(plan), paper=paper):
        assert (page.width_mm, page.height_mm) == (PAPERS[paper].width_mm, PAPERS[paper].height_mm)
        for mark in page.marks:
            parts = [] if isinstance(mark, Words) else getattr(mark, "rings", None) or mark.parts
            for part in parts:
                assert part.min() >= 5.0
                assert part[:, 0].max() <= page.width_mm - 5.0
                assert part[:, 1].max() <= page.height_mm - 5.0
            if isinstance(mark, Words):
                assert 5.0 <= mark.y_mm <= page.height_mm - 5.0


def test_document_has_the_pages_and_their_numbers(tmp_path):
    plan = hostile_plan()
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheet_pdf(content_of(plan), paper="letter"))
    pages = sheet_pages(content_of(plan))
    text = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True).stdout
    assert [int(n) for n in re.findall(r"^(\d+) of \d+$", text, re.MULTILINE)] == list(range(1, text.count("\f") + 1))
    assert len(pages) >= 3
    assert "alert(1)" in text


def test_blocks_flow_on_and_a_heading_keeps_what_follows():
    rows = [Block(100.0, 20.0) for _ in range(12)]
    title = heading("Title", width_mm=100.0)
    pages = part_pages(Part("part", [*rows, title, Block(100.0, 20.0)]), PAPERS["a4"], footer="foot")
    assert [page.title for page in pages] == ["part", "part, continued"]
    assert "Title" in text_of(pages[1])


def test_tables_wrap_and_blocks_add_up():
    rows = table(("a", "b"), [("word " * 12, "x"), ("y", "z")], widths=(1, 1), width_mm=60.0)
    assert rows[0].keeps_next
    assert rows[1].height_mm > 2 * rows[2].height_mm
    whole = stack(rows, gap_mm=1.0)
    assert whole.height_mm == pytest.approx(sum(r.height_mm for r in rows) + 2.0)
    assert beside([whole, whole], gap_mm=5.0).width_mm == pytest.approx(125.0)
    assert paragraph("", width_mm=10.0).height_mm == 0.0
