"""A place found on the page from a photograph: points are tapped and set by keys, and a known view comes back."""

import numpy as np
import pytest
from open_page import PHONE, SHOWN, Page
from PIL import Image
from running_page import Running
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

from standmark.cli.ground.landmarks import landmarks
from standmark.geometry.fit.pose import FULL_FRAME_MM
from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.optics.projection import project, view_toward
from standmark.optimizer.match.usual_areas import side_names
from standmark.sports.library import load_sport

SIZE_PX = (2000, 1500)
SEAT_M = (-6.0, -46.5, 7.4)
EQUIVALENT_MM = 26
ON_SCREEN = """const [u, v] = arguments, svg = document.getElementById('photo');
  const at = new DOMPoint(u, v).matrixTransform(svg.getScreenCTM()); return [at.x, at.y]"""
PHOTO = "return inside.screen.photo"


def seen_points():
    """Points of a football ground and where a photograph from the seat shows them [px]."""
    sport = load_sport("football")
    known = landmarks(sport.area, side_names(sport))
    focal_mm = EQUIVALENT_MM * 45.0 / FULL_FRAME_MM  # a picture of 36 x 27 mm has a diagonal of 45 mm
    view = view_toward(SEAT_M, (-10.0, 0.0, 0.0), focal_mm=focal_mm, mode=RecordingMode("photo", 36.0, 27.0, *SIZE_PX))
    uv_px = project(view, np.array(list(known.values())))
    return {
        name: tuple(at)
        for name, at in zip(known, uv_px.tolist(), strict=True)
        if 30 < at[0] < SIZE_PX[0] - 30 and 30 < at[1] < SIZE_PX[1] - 30
    }


@pytest.fixture
def page(browser, tmp_path):
    (tmp_path / "match.toml").write_text('[match]\nsport = "football"\n', "utf-8")
    quiet = SHOWN + "from standmark.cli.open import live\nlive.QUIET_S = 3600.0"
    running = Running("match.toml", folder=tmp_path, enter=False, before=quiet)
    page = Page(browser)
    page.open(running.address, PHONE)
    yield page
    running.process.kill()
    running.process.communicate()


def mark(page, name, at_px):
    Select(page.key("photo-point")).select_by_visible_text(name)
    page.wait(lambda: page.browser.execute_script(PHOTO)["naming"] == name)
    before = len(page.browser.execute_script(PHOTO)["marks"])
    page.browser.execute_script("document.getElementById('photo').scrollIntoView({block: 'nearest'})")
    page.tap(tuple(page.browser.execute_script(ON_SCREEN, *at_px)))
    page.wait(lambda: len(page.browser.execute_script(PHOTO)["marks"]) == before + 1)


def test_a_seat_is_found_from_points_tapped_in_a_photo_and_added_as_one_step(page, tmp_path):
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA405] = EQUIVALENT_MM
    Image.new("RGB", SIZE_PX, "green").save(tmp_path / "seat.jpg", exif=exif)
    page.press("go 1", Keys.ENTER)
    page.key("photo-file").send_keys(str(tmp_path / "seat.jpg"))
    page.wait(lambda: page.key("photo-focal").get_property("value") == str(EQUIVALENT_MM))
    points = seen_points()
    names = list(points)[:: max(1, len(points) // 9)]
    for name in names[:3]:
        mark(page, name, points[name])
    page.press("find place", Keys.ENTER)
    assert "3 marks; allowed: at least 4" in page.key("photo fault").text

    for name in names[3:]:
        mark(page, name, points[name])
    held = page.browser.execute_script(PHOTO)["marks"][-1]["at"]
    page.press("photo by keys", Keys.ENTER)
    page.until(lambda s: s["focus"] == "photo")
    page.type(Keys.SHIFT, Keys.ARROW_LEFT, Keys.SHIFT, Keys.ENTER)
    page.until(lambda s: s["focus"] == "photo-point")
    moved = page.browser.execute_script(PHOTO)["marks"][-1]["at"]
    assert moved == pytest.approx([held[0] - 0.05 * SIZE_PX[0], held[1]], abs=0.11)
    page.press("find place", Keys.ENTER)
    assert f"\u201c{names[-1]}\u201d doesn't fit" in page.wait(lambda: page.key("photo found").text)
    page.press("photo", Keys.SHIFT, Keys.ARROW_RIGHT, Keys.SHIFT, Keys.ENTER)
    page.until(lambda s: s["focus"] == "photo-point")
    page.press("find place", Keys.ENTER)
    found = page.wait(lambda: page.browser.execute_script(PHOTO)["found"])
    assert found["doubtful"] is None
    for at_m, se_m, true_m in zip(found["at_m"], found["se_m"], SEAT_M, strict=True):
        assert abs(at_m - true_m) < 3 * se_m < 1.5
    assert "Both are standard errors" in page.key("photo found").text

    page.press("add seat", Keys.ENTER)
    state = page.until(lambda s: s["said"]["allowed"] and s["focus"].startswith("row allowed"))
    (seat,) = state["said"]["allowed"]
    assert seat["lens_height_m"] == pytest.approx([found["at_m"][2]] * 2, abs=0.051)
    assert np.mean(seat["span_m"]) == pytest.approx(found["at_m"][0], abs=0.02)
    assert 34 + np.mean(seat["offset_m"]) == pytest.approx(-found["at_m"][1], abs=0.02)
    assert page.browser.execute_script(PHOTO) is None
    page.undo_all()
    assert (tmp_path / "match.toml").read_text("utf-8") == page.state()["text"]
    assert [said for said in page.complaints() if "/spot - " not in said] == []  # the refusal is an answer of 400
