"""More that the page can show: a folder, a search out of time, a sport of one's own, forced colours."""

from pathlib import Path

import axe_core_python
import pytest
from open_page import DESKTOP, PHONE, SHOWN, Page
from running_page import Running
from selenium.webdriver.common.keys import Keys

EXAMPLES = Path(__file__).parents[3] / "examples"
AXE = next(Path(axe_core_python.__file__).parent.rglob("axe*.js")).read_text("utf-8")
RUN_AXE = "const done = arguments[0]; axe.run().then(found => done(found.violations.map(v => [v.id, v.nodes[0].html])))"
CORNER = '[[venue.allowed]]\nname = "corner"\nside = "+x"\nspan_m = [0, 2]\noffset_m = [3, 4]\n'
TWO = '[[camera]]\nname = "A"\n[[camera]]\nname = "B"\n'
STYLE = "return getComputedStyle(document.querySelector(arguments[0]))[arguments[1]]"
BUSY = """
const sign = document.body.appendChild(document.createElement("span"));
sign.className = "busy";
const found = getComputedStyle(sign).animationName;
sign.remove();
return found;
"""


def opened(folder, *arguments):
    return Running(*arguments, folder=folder, enter=False, before=SHOWN)


def ended(running):
    running.process.kill()
    running.process.communicate()


@pytest.fixture(scope="module")
def league(tmp_path_factory):
    folder = tmp_path_factory.mktemp("league")
    (folder / "a.toml").write_text(f'[match]\nsport = "netball"\n[venue]\nname = "Salt Hall"\n{CORNER}')
    (folder / "b.toml").write_text('[match]\nsport = "netball"\n[venue]\nlatitude = 200\nlongitude = 0\n')
    running = opened(folder.parent, folder)
    yield running
    ended(running)


@pytest.mark.parametrize(("size", "is_dark"), [(DESKTOP, False), (PHONE, True)])
def test_a_folder_lists_its_grounds_and_opens_one(browser, league, size, is_dark):
    page = Page(browser)
    page.open(league.address if size == DESKTOP else f"{league.origin}/", size, is_dark=is_dark)
    page.wait(lambda: "falls short" in page.key("ground a.toml").text)
    assert "latitude: out of range" in page.wait(lambda: page.key("ground b.toml").text)
    browser.execute_script(AXE)
    assert browser.execute_async_script(RUN_AXE) == []
    assert (page.unnamed(), page.doubled_keys()) == ([], [])
    assert page.width() <= size[0]
    deed = page.click if size == DESKTOP else lambda key: page.press(key, Keys.ENTER)
    deed("ground a.toml")
    page.until(lambda s: s["said"] and s["said"]["venue"]["name"] == "Salt Hall" and s["focus"] == "q")
    assert browser.execute_async_script(RUN_AXE) == []
    page.change("title", {"do": "put", "part": "match", "field": "title", "value": "Cup"})
    deed("to list")
    page.wait(lambda: "a.toml is not saved yet" in page.text("strip"))
    deed("leave")
    page.key("ground b.toml")
    assert page.text("q") == "Which ground?"
    assert [said for said in page.complaints() if "/open - " not in said] == []  # the refusal is an answer of 422


def test_a_search_that_ran_out_of_time_shows_the_best_so_far_and_goes_on(browser, tmp_path):
    (tmp_path / "match.toml").write_text(f'[match]\nsport = "netball"\n{TWO}')
    running = opened(tmp_path, "match.toml", "--time-limit", "0.01")
    page = Page(browser)
    page.open(running.address)
    page.planned()
    assert page.browser.find_element("css selector", "#answer h2").text == "Best so far"
    assert "Another pair of places may get" in page.text("answer")
    page.show(DESKTOP, prefers_reduced_motion="reduce")
    page.press("Keep looking", Keys.ENTER)
    assert page.browser.execute_script(BUSY) == "none"
    page.wait(lambda: page.browser.find_element("css selector", "#answer h2").text == "Stand here")
    assert page.state()["focus"] == "heading"
    ended(running)


def test_a_sport_of_ones_own_is_shown_and_offered_and_forced_colours_keep_outlines(browser, tmp_path):
    (tmp_path / "sports").mkdir()
    (tmp_path / "sports" / "lantern-ball.toml").write_bytes((EXAMPLES / "sports" / "lantern-ball.toml").read_bytes())
    text = '[match]\nsport_file = "sports/lantern-ball.toml"  # ours\n'
    (tmp_path / "match.toml").write_text(text)
    running = opened(tmp_path, "match.toml")
    page = Page(browser)
    page.open(running.address)
    page.planned()
    assert "from sports/lantern-ball.toml" in page.text("ask-body")
    page.fill("size-length", "40")
    page.until(lambda s: s["said"]["venue"].get("length_m") == 40)
    page.click("Another sport")
    page.fill("find", "netball")
    page.until(lambda s: s["said"]["match"] == {"sport": "netball"})
    page.click("Another sport")
    page.click("sport sports/lantern-ball.toml")
    page.until(lambda s: s["said"]["match"] == {"sport_file": "sports/lantern-ball.toml"})
    page.undo_all()
    assert page.state()["text"] == text

    page.show(DESKTOP, forced_colors="active")
    page.click("go 1")
    page.planned()
    page.wait(lambda: browser.find_elements("css selector", ".place.yes"))
    paper = page.wait(lambda: browser.execute_script(STYLE, "body", "backgroundColor"))
    assert browser.execute_script(STYLE, ".place.yes", "fill") == paper
    assert browser.execute_script(STYLE, ".place.yes", "stroke") != paper
    assert browser.execute_script(STYLE, ".body.fill-a", "fill") == "rgb(0, 114, 178)"
    assert browser.execute_script(STYLE, ".disc", "borderTopStyle") == "solid"
    assert page.complaints() == []
    ended(running)
