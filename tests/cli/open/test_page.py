"""The page of `standmark open` in a real browser: from nothing to the sheet with pointer, taps and keys alone."""

import pytest
from open_page import Page, Served, new_browser
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

ROWS = "return [...document.querySelectorAll('[data-key=things] .row')].map(row => row.dataset.key.slice(4))"
SHIFT, LEFT, UP, DOWN = Keys.SHIFT, Keys.ARROW_LEFT, Keys.ARROW_UP, Keys.ARROW_DOWN
BANK_M = ((62, 13), (66, 23))
BANK_KEYS = (SHIFT, *[LEFT] * 12, *[UP] * 5, SHIFT, *[LEFT] * 4, Keys.ENTER,  # from (0, 38)
             *[LEFT] * 8, SHIFT, *[DOWN] * 2, SHIFT, Keys.ENTER)  # fmt: skip
ANSWERS = (("yes", " "), ("no", " ", Keys.RIGHT), ("ask", " ", Keys.LEFT))  # and the keys that choose them
HANDS = ("pointer", "taps", "keys")


@pytest.fixture(scope="module")
def browser():
    driver = new_browser()
    yield driver
    driver.quit()


@pytest.fixture
def served(tmp_path):
    server = Served(tmp_path)
    yield server
    server.stop()


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
    state = page.until(lambda s: len(s["said"]["obstacle"]) == 2)
    assert state["said"]["obstacle"][0]["polygon"] == [[18, 36], [18, 38], [7, 38], [7, 36]]
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


def undo_all(page):
    while page.state()["undo"]:
        before = page.state()["change"]
        page.browser.find_element("id", "undo").click()
        page.until(lambda s, before=before: s["change"] > before)


def test_pointer_taps_and_keys_make_the_same_file(browser, served):
    page = Page(browser)
    page.open(served.address)
    start, texts = page.state()["text"], []
    for kind in HANDS:
        texts.append(from_nothing(page, Hands(page, kind)))
        if kind != HANDS[-1]:
            undo_all(page)
            assert page.state()["text"] == start
            page.browser.refresh()
            page.wait(lambda: page.key("find"))
    assert texts[1] == texts[0]
    assert texts[2] == texts[0]
    page.press("go save", Keys.ENTER)
    page.wait(lambda: page.text("strip").startswith("Saved at"))
    assert served.file.read_text("utf-8") == texts[0]
