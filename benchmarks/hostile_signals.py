"""Ctrl-C and SIGTERM at any time, for `hostile.py`; yields as `hostile_runs.py` does.

A run that is stopped ends soon, with the exit code that says so; it leaves whole files only, nothing in the
folder for temporary files, and no process.
"""

from __future__ import annotations

import http.client
import json
import os
import pty
import random
import re
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from hostile_outputs import SMALL, files_of, folder_of_its_own
from hostile_runs import GROUND, ROOT, STANDARD

MOST_S = 2.0  # by the clock of a quiet machine
LONGEST_S = 60.0
LOOK_S = 0.002
SIGNALS = signal.SIGINT, signal.SIGTERM
NET = "unsaved-match.toml"
LAST = {"plan.json", "book.json"}  # stand for a whole set
ADDRESS = re.compile(rb"http://127\.0\.0\.1:(\d+)(/start/\S+)")


def most_s() -> float:
    """Longest time that a run may take to end now: longer where more processes want to run than there are cores."""
    return MOST_S * max(1.0, os.getloadavg()[0] / len(os.sched_getaffinity(0)))


@dataclass
class Run:
    """A command at work, in a session of its own."""

    process: subprocess.Popen[bytes]
    told: Path  # what it says on its error stream

    @property
    def is_ready(self) -> bool:
        """Is it ready for a signal to stop? Before that Python itself ends it."""
        try:
            caught = re.search(r"SigCgt:\s*(\w+)", Path(f"/proc/{self.process.pid}/status").read_text())
        except OSError:
            return False
        return caught is not None and bool(int(caught[1], 16) >> (signal.SIGTERM - 1) & 1)

    def wait_until(self, holds: Callable[[], bool]) -> bool:
        """Wait until something holds, or the run is over; whether it holds."""
        end = time.monotonic() + LONGEST_S
        while not holds() and self.process.poll() is None and time.monotonic() < end:
            time.sleep(LOOK_S)
        return holds()

    @property
    def left(self) -> list[int]:
        """Processes of its session that still run."""
        return [pid for pid, session in _sessions() if session == self.process.pid]

    def stop(self, number: int, *, is_for_all: bool) -> float:
        """Send a signal to it, or to all of its session as a terminal does; how long it then took [s]."""
        begin = time.monotonic()
        with suppress(ProcessLookupError):
            (os.killpg if is_for_all else os.kill)(self.process.pid, number)
        try:
            self.process.wait(LONGEST_S)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        took_s = time.monotonic() - begin
        end = begin + most_s()
        while self.left and time.monotonic() < end:
            time.sleep(LOOK_S)
        return took_s


def _sessions() -> Iterator[tuple[int, int]]:
    """Every process that has not ended, and its session."""
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            rest = stat.read_text().rpartition(")")[2].split()
            if rest[0] != "Z":
                yield int(stat.parent.name), int(rest[3])


@contextmanager
def running(folder: Path, *words: object, on_terminal: bool = False) -> Iterator[Run]:
    """Start a command whose temporary files go to `folder/tmp`."""
    (folder / "tmp").mkdir(exist_ok=True)
    env = os.environ | {"PYTHONPATH": str(ROOT / ".import"), "TMPDIR": str(folder / "tmp")}
    told = folder / "told"
    with told.open("wb") as stream:
        ours, theirs = pty.openpty() if on_terminal else (-1, stream.fileno())
        process = subprocess.Popen(
            [sys.executable, "-m", "standmark.cli", *map(str, words)], cwd=folder,
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=theirs, env=env, start_new_session=True,
            preexec_fn=_not_ignored,
        )  # fmt: skip
        if on_terminal:
            os.close(theirs)
            threading.Thread(target=_copy, args=(ours, told), daemon=True).start()
        try:
            yield Run(process, told)
        finally:
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()


def _not_ignored() -> None:
    signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever runs in the background is born deaf to it


def _copy(terminal: int, told: Path) -> None:
    with told.open("ab") as stream, suppress(OSError):
        while said := os.read(terminal, 4096):
            stream.write(said)
            stream.flush()
    os.close(terminal)


@dataclass(frozen=True)
class Way:
    """A command that is stopped, and what it makes when nobody stops it."""

    name: str
    words: tuple[object, ...]  # where it runs
    whole: dict[str, bytes]  # its folder `out` when all is done
    took_s: float
    meanwhile: Callable[[Run], None] = lambda run: None  # what others do to it


def signalled(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Stop plans, books and the page of `open` at random times."""
    with folder_of_its_own() as folder:
        ways, codes, slowest_s = _ways(folder), Counter[str](), 0.0
        for number in range(n):
            if time.monotonic() > end:
                break
            way, sent = ways[number % len(ways)], SIGNALS[number // len(ways) % 2]
            is_for_all, on_terminal = rng.random() < 0.5, rng.random() < 0.5
            here = folder / str(number)
            _lay_out(here)
            with running(here, *way.words, on_terminal=on_terminal) as run:
                threading.Thread(target=way.meanwhile, args=(run,), daemon=True).start()
                run.wait_until(lambda run=run: run.is_ready)  # type: ignore[misc]
                time.sleep(rng.uniform(0.0, way.took_s))
                is_over = run.process.poll() is not None
                took_s = run.stop(sent, is_for_all=is_for_all)
                left = run.left
            code, told = run.process.returncode, run.told.read_text("utf-8", "replace")
            slowest_s, codes[f"{way.name} {code}"] = max(slowest_s, took_s), codes[f"{way.name} {code}"] + 1
            faults = [
                *(
                    []
                    if code in (128 + sent, *([0] if is_over or way.whole == files_of(here / "out") else []))
                    else [f"exit {code}: {told[-300:]!r}"]
                ),
                *([f"took {took_s:.1f} s"] if took_s > most_s() else []),
                *([f"processes {left}"] if left else []),
                *([f"says {told[-300:]!r}"] if "Traceback" in told or "bug" in told else []),
                *_torn(here, way.whole),
            ]
            what = f"{way.name} {number}, {signal.Signals(sent).name}{', to all' if is_for_all else ''}"
            yield f"{what}{', on a terminal' if on_terminal else ''}: {'; '.join(faults)}" if faults else ""
        yield f"note: slowest end {slowest_s:.2f} s; exit codes {dict(sorted(codes.items()))}"


def _torn(here: Path, whole: dict[str, bytes]) -> Iterator[str]:
    """What a stopped run must not leave: half of a file or of a set, notes, temporary files."""
    there = {name: content for name, content in files_of(here / "out").items() if name != NET}
    if strange := [name for name, content in there.items() if whole.get(name) != content]:
        yield f"{strange} neither whole nor missing"
    if LAST & {*there} and there != whole:
        yield f"a set without {sorted({*whole} - {*there})}"
    if temporary := [path.name for path in (here / "tmp").iterdir()]:
        yield f"temporary {temporary}"


def _lay_out(here: Path) -> None:
    """Write what the commands read."""
    (here / "in").mkdir(parents=True)
    (here / "match.toml").write_text(SMALL.format(name="Final"))
    (here / "standard.toml").write_text(STANDARD)
    for index in range(2):
        (here / f"in/g{index}.toml").write_text(GROUND.format(index=index))


def _ways(folder: Path) -> tuple[Way, ...]:
    """The commands that are stopped, each done once without trouble."""
    plan = "plan", "match.toml", "--out", "out"
    book = "book", "in", "--standard", "standard.toml", "--jobs", "2", "--out", "out"
    ways = []
    for words in (plan, book):
        here = folder / words[0]
        _lay_out(here)
        begin = time.monotonic()
        with running(here, *words) as run:
            run.process.wait()
        assert run.process.returncode == 0, run.told.read_text()
        ways.append(Way(words[0], words, files_of(here / "out"), time.monotonic() - begin))
    page = "open", "match.toml", "--out", "out", "--no-browser"
    return *ways, Way("open", page, ways[0].whole, 2 * ways[0].took_s, _saving)


def _saving(run: Run) -> None:
    """Open the page as a browser does, listen, and save: the match is planned and written until it is stopped."""
    if not run.wait_until(lambda: ADDRESS.search(run.told.read_bytes()) is not None):
        return
    port, start = ADDRESS.search(run.told.read_bytes()).groups()  # type: ignore[union-attr]
    with suppress(OSError, http.client.HTTPException):
        cookie = _asked(int(port), "GET", start.decode()).headers["set-cookie"].split(";")[0]
        events = _asked(int(port), "GET", "/events", Cookie=cookie)
        while line := events.readline():
            if line.startswith(b"event: answer"):
                _asked(
                    int(port), "POST", "/save", json.dumps({"base": 1}), Cookie=cookie,
                    Origin=f"http://127.0.0.1:{int(port)}", **{"Content-Type": "application/json"},
                )  # fmt: skip


def _asked(port: int, method: str, path: str, body: str | None = None, **headers: str) -> http.client.HTTPResponse:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=LONGEST_S)
    connection.request(method, path, body, headers)
    return connection.getresponse()
