"""Pages for browser and paper: self-contained, escaped, linked, readable."""

import base64
import hashlib
import io
import math
import re
from html.parser import HTMLParser

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from pypdf import PdfReader
from selenium import webdriver
from selenium.webdriver.common.by import By

VOID = {"meta", "input", "br", "link", "img", "hr"}


class Page(HTMLParser):
    """Checks that elements are closed in order, and collects what a page refers to."""

    def __init__(self, text):
        super().__init__()
        self.open, self.links, self.ids, self.scripts, self.handlers = [], [], set(), [], []
        self.feed(text)
        assert self.open == [], self.open

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        self.links += [values[name] for name in ("href", "src") if name in values]
        self.handlers += [name for name in values if name.startswith("on") or name == "style"]
        if "id" in values:
            assert values["id"] not in self.ids
            self.ids.add(values["id"])
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def pages(out):
    return {p.relative_to(out).as_posix(): p.read_text("utf-8") for p in sorted(out.rglob("*.html"))}


def test_pages_are_well_formed_and_ask_nothing_of_a_network(league_book):
    _, out, _ = league_book
    for name, text in pages(out).items():
        page = Page(text)
        assert page.handlers == [], name
        assert not [link for link in page.links if re.match(r"[a-z]+:|//", link)], name
        assert "@import" not in text
        assert "url(" not in text


def test_links_lead_somewhere(league_book):
    _, out, _ = league_book
    parsed = {name: Page(text) for name, text in pages(out).items()}
    for name, page in parsed.items():
        for link in page.links:
            file, _, part = link.partition("#")
            target = (out / name).parent / file if file else out / name
            assert target.resolve().is_file(), f"{name}: {link}"
            if part:
                assert part in parsed[target.resolve().relative_to(out.resolve()).as_posix()].ids


def test_policy_allows_only_the_style_and_script_that_are_there(league_book):
    _, out, _ = league_book
    for text in pages(out).values():
        policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text)[1]
        assert policy.startswith("default-src 'none'")
        for kind in ("style", "script"):
            for body in re.findall(rf"<{kind}>(.*?)</{kind}>", text, re.DOTALL):
                assert f"'sha256-{base64.b64encode(hashlib.sha256(body.encode()).digest()).decode()}'" in policy


def test_pages_stay_small(league_book):
    _, out, _ = league_book
    assert max(len(text) for text in pages(out).values()) < 150_000


@pytest.fixture(scope="module")
def browser():
    options = webdriver.ChromeOptions()
    for argument in ("--headless=new", "--no-sandbox", "--disable-gpu", "--window-size=390,844"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options)
    yield driver
    driver.quit()


def test_in_a_browser_on_a_phone(league_book, browser):
    _, out, made = league_book
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride", {"width": 375, "height": 800, "deviceScaleFactor": 1, "mobile": True}
    )
    line = made.contents.lines[0]
    for page in (f"grounds/{line.file}.html", "index.html"):
        browser.get((out / page).as_uri())
        assert browser.execute_script("return document.documentElement.scrollWidth") <= 375, page
    assert browser.get_log("browser") == []
    shown = [row for row in browser.find_elements(By.CSS_SELECTOR, ".grounds tbody tr") if row.is_displayed()]
    assert len(shown) == 3
    browser.find_element(By.ID, "filter").send_keys(line.name[:8])
    shown = [row for row in browser.find_elements(By.CSS_SELECTOR, ".grounds tbody tr") if row.is_displayed()]
    assert 1 <= len(shown) < 3
    assert "of 3" in browser.find_element(By.ID, "count").text
    bright = "return [...document.querySelectorAll('.pins a:not(.off)')].map(pin => pin.getAttribute('href'))"
    links = {row.find_element(By.TAG_NAME, "a").get_attribute("href").split("/")[-1] for row in shown}
    assert {link.split("/")[-1] for link in browser.execute_script(bright)} == links
    browser.find_element(By.ID, "filter").clear()
    browser.find_element(By.ID, "short").click()
    shown = [row for row in browser.find_elements(By.CSS_SELECTOR, ".grounds tbody tr") if row.is_displayed()]
    assert len(shown) == made.contents.n_short_grounds


def test_paper_is_a4_with_an_outline_and_the_pages_of_the_index(league_book):
    _, out, made = league_book
    document = PdfReader(io.BytesIO((out / "book.pdf").read_bytes()))
    for page in document.pages:
        assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(210, abs=0.01)
        assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(297, abs=0.01)
    texts = [page.extract_text() for page in document.pages]
    titles = {item.title: document.get_destination_page_number(item) for item in document.outline}
    index = next(text for text in texts if text.startswith("Grounds"))
    for number, text in enumerate(texts, start=1):
        assert text.split()[-1] == str(number)
    for line in made.contents.lines:
        number = titles[f"{line.code} {line.name}"]
        assert line.code in texts[number]
        row = next(row for row in re.split(r"\n(?=[A-Z]{3}\d\d)", index) if row.startswith(line.code))
        assert row.split()[-1] == str(number + 1) or str(number + 1) in row.split()
    assert "How to read a code" in texts[0]
    assert any("fotball" in text for text in texts)
    assert "/CreationDate" not in (document.metadata or {})


def test_text_on_paper_is_at_least_nine_points(league_book):
    _, out, _ = league_book
    document = pdfium.PdfDocument(out / "book.pdf")
    for page in document:
        text, matrix = page.get_textpage(), raw.FS_MATRIX()
        said = text.get_text_range()
        for index in range(text.count_chars()):
            if said[index : index + 1].isalnum():
                raw.FPDFText_GetMatrix(text.raw, index, matrix)
                size = raw.FPDFText_GetFontSize(text.raw, index) * math.hypot(matrix.a, matrix.b)
                assert size >= 8.99, said[max(index - 10, 0) : index + 20]
