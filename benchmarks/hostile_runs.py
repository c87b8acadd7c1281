"""Whole runs that are spoiled, killed, refused by the disk, or repeated, for `hostile.py`.

Each part yields one text a try: "" where all is well, else what failed; "note: ..." goes into the report.
"""

from __future__ import annotations

import csv
import errno
import gc
import io
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import datetime
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from unittest import mock
from xml.etree import ElementTree
from zoneinfo import ZoneInfo, available_timezones

from hostile_inputs import NAMES, Kind, spoiled_bytes, spoiled_structure
from icalendar import Calendar

from standmark.cli.commands.results import write_plan
from standmark.cli.exports.calendar_file import calendar_bytes
from standmark.cli.terminal.write_files import write_all
from standmark.cli.words.plan_sections import day_of, planned_cards_in
from standmark.cli.words.summary import plan_summary
from standmark.cli.words.units import Units
from standmark.geometry.errors import OutputError, StandmarkError
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import Plan, plan

ROOT = Path(__file__).resolve().parents[1]
SOUND = {0, 2, 3, 4, 5, 6}  # exit codes that are meant
LONGEST_S = 120.0
DATES = "2027-03-28T01:45", "2027-06-21T12:00", "2027-10-31T01:30", "2027-12-31T23:00"
MOST_GROWTH = 20 << 20
WARM = 50  # plans before memory is counted
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
GROUND = '[match]\nsport = "netball"\n[venue]\nname = "Court {index}"\nusual_places = ["side-line"]\n'
STANDARD = '[[role]]\ncode = "C"\nname = "Close"\naim = "middle"\nfrom_deg = [-20, 20]\noffset_m = [1, 8]\n'


def _command(*words: object) -> subprocess.Popen[str]:
    env = os.environ | {"PYTHONPATH": str(ROOT / ".import")}
    return subprocess.Popen(
        [sys.executable, "-m", "standmark.cli", *map(str, words)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env, start_new_session=True,
    )  # fmt: skip


def _files(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@contextmanager
def _folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="hostile-") as name:
        yield Path(name)


def whole_plans(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Run `plan` on spoiled match files: a plan or one clear line, and nothing outside the folder."""
    kind = Kind("match", "match.toml", SMALL.format(name="Final"), read_match)
    for number in range(n):
        if time.monotonic() > end:
            return
        content = spoiled_structure(kind, rng) if number % 2 else spoiled_bytes(kind, rng)
        with _folder() as folder:
            (folder / "match.toml").write_bytes(content)
            process = _command("plan", folder / "match.toml", "--out", folder / "plan", "--advice", "none")
            try:
                _, told = process.communicate(timeout=LONGEST_S)
            except subprocess.TimeoutExpired:
                os.killpg(process.pid, signal.SIGKILL)
                yield f"plan {number}: no answer in {LONGEST_S:g} s\n{content!r}"
                continue
            stray = {p.name for p in folder.iterdir()} - {"match.toml", "plan"}
            if process.returncode not in SOUND or "Traceback" in told or "bug of ours" in told or stray:
                yield f"plan {number}: exit {process.returncode}, {told[-300:]!r}, {sorted(stray)}\n{content!r}"
            elif process.returncode == 0 and not (folder / "plan/plan.json").is_file():
                yield f"plan {number}: exit 0 without a plan\n{content!r}"
            else:
                yield ""


def killed_plans(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Kill `plan --force` at any time and run it again: the folder is as after a run that nobody disturbed."""
    with _folder() as folder:
        (folder / "match.toml").write_text(SMALL.format(name="Final"))
        words = ["plan", folder / "match.toml", "--advice", "none", "--force", "--out"]
        yield from _killed(n, rng, end, [*words], folder)


def killed_books(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Kill `book` at any time and run it again: the same book, and no result is made twice."""
    with _folder() as folder:
        (folder / "in").mkdir()
        (folder / "standard.toml").write_text(STANDARD)
        for index in range(3):
            (folder / f"in/g{index}.toml").write_text(GROUND.format(index=index))
        words = ["book", folder / "in", "--jobs", "1", "--standard", folder / "standard.toml", "--out"]
        yield from _killed(n, rng, end, [*words], folder)


def _killed(n: int, rng: random.Random, end: float, words: list[object], folder: Path) -> Iterator[str]:
    begin = time.monotonic()
    process = _command(*words, folder / "whole")
    told = process.communicate()[1]
    took_s = time.monotonic() - begin
    if process.returncode:
        yield f"{words[0]}: fails undisturbed: {told[-300:]}"
        return
    whole, out = _files(folder / "whole"), folder / "out"
    for number in range(n):
        if time.monotonic() > end:
            return
        process = _command(*words, out)
        time.sleep(took_s * rng.uniform(0.2, 1.05))
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        if number % 3 == 2:  # killed up to three times before it may end
            again = _command(*words, out)
            told = again.communicate()[1]
            if again.returncode or _files(out) != whole:
                differ = _differ(whole, _files(out))
                yield f"{words[0]} killed {number}: exit {again.returncode}, {told[-200:]!r}, {differ}"
            else:
                yield ""
            shutil.rmtree(out)
        else:
            yield ""


def _differ(first: dict[str, bytes], second: dict[str, bytes]) -> list[str]:
    return sorted(name for name in {*first, *second} if first.get(name) != second.get(name))


def small_match(name: str) -> Match:
    """Read the small match with a title; the title may be anything that TOML can hold."""
    with _folder() as folder:
        text = SMALL.replace('"{name}"', json.dumps(name)).encode("utf-8", "surrogatepass")
        (folder / "match.toml").write_bytes(text)
        return read_match(folder / "match.toml")


def refused_operations(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Let one file operation after the other fail while a plan replaces an older one, until it gets through."""
    del rng
    old, new = (plan(small_match(title), advice="none") for title in ("Old", "New"))
    with _folder() as folder:
        write_plan(old, folder / "old")
        write_plan(new, folder / "new")
        before, after = _files(folder / "old"), _files(folder / "new")
        contents = {"plan.json": after["plan.json"], **after}
        for number in range(n):
            if time.monotonic() > end:
                return
            for code in (errno.ENOSPC, errno.EIO, errno.EACCES):
                out = folder / "out"
                shutil.rmtree(out, ignore_errors=True)
                shutil.copytree(folder / "old", out)
                calls, error = _written(contents, out, number, code)
                if calls <= number:
                    yield f"note: all {number} operations of a plan refused in turn"
                    return
                yield _verdict(error, before, after, out, f"operation {number} ({errno.errorcode[code]})")


def _written(contents: dict[str, bytes], out: Path, number: int, code: int) -> tuple[int, BaseException | None]:
    """Write a set of files with one failing operation; gives the operations there were and what came of it."""
    calls = 0

    def failing(real: Callable[..., object]) -> Callable[..., object]:
        def call(*args: object, **more: object) -> object:
            nonlocal calls
            calls += 1
            if calls == number + 1:
                raise OSError(code, os.strerror(code))
            return real(*args, **more)

        return call

    names = "open", "write", "fsync", "link", "rename", "replace", "mkdir", "unlink"
    with mock.patch.multiple(os, **{name: failing(getattr(os, name)) for name in names}):
        try:
            write_all(out, contents, force=True)
        except BaseException as error:
            return calls, error
    return calls, None


def _verdict(
    error: BaseException | None, before: dict[str, bytes], after: dict[str, bytes], out: Path, what: str
) -> str:
    there = {name: content for name, content in _files(out).items() if not name.startswith(".")}
    if error is not None and not isinstance(error, OutputError):
        return f"{what}: {error!r}"
    if error is None and there != after:
        return f"{what}: no error, but the set is not whole: {_differ(there, after)}"
    if any(content not in (before.get(name), after.get(name)) for name, content in there.items()):
        return f"{what}: a file is neither old nor new"
    if "plan.json" in there and there not in (before, after) and "some files are new" not in str(error):
        return f"{what}: plan.json stands beside files of another plan: {_differ(there, after)}"
    return ""


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
    plain = _outputs(plan(small_match("Plain"), advice="fast"))
    tags = sorted(_Tags(plain["sheet.html"].decode()).tags)
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
            yield _named(name, _outputs(plan(match, advice="fast")), tags)
        except Exception as error:
            yield f"{name[:40]!r}: {error!r}"


def _outputs(made: Plan) -> dict[str, bytes]:
    with _folder() as folder:
        write_plan(made, folder / "plan")
        stray = [p.name for p in folder.iterdir() if p.name != "plan"]
        said = plan_summary(made, width=80, out="plan")
        return _files(folder / "plan") | {
            "terminal": said.encode("utf-8", "surrogatepass"),
            "stray": repr(stray).encode(),
        }


def _named(name: str, outputs: dict[str, bytes], tags: list[str]) -> str:
    faults = [] if outputs["stray"] == b"[]" else [f"wrote {outputs['stray'].decode()}"]
    if sorted(_Tags(outputs["sheet.html"].decode()).tags) != tags:
        faults.append("sheet.html: other elements than with a plain name")
    if any(
        (unicodedata.category(c) == "Cc" and c != "\n") or "\u202a" <= c <= "\u202e"
        for c in outputs["terminal"].decode()
    ):
        faults.append("terminal: a control character")
    for file, content in outputs.items():
        if file.endswith((".svg", ".kml", ".gpx")):
            tree = ElementTree.fromstring(content)
            if any(e.tag.endswith("script") or any(k.startswith("on") for k in e.attrib) for e in tree.iter()):
                faults.append(f"{file}: live markup")
        elif file.endswith("json"):
            json.loads(content)
        elif file.endswith(".csv"):
            cells = [cell for row in csv.reader(io.StringIO(content.decode("utf-8-sig"))) for cell in row]
            if any(_is_formula(cell) for cell in cells):
                faults.append(f"{file}: a formula")
        elif file.endswith(".ics"):
            Calendar.from_ical(content)
    return f"{name[:40]!r}: {'; '.join(faults)}" if faults else ""


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


def soaked(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Plan and draw again and again in one process: memory stays flat after the first ones."""
    del rng
    warm = 0
    for number in range(n):
        if time.monotonic() > end:
            break
        made = plan(small_match(f"Match {number}"), advice="none")
        _outputs(made)
        yield ""
        if number == min(WARM, n // 2):
            gc.collect()
            warm = _used()
    gc.collect()
    growth = _used() - warm if warm else 0
    yield f"note: memory grew by {growth / (1 << 20):.1f} MiB after the first {min(WARM, n // 2)}"
    if growth > MOST_GROWTH:
        yield f"memory grew by {growth / (1 << 20):.1f} MiB over {n} plans"


def _used() -> int:
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGESIZE")
