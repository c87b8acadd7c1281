"""The page of the sheet in a real browser: looked up, dragged, typed at, offline, small and large, dark and printed."""

import base64
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import axe_core_python
import numpy as np
import pytest
from drawn_plans import content_of, default_plan, hostile_plan, placed_plan, stretches_of
from selenium import webdriver
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from standmark.cli.drawing.frame import figure_panels
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.input.log_file import counts_of, read_log
from standmark.cli.input.logged_plan import read_planned
from standmark.cli.sheet.html_sheet import page_ground, sheet_html
from standmark.geometry.optics.projection import project
from standmark.optimizer.picture.frame import take_frame
from standmark.optimizer.picture.people import people_at

NAME_OF_ACTIVE = "const e = document.activeElement; return e.name || e.getAttribute('aria-label') || e.tagName"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
PHONE, DESKTOP = (390, 844), (1280, 900)


@pytest.fixture(scope="module")
def browser():
    options = webdriver.ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for argument in ("headless", "no-sandbox", "disable-gpu", "disable-background-networking", "disable-dev-shm-usage",
                     "no-first-run", "disable-component-update", "disable-sync"):  # fmt: skip
        options.add_argument(f"--{argument}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService("/usr/bin/chromedriver"))
    driver.execute_cdp_cmd("Network.enable", {})
    driver.execute_cdp_cmd("Network.emulateNetworkConditions",
                           {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0})  # fmt: skip
    yield driver
    driver.quit()


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "sheet.html"
    path.write_bytes(sheet_html(content_of(placed_plan())))
    return path


def open_page(browser, path, size=DESKTOP):
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": size is PHONE},
    )
    for log in ("browser", "performance"):
        browser.get_log(log)
    browser.get(path.as_uri())


def words(browser, name):
    return browser.find_element(By.ID, name).text


def over_ground(browser, plan, *places_m):
    """Mouse movements over points of the ground, one chain of actions for each."""
    ground = page_ground(plan)
    svg = browser.find_element(By.ID, "plan")
    browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", svg)
    box = browser.execute_script("const r = arguments[0].getBoundingClientRect(); return [r.width, r.height]", svg)
    view = [float(v) for v in svg.get_dom_attribute("viewBox").split()]
    for place in places_m:
        x, y = ground.point(*place)
        yield svg, round((x / view[2] - 0.5) * box[0]), round((y / view[3] - 0.5) * box[1])


def tap(browser, plan, x_m, y_m):
    """Click on a point of the ground."""
    for target in over_ground(browser, plan, (x_m, y_m)):
        ActionChains(browser).move_to_element_with_offset(*target).click().perform()


def drag(browser, plan, *places_m):
    """Press at the first place, move over the others, let go at the last."""
    first, *rest = over_ground(browser, plan, *places_m)
    chain = ActionChains(browser).move_to_element_with_offset(*first).click_and_hold()
    for target in rest:
        chain = chain.move_to_element_with_offset(*target)
    chain.release().perform()


def data_of(path):
    return json.loads(
        re.search(r'<script type="application/json" id="data">(.*?)</script>', path.read_text("utf-8")).group(1)
    )


@pytest.mark.parametrize("size", [PHONE, DESKTOP])
def test_page_opens_offline_without_errors_or_requests(browser, page, size):
    open_page(browser, page, size)
    assert words(browser, "coverage").startswith("As planned: ")
    assert [entry for entry in browser.get_log("browser") if entry["level"] != "INFO"] == []
    sent = [json.loads(e["message"])["message"] for e in browser.get_log("performance")]
    urls = [m["params"]["request"]["url"] for m in sent if m["method"] == "Network.requestWillBeSent"]
    assert [url for url in urls if not url.startswith(("file:", "data:font/"))] == []
    width = browser.execute_script("return document.documentElement.scrollWidth")
    assert width <= size[0]


def test_no_word_of_a_table_is_broken_on_a_phone(browser, page):
    """Every word stands on one line, and every table is read without moving it sideways."""
    open_page(browser, page, PHONE)
    broken = browser.execute_script(
        """
        const broken = [], range = document.createRange();
        for (const cell of document.querySelectorAll("td, th")) {
          if (!cell.offsetParent || cell.closest("thead")?.matches(".many thead")) continue;
          for (const node of cell.childNodes) {
            if (node.nodeType !== Node.TEXT_NODE) continue;
            for (const word of node.data.matchAll(/[^\\s-]+/g)) {
              range.setStart(node, word.index);
              range.setEnd(node, word.index + word[0].length);
              if (range.getClientRects().length > 1) broken.push(word[0]);
            }
          }
        }
        for (const box of document.querySelectorAll(".wide"))
          if (box.scrollWidth > box.clientWidth + 1) broken.push("sideways: " + box.textContent.slice(0, 40));
        return broken;
        """
    )
    assert broken == []


def test_share_shown_is_what_the_plan_sees(browser, page):
    open_page(browser, page)
    first = stretches_of(placed_plan())[0].first
    assert words(browser, "coverage") == f"As planned: you get {100 * first.seen:.0f} % of the match."


def test_tap_says_who_has_the_place_and_draws_the_frame(browser, page):
    open_page(browser, page, PHONE)
    plan, table = placed_plan(), data_of(page)["stretches"][0]
    step = table["cells"]["step"]
    cells = (np.array(table["cells"]["at"]).reshape(-1, 2) + 0.5) * step
    cell = int(np.argmin(np.hypot(*(cells - (-11.0, 2.0)).T)))
    tap(browser, plan, *cells[cell].tolist())
    rows = [table["choice"][i][place] for i, place in enumerate(table["planned"])]
    worths, shares = (
        [float(here[row, cell]) / 255 for row in rows]
        for what in ("quality", "seen")
        for here in [np.frombuffer(base64.b64decode(table["cells"][what]), np.uint8).reshape(-1, len(cells))]
    )
    first, second = (f"{round(100 * share)} %" for share in shares)
    assert words(browser, "has-words").endswith(f" here: camera A gets {first} of them, B {second}.")
    best = plan.match.cameras[int(np.argmax(worths))].name
    assert f"from camera {best}" in words(browser, "frame-words")
    assert len(browser.find_elements(By.CSS_SELECTOR, "#frame .subject")) == 1


def test_live_frame_is_the_one_that_python_draws(browser, page):
    open_page(browser, page)
    plan, data = placed_plan(), data_of(page)
    tap(browser, plan, 11.5, -1.0)
    table = data["stretches"][0]
    cross = browser.find_element(By.CSS_SELECTOR, ".cross")
    cell = int(cross.get_attribute("aria-valuenow")) - 1
    at_m = tuple((v + 0.5) * table["cells"]["step"] for v in table["cells"]["at"][2 * cell : 2 * cell + 2])
    moment = plan.match.sport.moments[base64.b64decode(table["cells"]["moment"])[cell]]
    camera = next(i for i, box in enumerate(browser.find_elements(By.NAME, "camera")) if box.is_selected())
    station = stretches_of(plan)[0].table.stations[table["choice"][camera][table["planned"][camera]]]
    spot = station.spot
    frame = take_frame((spot.x_m, spot.y_m, spot.z_m), at_m, moment=moment, lens=station.outfit.lens,
                       mode=station.outfit.mode, deliverable=plan.match.deliverable)  # fmt: skip
    people = people_at(plan.match.sport, moment, at_m, lens_m=(spot.x_m, spot.y_m))
    expected = [
        project(frame.view, p.xyz_m) * 160 / frame.view.mode.width_px for p in figure_panels(frame.view, people)
    ]
    drawn = [
        e.get_attribute("d")
        for e in browser.find_elements(By.CSS_SELECTOR, "#frame .subject, #frame .side-0, #frame .side-1")
    ]
    points = [np.array([p.split() for p in d.strip("MZ").split("L")], float) for d in drawn]
    for ring in expected:
        assert min(np.abs(p - ring).max() for p in points if p.shape == ring.shape) < 0.02
    assert f"at {frame.view.focal_mm:.0f} mm" in words(browser, "frame-words")
    assert f"a person fills {100 * frame.subject_share:.0f} % of the frame" in words(browser, "frame-words")


def test_dragging_a_camera_shows_what_the_table_says(browser, page):
    open_page(browser, page)
    plan, table = placed_plan(), data_of(page)["stretches"][0]
    places = np.array(table["places"]).reshape(-1, 2)
    home = table["planned"][0]
    away = [p for p in range(len(places)) if table["choice"][0][p] >= 0]
    goal = max(away, key=lambda p: float(np.hypot(*(places[p] - places[home]))))
    drag(browser, plan, places[home], (places[home] + places[goal]) / 2, places[goal])
    handle = browser.find_element(By.CSS_SELECTOR, ".handle")
    assert int(handle.get_attribute("aria-valuenow")) - 1 == goal
    assert words(browser, "coverage") == f"{expected_words(plan, table, [goal, table['planned'][1]])}"
    browser.find_element(By.ID, "reset").click()
    assert words(browser, "coverage").startswith("As planned")


def expected_words(plan, table, places):
    """What the page must say of some places, from the tables of the page and from the exact ones."""
    weight = np.frombuffer(base64.b64decode(table["targets"]["weight"]), "<f4")
    exact = stretches_of(plan)[0].table

    def best(what, places_):
        rows = [table["choice"][i][place] for i, place in enumerate(places_)]
        own = np.array([LETTERS.index(letter) for letter in table["targets"][what]]).reshape(-1, len(weight)) / 63
        found = float(own[rows].max(axis=0) @ weight)
        assert found == pytest.approx(float(getattr(exact, what)[rows].max(axis=0) @ exact.targets.weight), abs=0.002)
        return found

    by, more = (best(what, places) - best(what, table["planned"]) for what in ("quality", "seen"))
    than = "worth the same" if abs(by) < 5e-4 else f"worth {abs(100 * by):.1f} % {'less' if by < 0 else 'more'}"
    seen = stretches_of(plan)[0].first.seen
    return f"Here you get {100 * (seen + more):.0f} % of the match, as planned {100 * seen:.0f} %: {than}."


def test_arrow_keys_move_a_camera_and_home_brings_it_back(browser, page):
    open_page(browser, page)
    handle = browser.find_elements(By.CSS_SELECTOR, ".handle")[1]
    planned = handle.get_attribute("aria-valuenow")
    browser.execute_script("arguments[0].focus()", handle)
    assert browser.switch_to.active_element == handle
    moved = set()
    for key in (Keys.ARROW_UP, Keys.ARROW_RIGHT, Keys.ARROW_DOWN, Keys.ARROW_LEFT):
        ActionChains(browser).send_keys(key).perform()
        moved.add(handle.get_attribute("aria-valuenow"))
    assert len(moved) > 1
    assert handle.get_attribute("aria-valuetext")
    ActionChains(browser).send_keys(Keys.HOME).perform()
    assert handle.get_attribute("aria-valuenow") == planned
    assert words(browser, "coverage").startswith("As planned")


def test_everything_can_be_reached_with_the_keyboard_and_has_a_name(browser, page):
    open_page(browser, page)
    body = browser.find_element(By.TAG_NAME, "body")
    body.click()
    reached = []
    for _ in range(60):
        ActionChains(browser).send_keys(Keys.TAB).perform()
        reached.append(browser.execute_script(NAME_OF_ACTIVE))
    for name in ("camera", "map", "Camera A, place", "Camera B, place", "Place to look at", "SUMMARY", "BUTTON"):
        assert name in reached, reached
    unnamed = browser.execute_script(
        "return [...document.querySelectorAll('svg[role=img], [role=slider], [role=group]')]"
        ".filter(e => !e.getAttribute('aria-label')).length")  # fmt: skip
    assert unnamed == 0


def test_periods_cameras_and_maps_can_be_chosen(browser, page):
    open_page(browser, page, PHONE)
    for value in ("best", "who", "moments"):
        browser.execute_script("arguments[0].click()", browser.find_element(By.CSS_SELECTOR, f"input[value={value}]"))
        drawn = browser.find_elements(By.CSS_SELECTOR, "#map path")
        assert drawn
        shown = [
            e.get_attribute("data-map")
            for e in browser.find_elements(By.CSS_SELECTOR, "[data-map]")
            if e.is_displayed()
        ]
        assert shown == [value]
    browser.execute_script("arguments[0].click()", browser.find_elements(By.NAME, "camera")[1])
    shown = [e.get_attribute("data-camera") for e in browser.find_elements(By.TAG_NAME, "article") if e.is_displayed()]
    assert set(shown) == {"1"}


def test_dark_screen_has_light_letters(browser, page):
    media = {"features": [{"name": "prefers-color-scheme", "value": "dark"}]}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", media)
    open_page(browser, page)
    ink, paper = browser.execute_script(
        "const s = getComputedStyle(document.body); return [s.color, s.backgroundColor]"
    )
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert contrast(ink, paper) > 7
    assert luminance(paper) < 0.05


def test_printed_page_shows_every_camera_and_no_tools(browser, page):
    open_page(browser, page)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    shown = [e.text for e in browser.find_elements(By.CSS_SELECTOR, "#get article h3") if e.is_displayed()]
    tools = [e for e in browser.find_elements(By.CSS_SELECTOR, ".tool") if e.is_displayed()]
    stills = [e for e in browser.find_elements(By.CSS_SELECTOR, ".still") if e.is_displayed()]
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert {title[:8] for title in shown if title.startswith("Camera")} == {"Camera A", "Camera B"}
    assert not tools
    assert len(stills) == len(stretches_of(placed_plan()))


def test_names_that_try_to_be_something_else_stay_text(browser, tmp_path):
    plan = hostile_plan()
    path = tmp_path / "sheet.html"
    path.write_bytes(sheet_html(content_of(plan)))
    open_page(browser, path)
    assert browser.find_element(By.TAG_NAME, "h1").get_property("textContent") == plan.match.venue.name
    assert browser.execute_script("return document.scripts.length") == 2
    assert [entry for entry in browser.get_log("browser") if entry["level"] != "INFO"] == []
    assert words(browser, "coverage").startswith("As planned: ")


def test_a_camera_is_moved_by_taps_alone(browser, page):
    """Tap the camera, tap a place; then the step buttons, and back (WCAG 2.2, 2.5.7)."""
    open_page(browser, page, PHONE)
    plan, table = placed_plan(), data_of(page)["stretches"][0]
    places = np.array(table["places"]).reshape(-1, 2)
    home = table["planned"][0]
    handle = browser.find_element(By.CSS_SELECTOR, ".handle")
    tap(browser, plan, *places[home].tolist())
    assert browser.find_element(By.ID, "moving").get_attribute("aria-pressed") == "true"
    allowed = [p for p in range(len(places)) if table["choice"][0][p] >= 0]
    goal = max(allowed, key=lambda p: float(np.hypot(*(places[p] - places[home]))))
    tap(browser, plan, *places[goal].tolist())
    assert int(handle.get_attribute("aria-valuenow")) - 1 == goal
    assert words(browser, "stand").startswith("Camera A: ")
    before = handle.get_attribute("aria-valuenow")
    stepped = set()
    for way in ("left", "right", "forward", "back"):
        button = browser.find_element(By.CSS_SELECTOR, f"[data-step={way}]")
        assert button.is_displayed()
        assert button.size["height"] >= 44
        browser.execute_script("arguments[0].click()", button)
        stepped.add(handle.get_attribute("aria-valuenow"))
    assert stepped != {before}
    browser.execute_script("arguments[0].click()", browser.find_element(By.ID, "reset"))
    assert words(browser, "coverage").startswith("As planned")


def test_left_and_right_are_those_of_a_person_who_faces_the_ground(browser, page):
    open_page(browser, page, PHONE)
    table = data_of(page)["stretches"][0]
    places = np.array(table["places"]).reshape(-1, 2)
    home = table["planned"][0]
    handle = browser.find_element(By.CSS_SELECTOR, ".handle")
    for selector in ("#moving", "[data-step=left]"):
        browser.execute_script("arguments[0].click()", browser.find_element(By.CSS_SELECTOR, selector))
    moved = places[int(handle.get_attribute("aria-valuenow")) - 1] - places[home]
    inward = -places[home] / np.hypot(*places[home])
    if np.hypot(*moved) > 0:
        assert float(np.array([-inward[1], inward[0]]) @ moved) > 0


def test_contacts_that_are_typed_in_stay(browser, page):
    open_page(browser, page, PHONE)
    field = browser.find_element(By.CSS_SELECTOR, "[data-contact]")
    browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", field)
    field.send_keys("Gatehouse 12345")
    open_page(browser, page, PHONE)
    kept = browser.find_element(By.CSS_SELECTOR, "[data-contact]")
    assert kept.get_attribute("value") == "Gatehouse 12345"
    browser.execute_script("localStorage.clear()")


def test_one_camera_takes_six_screens_and_the_answer_is_on_the_first(browser, tmp_path):
    path = tmp_path / "sheet.html"
    path.write_bytes(sheet_html(content_of(default_plan("football", 1))))
    open_page(browser, path, PHONE)
    assert browser.execute_script("return document.documentElement.scrollHeight") <= 6 * PHONE[1]
    for selector in ("h2.stand", ".dial", "#place article p"):
        box = browser.find_element(By.CSS_SELECTOR, selector).rect
        assert box["y"] < PHONE[1], selector
    assert browser.find_element(By.ID, "has-words").rect["y"] < browser.find_element(By.ID, "plan").rect["y"]
    assert len(browser.find_elements(By.CSS_SELECTOR, ".jump a")) == 5
    for target in browser.find_elements(By.CSS_SELECTOR, "button, .choices span, .jump a, .contacts input"):
        if target.is_displayed():
            assert target.size["height"] >= 44


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_accessibility_checker_finds_nothing(browser, page, scheme):
    """axe-core, with the rules of WCAG 2.2 A and AA."""
    media = {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", media)
    open_page(browser, page, PHONE)
    for selector in (
        ".bar",
        ".jump a[aria-current]",
    ):  # they lie over what scrolls under them, so they are looked at here
        bar = browser.find_element(By.CSS_SELECTOR, selector)
        assert contrast(bar.value_of_css_property("color"), bar.value_of_css_property("background-color")) > 7
    browser.execute_script("for (const bar of document.querySelectorAll('.bar, .jump')) bar.remove()")
    checker = Path(axe_core_python.__file__).parent / "axe.min.js"
    browser.execute_cdp_cmd("Runtime.evaluate", {"expression": checker.read_text("utf-8")})
    found = browser.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        "axe.run(document, {resultTypes: ['violations']}).then(r => done(r.violations.map("
        "v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + ' ' + n.failureSummary).join(' | '))));"
    )
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert found == []


@pytest.mark.parametrize("make", [placed_plan, hostile_plan, lambda: default_plan("football")])
def test_page_is_self_contained(make):
    plan = make()
    text = sheet_html(content_of(plan)).decode("utf-8")
    tags = []
    parser = HTMLParser()
    parser.handle_starttag = lambda tag, attrs: tags.append((tag, dict(attrs)))
    parser.feed(text)
    assert [a["href"] for _, a in tags if "href" in a and not a["href"].startswith("#")] == []
    assert [a for t, a in tags if "src" in a or any(k.startswith("on") for k in a) or "style" in a] == []
    assert not {"link", "img", "iframe", "object", "base", "form"} & {tag for tag, _ in tags}
    assert [t for t, _ in tags].count("script") == 2
    policy = next(a["content"] for t, a in tags if t == "meta" and a.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    assert "unsafe" not in policy
    assert len(text.encode("utf-8")) < 3_000_000


def luminance(colour):
    """Relative luminance, Web Content Accessibility Guidelines 2.2."""
    parts = [int(v) / 255 for v in re.findall(r"\d+", colour)[:3]]
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))


def contrast(first, second):
    high, low = sorted((luminance(first), luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_counts_after_the_match_stay_and_leave_as_a_log(browser, page, tmp_path):
    """Counted by taps, kept when the page is opened again, and read by the command that holds a log to its plan."""
    open_page(browser, page, PHONE)
    browser.execute_script("localStorage.clear(); document.getElementById('log').open = true")
    open_page(browser, page, PHONE)
    browser.execute_script("document.getElementById('log').open = true")

    def press(name, times):
        found = browser.find_element(By.CSS_SELECTOR, f'#log-rows [aria-label="{name}"]')
        for _ in range(times):
            browser.execute_script("arguments[0].click()", found)

    log = json.loads(browser.execute_script("return document.getElementById('data').textContent"))["log"]
    first = log["moments"][0]["name"]
    press(f"{first}, it happened: one more", 3)
    press(f"{first}, I got it: one more", 5)  # pulls up what happened
    press(f"{first}, I got it: one fewer", 2)
    press(f"{first}, it happened: one fewer", 1)
    open_page(browser, page, PHONE)
    values = [e.get_attribute("textContent") for e in browser.find_elements(By.CSS_SELECTOR, "#log-rows output")]
    assert values[:2] == ["4", "3"]
    csv_text = browser.execute_async_script("""
        const done = arguments[0], real = URL.createObjectURL;
        URL.createObjectURL = blob => { blob.text().then(done); return real(blob); };
        document.getElementById("log-save").click();
    """)
    plan_file = tmp_path / "plan.json"
    plan_file.write_bytes(plan_bytes(placed_plan()))
    log_file = tmp_path / "log.csv"
    log_file.write_text(csv_text, encoding="utf-8", newline="")
    planned = read_planned(plan_file)
    (count,) = counts_of(read_log(log_file), planned)
    assert (count.happened, count.got) == (4, 3)
    assert count.moment == next(m.key for m in planned.match.sport.moments if m.name == first)
