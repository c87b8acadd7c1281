"""Names through every output and days in every time zone, for `hostile.py`; yields as `hostile_runs.py` does."""

from __future__ import annotations

import csv
import io
import json
import random
import tempfile
import time
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree
from zoneinfo import ZoneInfo, available_timezones

from hostile_inputs import NAMES
from icalendar import Calendar

from standmark.cli.commands.results import write_plan
from standmark.cli.exports.calendar_file import calendar_bytes
from standmark.cli.words.plan_sections import day_of, planned_cards_in
from standmark.cli.words.summary import plan_summary
from standmark.cli.words.units import Units
from standmark.geometry.errors import StandmarkError
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import Plan, plan

DATES = "2027-03-28T01:45", "2027-06-21T12:00", "2027-10-31T01:30", "2027-12-31T23:00"
FORMULA = "=+-@\t\r\uff1d\uff0b\uff0d\uff20"
SMALL = """[match]
sport = "netball"
title = "{name}"
start = 2027-05-08T15:00:00+00:00
[venue]
name = "Heather Court"
latitude = 45.0
longitude = -30.0
usual_places = ["side-line"]
[[camera]]
name = "A"
lenses = ["70-200 f2.8"]
"""


def files_of(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@contextmanager
def folder_of_its_own() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="hostile-") as name:
        yield Path(name)


def small_match(name: str) -> Match:
    """Read the small match with a title; the title may be anything that TOML can hold."""
    with folder_of_its_own() as folder:
        text = SMALL.replace('"{name}"', json.dumps(name)).encode("utf-8", "surrogatepass")
        (folder / "match.toml").write_bytes(text)
        return read_match(folder / "match.toml")


class _Tags(HTMLParser):
    """What a page would run or fetch."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        live = [k for k, v in attrs if k.startswith("on") or (v or "").strip().lower().startswith("javascript:")]
        self.tags += [tag, *live]


def names_through(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Send every name through every output: nothing is live markup, a formula or a control character."""
    del rng
    plain = outputs_of(plan(small_match("Plain"), advice="fast"))
    tags = live_tags(plain["sheet.html"])
    for name in NAMES[:n]:
        if time.monotonic() > end:
            return
        try:
            match = small_match(name)
        except StandmarkError as error:
            yield "" if all(c >= " " for c in str(error)) else f"{name[:40]!r}: raw in a message"
            continue
        match = replace(
            match,
            venue=replace(match.venue, name=name),
            cameras=tuple(replace(c, name=name[:40]) for c in match.cameras),
        )
        try:
            yield _named(name, outputs_of(plan(match, advice="fast")), tags)
        except Exception as error:
            yield f"{name[:40]!r}: {error!r}"


def outputs_of(made: Plan) -> dict[str, bytes]:
    with folder_of_its_own() as folder:
        write_plan(made, folder / "plan")
        stray = [p.name for p in folder.iterdir() if p.name != "plan"]
        said = plan_summary(made, width=80, out="plan")
        return files_of(folder / "plan") | {
            "terminal": said.encode("utf-8", "surrogatepass"),
            "stray": repr(stray).encode(),
        }


def _named(name: str, outputs: dict[str, bytes], tags: list[str]) -> str:
    faults = [] if outputs["stray"] == b"[]" else [f"wrote {outputs['stray'].decode()}"]
    if live_tags(outputs["sheet.html"]) != tags:
        faults.append("sheet.html: other elements than with a plain name")
    faults += [fault for file, content in outputs.items() for fault in faults_in(file, content)]
    return f"{name[:40]!r}: {'; '.join(faults)}" if faults else ""


def live_tags(page: bytes) -> list[str]:
    """Elements of a page, handlers and addresses that run something, sorted."""
    return sorted(_Tags(page.decode()).tags)


def faults_in(file: str, content: bytes) -> Iterator[str]:
    """Say what is wrong with one file, or with what stood on the terminal: live markup, formulas, control characters.

    Raises
    ------
    Exception : it is not sound in its own form
    """
    if file == "terminal":
        said = content.decode()
        if any((unicodedata.category(c) == "Cc" and c != "\n") or "\u202a" <= c <= "\u202e" for c in said):
            yield "terminal: a control character"
    elif file.endswith((".svg", ".kml", ".gpx")):
        tree = ElementTree.fromstring(content)
        if any(e.tag.endswith("script") or any(k.startswith("on") for k in e.attrib) for e in tree.iter()):
            yield f"{file}: live markup"
    elif file.endswith("json"):
        json.loads(content)
    elif file.endswith(".csv"):
        cells = [cell for row in csv.reader(io.StringIO(content.decode("utf-8-sig"))) for cell in row]
        if any(_is_formula(cell) for cell in cells):
            yield f"{file}: a formula"
    elif file.endswith(".ics"):
        Calendar.from_ical(content)


def _is_formula(cell: str) -> bool:
    said = cell.lstrip(" ")
    if not said or said[0] not in FORMULA:
        return False
    try:
        float(said)
    except ValueError:
        return True
    return False


def zoned_days(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Hold the day of a match in every time zone on four dates: times in order, entries that end after they begin."""
    made = plan(small_match("Final"), advice="none")
    cases = [(zone, date) for zone in sorted(available_timezones()) for date in DATES]
    if n < len(cases):
        cases = rng.sample(cases, n)
    for zone, date in cases:
        if time.monotonic() > end:
            return
        start = datetime.fromisoformat(date).replace(tzinfo=ZoneInfo(zone))
        match = replace(made.match, start=start)
        here = replace(made, match=match)
        try:
            times = day_of(here, planned_cards_in(here, units=Units.METRIC)).times
            entries = Calendar.from_ical(calendar_bytes(match, times)).walk("VEVENT")
        except Exception as error:
            yield f"{zone}, {date}: {error!r}"
            continue
        in_order = all(a.at.timestamp() <= b.at.timestamp() for a, b in pairwise(times))
        sound = all(e["DTEND"].dt >= e["DTSTART"].dt for e in entries)
        yield "" if in_order and sound and entries else f"{zone}, {date}: out of order or without entries"
