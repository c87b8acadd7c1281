"""The page of `standmark open` in a real browser: from nothing to the sheet with pointer, taps and keys alone."""

import base64
from pathlib import Path

import axe_core_python
import pytest
from open_page import DESKTOP, PHONE, SHOWN, Page
from running_page import Running
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

from standmark.cli.words.shares import about

ROWS = "return [...document.querySelectorAll('[data-key=things] .row')].map(row => row.dataset.key.slice(4))"
SHIFT, LEFT, UP, DOWN = Keys.SHIFT, Keys.ARROW_LEFT, Keys.ARROW_UP, Keys.ARROW_DOWN
BANK_M = ((62, 13), (66, 23))
BANK_KEYS = (SHIFT, *[LEFT] * 12, *[UP] * 5, SHIFT, *[LEFT] * 4, Keys.ENTER,  # from (0, 38)
             *[LEFT] * 8, SHIFT, *[DOWN] * 2, SHIFT, Keys.ENTER)  # fmt: skip
ANSWERS = (("yes", " "), ("no", " ", Keys.RIGHT), ("ask", " ", Keys.LEFT))  # and the keys that choose them
ROOT = Path(__file__).parents[3]
AXE = next(Path(axe_core_python.__file__).parent.rglob("axe*.js")).read_text("utf-8")
RUN_AXE = "const done = arguments[0]; axe.run().then(found => done(found.violations.map(v => [v.id, v.nodes[0].html])))"
PATIENT = "from standmark.cli.open import live\nlive.QUIET_S = 3600.0\n"
BROKEN = """
from standmark.optimizer.planning import Planner
real = Planner.plan
def plan(self, *arguments, **options):
    if self.match.deliverable.key == "slow-motion":
        raise RuntimeError("a search that fails")
    return real(self, *arguments, **options)
Planner.plan = plan
"""
NO_TO_ALL = """inside.change('no to all', inside.server.match.ground.places.map(place => (
  {do: 'put', part: 'answers', field: place.mark ? place.name : place.key, value: 'no'})))"""
ABOUT = "return arguments[0].map(inside.about)"
LETTERS = "document.documentElement.style.fontSize = arguments[0]"
APART = "return inside.apart()"
PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAwAAAAICAIAAABChommAAAAEUlEQVR4nGOo6KkgiBhGFQEAZ/aOgYw5EOEAAAAASUVORK5CYII="
)
UNDO = (Keys.CONTROL, "z", Keys.CONTROL)
HANDS = ("pointer", "taps", "keys")


@pytest.fixture(scope="module")
def heron(tmp_path_factory):
    """A server that has a match open whose search fails for slow motion."""
    folder = tmp_path_factory.mktemp("heron")
    (folder / "match.toml").write_bytes((ROOT / "examples/heron-lane.toml").read_bytes())
    running = Running("match.toml", folder=folder, enter=False, before=SHOWN + BROKEN)
    yield running
    running.process.kill()
    running.process.communicate()


@pytest.fixture
def page(browser, heron):
    """The page of that match, as the file has it."""
    page = Page(browser)
    entered = any(cookie["name"].endswith(str(heron.port)) for cookie in browser.get_cookies())
    page.open(heron.origin + "/" if entered else heron.address)
    page.undo_all()
    return page


class Hands:
    """The same deeds by one kind of hand."""

    def __init__(self, page, kind):
        self.page, self.kind = page, kind

    def do(self, key):
        """Push a button, choose a row."""
        match self.kind:
            case "pointer":
                self.page.click(key)
            case "taps":
                self.page.tap(key)
            case _:
                self.page.press(key, Keys.ENTER)

    def choose(self, group, value, *keys):
        if self.kind == "keys":
            self.page.press(f"{group}={keys[0]}", *keys[1:])
        else:
            self.do(f"{group}={value}")

    def move(self, thing, start_m, end_m, *keys):
        page = self.page
        if self.kind == "pointer":
            page.drag(page.at(*start_m), page.at(*end_m))
            return
        self.do(f"row {thing}")
        if self.kind == "taps":
            page.tap("move it")
            page.tap(page.at(*end_m))
        else:
            page.press("move", *keys)

    def turn_rose(self):
        page = self.page
        if self.kind == "pointer":
            x, y = page.middle(page.key("rose"))
            page.drag((x - 40, y - 62), (x - 62, y - 40))
        elif self.kind == "taps":
            page.tap("rose on")
        else:
            page.press("rose", Keys.ARROW_RIGHT)

    def draw(self, add, start_m, end_m, *keys):
        page = self.page
        if self.kind == "pointer":
            page.drag(page.at(*start_m), page.at(*end_m))
            return
        self.do(add)
        if self.kind == "keys":
            page.until(lambda s: s["focus"] == "ground")
            page.type(*keys)
        else:
            page.tap(page.at(*start_m))
            page.tap(page.at(*end_m))


def from_nothing(page, hands):
    """Everything that one says of a match, in the order of the questions; the text of the file then."""
    page.fill("find", "soccer")
    page.until(lambda s: s["said"]["match"].get("sport") == "football")
    page.fill("size-length", "101")
    page.fill("size-width", "64")
    page.fill("side name +x", "mill end")
    page.until(lambda s: s["said"]["side_names"])
    hands.do("go 1")
    rows = page.wait(lambda: page.browser.execute_script(ROWS))[:3]
    for row, (answer, *keys) in zip(rows, ANSWERS, strict=True):
        hands.do(f"row {row}")
        hands.choose(f"may {row}", answer, "yes", *keys)
        page.until(lambda s, row=row, answer=answer: s["said"]["answers"].get(row.partition(":")[2]) == answer)
    hands.draw("add", *BANK_M, *BANK_KEYS)
    mark = page.until(lambda s: s["touched"] and s["touched"].startswith("allowed"))["touched"]
    page.fill(f"name {mark}", "bank")
    page.fill(f"low {mark}", "3")
    page.fill(f"high {mark}", "3.6")
    page.until(lambda s: s["said"]["allowed"][0].get("lens_height_m") == [3, 3.6])
    hands.do("go 2")
    hands.move("furniture:dugout", (10.5, 37), (12.5, 37), *[Keys.ARROW_LEFT] * 4)
    (dugouts,) = page.until(lambda s: s["said"]["furniture"])["said"]["furniture"]
    assert dugouts["polygons"][0] == [[18, 36], [18, 38], [7, 38], [7, 36]]
    assert len(dugouts["polygons"]) == 2
    hands.do("go 3")
    page.fill("lens A", "100-400 f5.6")
    page.until(lambda s: s["said"]["camera"])
    hands.do("go 4")
    Select(page.key("timezone")).select_by_visible_text("Europe/London")
    page.until(lambda s: s["said"]["match"].get("timezone"))
    page.key("start").send_keys("04172027", Keys.TAB, "0300PM")
    page.fill("place", "52.61, 1.38")
    page.until(lambda s: s["said"]["venue"].get("latitude"))
    hands.turn_rose()
    page.until(lambda s: s["said"]["venue"].get("bearing_deg"))
    page.fill("bearing", "328")
    page.until(lambda s: s["said"]["venue"].get("bearing_deg") == 328)
    hands.do("go 5")
    hands.choose("Whose match is it?", "ours", "both", Keys.LEFT)
    return page.until(lambda s: s["said"]["match"].get("cover") == "ours")["text"]


@pytest.fixture
def served(tmp_path):
    """A server that has no match yet, and plans only when it saves: what is typed meanwhile needs no plan."""
    running = Running(folder=tmp_path, enter=False, before=SHOWN + PATIENT)
    yield running
    running.process.kill()
    running.process.communicate()


def test_pointer_taps_and_keys_make_the_same_file(browser, served, tmp_path):
    page = Page(browser)
    page.open(served.address)
    start, texts = page.state()["text"], []
    for kind in HANDS:
        page.show(PHONE if kind == "taps" else DESKTOP)
        texts.append(from_nothing(page, Hands(page, kind)))
        if kind != HANDS[-1]:
            page.undo_all()
            assert page.state()["text"] == start
            page.browser.refresh()
            page.wait(lambda: page.key("find"))
    assert texts[1] == texts[0]
    assert texts[2] == texts[0]
    page.press("go save", Keys.ENTER)
    page.wait(lambda: page.text("strip").startswith("Saved at"), patience_s=240)
    assert (tmp_path / "match.toml").read_text("utf-8") == texts[0]
    assert {"sheet.pdf", "sheet.html", "plan.json"} <= {entry.name for entry in (tmp_path / "plan").iterdir()}
    assert page.key("sheet.pdf").get_attribute("href") == f"{served.origin}/files/sheet.pdf"
    assert page.complaints() == []


# ---- a match that is open


def put(part, field, value):
    return {"do": "put", "part": part, "field": field, "value": value}


def scaffold(state):
    return next(entry for entry in state["said"]["allowed"] if entry["name"] == "scaffold")


@pytest.mark.parametrize(("size", "is_dark"), [(DESKTOP, False), (PHONE, True)])
def test_every_question_is_for_everyone(page, size, is_dark):
    page.planned()
    page.show(size, is_dark=is_dark)
    page.browser.execute_script(AXE)
    for question in range(6):
        page.press(f"go {question}", Keys.ENTER)
        page.until(lambda s, question=question: s["question"] == question)
        if question in (1, 2):
            page.click_first(".row")
            page.until(lambda s: s["touched"])
        assert page.browser.execute_async_script(RUN_AXE) == []
        assert page.doubled_keys() == []
        assert page.unnamed() == []
        assert page.width() <= size[0]
        if size == PHONE:
            page.show((320, 700))
            assert page.width() <= 320, question
            page.browser.execute_script(LETTERS, "200%")
            assert page.width() <= 320, question
            page.browser.execute_script(LETTERS, "")
            page.show(size, is_dark=is_dark)
    assert page.complaints() == []


def test_a_corner_moves_alone_and_escape_puts_back(page):
    page.click("go 1")
    page.click("row allowed:2")
    page.until(lambda s: s["touched"] == "allowed:2")
    x, y = page.middle(page.key("corner 0"))
    page.drag((x, y), (x + 3, y + 20), (x, y + 33))
    state = page.until(lambda s: s["undo"] == "stretch mill end, right of the goal")
    entry = state["said"]["allowed"][1]
    assert entry["offset_m"] == [5, 7]
    assert entry["span_m"][1] == 30
    assert 12 < entry["span_m"][0] < 20
    page.tap("corner 0")
    page.tap(page.at(56, 4))
    state = page.until(lambda s: s["said"]["allowed"][1]["span_m"] == [4, 30])
    assert state["said"]["allowed"][1]["offset_m"] == [5.5, 7]
    place = page.middle(page.key("allowed:5"))
    hand = page.hold(place, (place[0] + 40, place[1] + 30))
    assert page.until(lambda s: s["held"])["held"] == ["allowed:5"]
    page.type(Keys.ESCAPE)
    assert page.until(lambda s: not s["held"])["change"] == state["change"]
    hand.pointer_action.pointer_up()
    hand.perform()
    assert page.state()["change"] == state["change"]


def test_keys_turn_move_and_remove_and_focus_is_never_lost(page):
    page.press("go 1", Keys.ENTER)
    page.press("row allowed:5", Keys.ENTER)
    page.press("allowed:5", Keys.ARROW_UP, Keys.ARROW_UP, Keys.ARROW_RIGHT)
    state = page.until(lambda s: s["undo"] == "move scaffold")
    assert (scaffold(state)["span_m"], scaffold(state)["offset_m"]) == ([-2.5, 1.5], [10, 12])
    assert state["focus"] == "allowed:5"
    page.type("[")
    state = page.until(lambda s: s["undo"] == "turn scaffold")
    assert len(scaffold(state)["polygon"]) == 4
    page.type(Keys.DELETE)
    state = page.until(lambda s: s["undo"] == "remove scaffold" and s["focus"].startswith("row "))
    page.type(*UNDO)
    assert scaffold(page.until(lambda s: s["undo"] == "turn scaffold"))["max_cameras"] == 1


def test_a_camera_held_elsewhere_is_worth_something_at_once_and_changes_nothing(page):
    before = page.planned()
    page.drag(page.middle(page.key("camera 0")), page.at(-20, -36), page.at(20, -36))
    tried = page.until(lambda s: s["tried"] and s["tried"][0]["worth"])
    assert tried["tried"][0]["worth"] < tried["tried"][0]["best"]
    page.wait(lambda: "Your spot gets" in page.text("answer"))
    assert tried["change"] == before["change"]
    shares = [n / 50 for n in range(51)]
    assert page.browser.execute_script(ABOUT, shares) == [about(share) for share in shares]
    page.click("back 0")
    page.until(lambda s: not s["tried"])


def test_a_search_that_fails_says_so_and_undo_leads_back(page):
    page.change("what it is for", put("match", "deliverable", "slow-motion"))
    page.wait(lambda: "This went wrong on our side" in page.text("answer"))
    page.click("Undo the last change")
    page.planned()
    assert "went wrong" not in page.text("answer")


def test_nowhere_to_stand_says_so_and_each_remedy_leads_to_a_plan(page):
    page.planned()
    page.browser.execute_script(NO_TO_ALL)
    state = page.until(lambda s: s["none"])
    assert "nowhere to stand" in page.text("answer")
    page.click("remedy 0")
    page.until(lambda s: s["change"] > state["change"])
    page.planned()
    page.wait(lambda: page.heard().startswith("New plan. Camera A: "))


def test_a_start_that_has_passed_and_edges_that_would_cross_are_said(page):
    page.change("start", put("match", "start", "2025-04-17T15:00:00"))
    page.click("go 4")
    page.wait(lambda: "17 April 2025 has passed" in page.text("ask-body"))
    page.click("next year")
    page.until(lambda s: s["said"]["match"]["start"] > "2026-04-17")
    page.change("shape", {"do": "put", "part": "allowed:5", "field": "side", "value": None},
                put("allowed:5", "span_m", None), put("allowed:5", "offset_m", None),
                put("allowed:5", "polygon", [[0, -41], [10, -42], [10, -46], [0, -45]]))  # fmt: skip
    page.click("go 1")
    page.click("row allowed:5")
    page.tap("corner 0")
    page.tap(page.at(14, -44))
    page.wait(lambda: "The edges of \u201cscaffold\u201d would cross" in page.text("strip"))
    assert page.until(lambda s: not s["held"])["undo"] == "shape"


def test_two_pages_show_every_change_and_share_undo(page):
    browser, first = page.browser, page.browser.current_window_handle
    page.click("go 5")
    browser.switch_to.new_window("tab")
    page.open(browser.execute_script("return arguments[0]", page.address))
    page.change("title", put("match", "title", "From the other page"))
    browser.close()
    browser.switch_to.window(first)
    state = page.until(lambda s: s["said"]["match"]["title"] == "From the other page")
    assert browser.find_element("id", "title").get_property("value") == "From the other page"
    assert state["undo"] == "title"
    page.type(*UNDO)
    page.until(lambda s: s["said"]["match"]["title"] == "Saltmarsh Cup, second round")


def test_names_in_any_script_are_shown_whole_and_are_never_markup(page):
    name = "\u0645\u062f\u0631\u062c <b>\"&amp;' \U0001f3a5"
    page.click("go 1")
    page.click("row allowed:5")
    page.change("rename", put("allowed:5", "name", name))
    shown = page.wait(lambda: page.browser.find_element("css selector", '[data-key="row allowed:5"] bdi'))
    page.wait(lambda: shown.text == name)
    assert page.browser.find_elements("css selector", "#ask b, #ground b") == []
    assert page.key("allowed:5").get_attribute("aria-label").startswith(name)
    page.change("name of a side", put("side_names", "+x", "\u0645\u062f\u0631\u062c"))
    page.wait(lambda: "\u2068\u0645\u062f\u0631\u062c\u2069" in page.text("answer"))  # isolated in what is said of it


def test_a_picture_under_the_lines_is_scaled_by_two_points(page):
    page.click("go 0")
    page.drop("ground.png", "image/png", PICTURE)
    page.wait(lambda: page.browser.find_element("css selector", "#ground image"))
    page.tap(page.at(20, 10))
    page.tap(page.at(-20, 10))
    page.fill("known", "50")
    page.wait(lambda: page.browser.execute_script(APART) == pytest.approx(50))
    page.drop("plan.dwg", "", b"no map")
    page.wait(lambda: "can't read .dwg files" in page.text("strip"))
    assert page.state()["undo"] is None


def test_a_server_that_stops_under_the_page_loses_nothing(page, heron, tmp_path):
    page.click("go 1")
    page.change("title", put("match", "title", "Kept in the page"))
    text = page.state()["text"]
    heron.process.kill()
    page.wait(lambda: "standmark has stopped on your computer" in page.text("strip"))
    assert page.browser.find_element("id", "strip").get_attribute("role") == "alert"
    page.click("row allowed:5")
    page.fill("gap allowed:5", "12")
    assert page.state()["text"] == text
    folder = {"behavior": "allow", "downloadPath": str(tmp_path)}
    page.browser.execute_cdp_cmd("Browser.setDownloadBehavior", folder)
    page.click("Save a copy as a file")
    copy = tmp_path / "match-copy.toml"
    page.wait(copy.exists)
    assert copy.read_text("utf-8") == text
