"""The page of `standmark open` in a real browser, and hands that use a pointer, taps or keys."""

from __future__ import annotations

import base64
import json
import time
from collections.abc import Callable
from typing import Any

from selenium import webdriver
from selenium.common.exceptions import NoSuchElementException, StaleElementReferenceException
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.actions.pointer_input import PointerInput
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.webelement import WebElement

PHONE, DESKTOP = (390, 844), (1280, 900)
PATIENCE_S = 60.0
SHOWN = """
from standmark.cli.open import whole_page
join = whole_page.joined
def joined(files):
    names = "server, screen, change, about, apart, toScreen: at => view.toScreen(at)"
    return join(files) + f"globalThis.inside = {{{names}}};"
whole_page.joined = joined
"""  # Python to run before the server: the page gives out its names, which no page does otherwise
STATE = """const {server, screen} = inside;
  const match = server.match || {}, focus = document.activeElement;
  return {
    said: match.said, undo: match.undo, file: match.file, change: server.change, text: server.text,
    shown: match.change, looking: server.looking, answer: server.answer && server.answer.change, none: server.none,
    isStopped: server.isStopped, held: [...screen.shapes.keys()],
    touched: screen.touched, note: screen.note, question: screen.question, tried: [...screen.tried.values()],
    focus: focus.dataset.key || focus.id}"""
ON_SCREEN = """const [at] = arguments, ground = document.getElementById('ground');
  return new Promise(requestAnimationFrame).then(() => {
    const box = ground.getBoundingClientRect(), {width, height} = ground.viewBox.baseVal, [x, y] = inside.toScreen(at);
    return [box.left + x * box.width / width, box.top + y * box.height / height]})"""  # once it is drawn
CHANGE = "inside.change(...arguments)"
DROP = """const [name, type, text] = arguments, data = new DataTransfer();
  data.items.add(new File([Uint8Array.from(atob(text), c => c.charCodeAt(0))], name, {type}));
  document.body.dispatchEvent(new DragEvent('drop', {dataTransfer: data, bubbles: true, cancelable: true}))"""
DOUBLED = """const all = [...document.querySelectorAll('button, input, select, summary, [tabindex]')];
  const keys = all.map(element => element.dataset.key);
  return keys.filter((key, i) => key && keys.indexOf(key) !== i)"""
MIDDLE = """const [element] = arguments; return new Promise(requestAnimationFrame).then(() => {
  element.scrollIntoView({block: 'center'});
  const b = element.getBoundingClientRect();
  return [b.left + b.width / 2, b.top + b.height / 2]})"""  # once it is drawn


def new_browser() -> webdriver.Chrome:
    options = webdriver.ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for argument in ("headless", "no-sandbox", "disable-gpu", "disable-background-networking", "disable-dev-shm-usage",
                     "no-first-run", "disable-component-update", "disable-sync"):  # fmt: skip
        options.add_argument(f"--{argument}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    return webdriver.Chrome(options=options, service=webdriver.ChromeService("/usr/bin/chromedriver"))


class Page:
    """The page, and what a person does on it."""

    def __init__(self, browser: webdriver.Chrome) -> None:
        self.browser = browser

    def open(self, address: str, size: tuple[int, int] = DESKTOP, *, is_dark: bool = False) -> None:
        self.show(size, is_dark=is_dark)
        for log in ("browser", "performance"):
            self.browser.get_log(log)
        self.browser.get(address)
        self.address = self.browser.current_url
        self.wait(lambda: self.browser.find_element(By.CSS_SELECTOR, "#ask-body > *:not(.help)"))

    def show(self, size: tuple[int, int], *, is_dark: bool = False, **features: str) -> None:
        """Give the screen a size, and what else a person has set: forced_colors="active" and the like."""
        is_small = size[0] < 500
        screen = {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": is_small}
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
        wishes = {"prefers_color_scheme": "dark" if is_dark else "light"} | features
        media = [{"name": name.replace("_", "-"), "value": value} for name, value in wishes.items()]
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": media})
        self.browser.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": is_small})

    def wait(self, found: Callable[[], Any], patience_s: float = PATIENCE_S) -> Any:
        """Ask until something is true, through redraws."""
        end_s = time.monotonic() + patience_s
        while True:
            try:
                if value := found():
                    return value
            except (NoSuchElementException, StaleElementReferenceException):
                value = None
            assert time.monotonic() < end_s, (found, self.state(), self.browser.get_log("browser"))
            time.sleep(0.03)

    def state(self) -> dict[str, Any]:
        return self.browser.execute_script(STATE)

    def until(self, holds: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
        """Wait for a state of the page, and return it."""
        return self.wait(lambda: (state := self.state()) and holds(state) and state)

    def key(self, key: str) -> WebElement:
        return self.wait(lambda: self.browser.find_element(By.CSS_SELECTOR, f'[data-key="{key}"]'))

    def text(self, name: str) -> str:
        return self.browser.find_element(By.ID, name).text

    def undo_all(self) -> None:
        """Back to what the file was when it was opened."""
        while self.state()["undo"]:
            before = self.state()["shown"]
            self.browser.find_element(By.ID, "undo").click()
            self.until(lambda s, before=before: s["shown"] > before)

    def change(self, what: str, *edits: dict[str, Any]) -> dict[str, Any]:
        """Change the match as another part of the page would."""
        before = self.state()["change"]
        self.browser.execute_script(CHANGE, what, edits)
        return self.until(lambda s: s["change"] > before)

    def planned(self) -> dict[str, Any]:
        return self.until(lambda s: s["answer"] is not None and s["answer"] == s["change"] and not s["looking"])

    # ---- what is wrong

    def complaints(self) -> list[str]:
        """Errors of the console, but for calls to the ended server of a page before, and requests that leave here."""
        sent = [json.loads(entry["message"])["message"] for entry in self.browser.get_log("performance")]
        urls = [m["params"]["request"]["url"] for m in sent if m["method"] == "Network.requestWillBeSent"]
        away = [url for url in urls if not url.startswith(("http://127.0.0.1:", "data:", "blob:"))]
        own = self.address.split("/")[2]
        said = [entry["message"] for entry in self.browser.get_log("browser") if entry["level"] != "INFO"]
        return away + [words for words in said if own in words or "http://127.0.0.1:" not in words]

    def doubled_keys(self) -> list[str]:
        """Keys that two parts of the page have: focus would go to the wrong one."""
        return self.browser.execute_script(DOUBLED)

    def unnamed(self) -> list[str]:
        """What one can reach by Tab but a screen reader has no name for; roles."""
        self.browser.execute_cdp_cmd("Accessibility.enable", {})
        nodes = self.browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        reached = [node for node in nodes if any(p["name"] == "focusable" for p in node.get("properties", ()))]
        return [node["role"]["value"] for node in reached if not node.get("name", {}).get("value", "").strip()]

    def heard(self) -> str:
        """What a screen reader was given to say last."""
        return self.browser.find_element(By.ID, "live").get_property("textContent")

    def width(self) -> int:
        return self.browser.execute_script("return document.documentElement.scrollWidth")

    # ---- pointer and taps

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Where a point of the ground is on the screen."""
        self.browser.execute_script("document.getElementById('ground').scrollIntoView({block: 'center'})")
        return tuple(self.browser.execute_script(ON_SCREEN, [x_m, y_m]))

    def middle(self, element: WebElement) -> tuple[float, float]:
        return tuple(self.browser.execute_script(MIDDLE, element))

    def drag(self, start: tuple[float, float], *others: tuple[float, float], kind: str = "mouse") -> None:
        """Press, move and let go; without other places it is a tap, and nothing moves between down and up."""
        hand = ActionBuilder(self.browser, mouse=PointerInput(kind, kind), duration=40)
        hand.pointer_action.move_to_location(*map(round, start)).pointer_down()
        for place in others:
            hand.pointer_action.move_to_location(*map(round, place))
        hand.pointer_action.pointer_up()
        hand.perform()

    def tap(self, place: tuple[float, float] | str) -> None:
        self.drag(self.middle(self.key(place)) if isinstance(place, str) else place, kind="touch")

    def hold(self, start: tuple[float, float], *others: tuple[float, float]) -> ActionBuilder:
        """Press and move, and do not let go yet."""
        hand = ActionBuilder(self.browser, mouse=PointerInput("mouse", "mouse"), duration=40)
        hand.pointer_action.move_to_location(*map(round, start)).pointer_down()
        for place in others:
            hand.pointer_action.move_to_location(*map(round, place))
        hand.perform()
        return ActionBuilder(self.browser, mouse=hand.pointer_action.source, duration=40)

    def drop(self, name: str, kind: str, data: bytes) -> None:
        """Drop a file on the page."""
        self.browser.execute_script(DROP, name, kind, base64.b64encode(data).decode())

    def click(self, key: str) -> None:
        self.drag(self.middle(self.key(key)))

    # ---- keys

    def click_first(self, selector: str) -> None:
        """Click the first of some elements, also where a redraw takes one away between finding and clicking."""
        self.wait(lambda: self.browser.find_element(By.CSS_SELECTOR, selector).click() is None)

    def press(self, key: str, *keys: str) -> None:
        """Press keys on something that Tab reaches."""
        element = self.key(key)
        assert element.get_property("tabIndex") == 0, key
        self.browser.execute_script("arguments[0].focus()", element)
        self.type(*keys)

    def type(self, *keys: str) -> None:
        """Type keys one after the other; Shift and Control go down, and up the next time."""
        chain, held = webdriver.ActionChains(self.browser, duration=0), set[str]()
        for key in keys:
            if key in (Keys.SHIFT, Keys.CONTROL):
                chain = chain.key_up(key) if key in held else chain.key_down(key)
                held ^= {key}
            else:
                chain = chain.send_keys(key)
        chain.perform()

    def fill(self, key: str, text: str) -> None:
        """Type into a field, in the place of what it holds."""
        element = self.key(key)
        self.browser.execute_script("arguments[0].focus(); arguments[0].select && arguments[0].select()", element)
        self.type(text, Keys.ENTER)
