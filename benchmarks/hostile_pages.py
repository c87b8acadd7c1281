"""Names through books and tournaments, for `hostile.py`; yields as `hostile_runs.py` does.

Grounds of one book, and pitches, people, kit and matches of tournaments, bear the names that `hostile_inputs.py` lists.
"""

from __future__ import annotations

import io
import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from hostile_inputs import NAMES
from hostile_outputs import faults_in, files_of, folder_of_its_own, live_tags, small_match
from hostile_runs import GROUND, ROOT, STANDARD
from pypdf import PdfReader

from standmark.cli.sheet.tournament_sheet import person_file
from standmark.geometry.errors import StandmarkError

AT_ONCE = 6  # names in one tournament
PLAIN = tuple(f"Plain {letter}" for letter in "ABCDEF")
LONGEST_S = 600.0
HEAD = """[tournament]
title = {title}
date = 2027-02-20
timezone = "Europe/London"
[[kit]]
name = {kit}
lenses = ["24-70/2.8", "70-200/2.8"]
[[slot]]
start = "09:30"
end = "11:00"
[[slot]]
start = "13:00"
end = "14:30"
"""
PERSON = '[[crew]]\nname = {name}\nkit = {kit}\nfrom = "08:30"\nto = "17:00"\n'
PITCH = "[[pitch]]\nname = {name}\nat_m = [{x}, 0]\n"
FIXTURE = '[[match]]\npitch = {pitch}\nslot = "{slot}"\ntitle = {title}\nsport = "netball"\n'


def names_on_pages(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Make a book of grounds with these names, and tournaments whose pitches, people, kit and matches have them."""
    del rng
    accepted = [name for name in NAMES[:n] if _is_accepted(name)]
    yield from _book_faults(accepted)
    plain = _tournament(PLAIN)
    yield plain if isinstance(plain, str) else ""
    for first in range(0, len(accepted), AT_ONCE):
        if time.monotonic() > end or isinstance(plain, str):
            return
        names = accepted[first : first + AT_ONCE]
        made = _tournament(names)
        yield made if isinstance(made, str) else _told(names, made, plain)


def _is_accepted(name: str) -> bool:
    try:
        small_match(name)
    except StandmarkError:
        return False
    return True


def _book_faults(names: Sequence[str]) -> Iterator[str]:
    plain, made = _book(PLAIN), _book(names)
    for outcome in (plain, made):
        yield outcome if isinstance(outcome, str) else ""
    if not isinstance(plain, str) and not isinstance(made, str):
        yield _told(names, made, plain)


def _told(names: Sequence[str], made: dict[str, bytes], plain: dict[str, bytes]) -> str:
    """What is wrong with files that hold names, against those of plain names."""
    tags = {tag for file, content in plain.items() if file.endswith(".html") for tag in live_tags(content)}
    faults = [fault for file, content in made.items() for fault in faults_in(file, content)]
    for file, content in made.items():
        if file.endswith(".html") and not (own := set(live_tags(content))) <= tags:
            faults.append(f"{file}: elements {sorted(own - tags)}")
        elif file.endswith(".pdf"):
            pages = [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]
            faults += [] if any(pages) else [f"{file}: no words"]
    return f"{names}: {'; '.join(faults)}" if faults else ""


def _book(names: Sequence[str]) -> dict[str, bytes] | str:
    with folder_of_its_own() as folder:
        (folder / "in").mkdir()
        (folder / "standard.toml").write_text(STANDARD)
        for index, name in enumerate(names):
            text = GROUND.format(index=index).replace(f'"Court {index}"', json.dumps(name))
            (folder / f"in/g{index:02}.toml").write_text(text)
        return _run(folder, "book", folder / "in", "--standard", folder / "standard.toml", "--out", folder / "out")


def _tournament(names: Sequence[str]) -> dict[str, bytes] | str:
    kit, title = json.dumps(names[0]), json.dumps(names[-1])
    people = {person_file(name): name for name in names}  # two whose files would have one name are refused
    text = HEAD.format(title=title, kit=kit)
    text += "".join(PERSON.format(name=json.dumps(name), kit=kit) for name in people.values())
    text += "".join(PITCH.format(name=json.dumps(name), x=40 * i) for i, name in enumerate(names))
    for slot in ("09:30", "13:00"):
        text += "".join(FIXTURE.format(pitch=json.dumps(n), slot=slot, title=json.dumps(n)) for n in names)
    with folder_of_its_own() as folder:
        (folder / "cup.toml").write_text(text)
        return _run(folder, "tournament", folder / "cup.toml", "--out", folder / "out", "--time-limit", 5, "--more")


def _run(folder: Path, *words: object) -> dict[str, bytes] | str:
    """Files that a command writes, and what it says; or what is wrong with the run."""
    before = {path.name for path in folder.iterdir()}
    done = subprocess.run(
        [sys.executable, "-m", "standmark.cli", *map(str, words)],
        capture_output=True, env=os.environ | {"PYTHONPATH": str(ROOT / ".import")}, timeout=LONGEST_S, check=False,
    )  # fmt: skip
    stray = {path.name for path in folder.iterdir()} - before - {"out"}
    if done.returncode or stray:
        return f"{words[0]}: exit {done.returncode}, wrote {sorted(stray)}: {done.stderr[-500:]!r}"
    return files_of(folder / "out") | {"terminal": done.stdout + done.stderr}
