"""The page of `standmark open` in a real browser: from nothing to the sheet with pointer, taps and keys alone."""

import pytest
from open_page import DESKTOP, PHONE, Page, Served, new_browser
from selenium.webdriver.common.keys import Keys

ROWS = "return [...document.querySelectorAll('[data-key=things] .row')].map(row => row.dataset.key.slice(4))"
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
    """Everything that one says of a match, in the order of the questions."""
    page.fill("find", "soccer")
    page.until(lambda s: s["said"]["match"].get("sport") == "football")
    page.fill("size-length", "101")
    page.fill("size-width", "64")
    page.until(lambda s: s["said"]["venue"].get("width_m") == 64)
    page.fill("side name +x", "mill end")
    page.until(lambda s: s["said"]["side_names"])
    hands.do("go 1")
    rows = page.wait(lambda: page.browser.execute_script(ROWS))[:3]
    for row, answer, keys in zip(rows, ("yes", "no", "ask"), ((" ",), (" ", Keys.RIGHT), (" ", Keys.RIGHT, Keys.RIGHT)), strict=True):
        hands.do(f"row {row}")
        hands.choose(f"may {row}", answer, "yes", *keys)
        page.until(lambda s, row=row, answer=answer: s["said"]["answers"].get(row.partition(":")[2]) == answer)
    shift = Keys.SHIFT
    far = (Keys.ARROW_LEFT,) * 12 + (Keys.ARROW_UP,) * 5
    hands.draw("add", (60, 13), (65, 23), shift, *far, shift, Keys.ENTER, shift, Keys.ARROW_LEFT, Keys.ARROW_DOWN, Keys.ARROW_DOWN, shift, Keys.ENTER)
    state = page.until(lambda s: s["said"]["allowed"])
    page.fill(f"name {state['touched']}", "bank")
    page.until(lambda s: s["said"]["allowed"][0]["name"] == "bank")
    print(state["said"])


@pytest.mark.parametrize("kind", HANDS)
def test_from_nothing_to_the_sheet(browser, served, kind):
    page = Page(browser)
    page.open(served.address)
    from_nothing(page, Hands(page, kind))
    assert PHONE and DESKTOP
