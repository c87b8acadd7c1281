"""Runs that write into one folder at once, for `hostile.py`; yields as `hostile_runs.py` does."""

from __future__ import annotations

import os
import random
import shutil
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from hostile_outputs import SMALL, files_of, folder_of_its_own
from hostile_runs import GROUND, STANDARD, command

from standmark.cli.terminal.write_files import write_all
from standmark.geometry.errors import OutputError

RACERS = 3
NAMES = "plan.json", "plan.svg", "sheet.pdf", "sub/page.html"
MOST_LATE_S = 0.01  # one writes its set in a good part of this
EACH = 100  # so many races of the writer alone for one of whole commands
WON, REFUSED, BROKE = 0, 2, 1


def raced(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Let several writers, and now and then whole commands, loose on one folder at once.

    Every file is whole, all are from one run, whoever is refused says so with exit code 2, and nothing is left that
    keeps the next run out. Without --force there is one winner.
    """
    codes: Counter[str] = Counter()
    with folder_of_its_own() as folder:
        for number in range(n):
            if time.monotonic() > end:
                break
            out, force = folder / "out", bool(number % 2)
            if number % EACH == EACH - 1:
                yield _commands_raced(folder, number, codes)
                continue
            if force:
                write_all(out, a_set("old"), force=False)
            ended = race(out, force=force, rng=rng)
            codes.update(f"writer {code}" for code in ended)
            yield _writers_verdict(out, ended, f"race {number}{', --force' if force else ''}", force=force)
            shutil.rmtree(out)
        yield f"note: exit codes {dict(sorted(codes.items()))}"


def a_set(word: str) -> dict[str, bytes]:
    """A set of files that says whose it is."""
    return {name: f"{word} {name}".encode() * 50 for name in NAMES}


def race(out: Path, *, force: bool, rng: random.Random) -> list[int]:
    """Exit codes of writers that begin within a moment of one another."""
    begin = time.monotonic() + 0.01
    children = []
    for index in range(RACERS):
        late_s = rng.uniform(0.0, MOST_LATE_S)
        child = os.fork()
        if child == 0:
            os._exit(_write_at(begin + late_s, out, f"run {index}", force=force))
        children.append(child)
    return [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]


def _write_at(at_s: float, out: Path, word: str, *, force: bool) -> int:
    try:
        time.sleep(max(0.0, at_s - time.monotonic()))
        write_all(out, a_set(word), force=force)
    except OutputError:
        return REFUSED
    except BaseException:
        return BROKE
    return WON


def _writers_verdict(out: Path, ended: list[int], what: str, *, force: bool) -> str:
    there = files_of(out)
    winners = [a_set(f"run {index}") for index, code in enumerate(ended) if code == WON]
    if set(ended) - {WON, REFUSED} or not winners or (len(winners) > 1 and not force):
        return f"{what}: exit codes {ended}"
    if there not in winners:
        said = {name: content[:12] for name, content in there.items()}
        return f"{what}: exit codes {ended}, files that are not of one run that won, or that should be gone: {said}"
    return ""


def _commands_raced(folder: Path, number: int, codes: Counter[str]) -> str:
    """Run two plans, or two books, into one folder, and then a third."""
    is_book = bool(number // EACH % 2)
    (folder / "in").mkdir(exist_ok=True)
    (folder / "match.toml").write_text(SMALL.format(name="Final"))
    (folder / "standard.toml").write_text(STANDARD)
    (folder / "in/g.toml").write_text(GROUND.format(index=1))
    words = (
        ["book", folder / "in", "--standard", folder / "standard.toml"] if is_book else ["plan", folder / "match.toml"]
    )
    name, outs = str(words[0]), (folder / "both", folder / "alone")
    both = [command(*words, "--quiet", "--out", outs[0]) for _ in range(2)]
    told = [process.communicate()[1] for process in both]
    ended = [process.returncode for process in both]
    again = command(*words, "--quiet", "--force", "--out", outs[0])
    alone = command(*words, "--quiet", "--out", outs[1])
    told += [process.communicate()[1] for process in (again, alone)]
    codes.update(f"{name} {code}" for code in ended)
    files = [files_of(out) for out in outs]
    for out in outs:
        shutil.rmtree(out)
    may_both = [WON, WON] if is_book else []  # the second comes when the first is done, and finds it up to date
    if sorted(ended) not in ([WON, REFUSED], may_both) or again.returncode or alone.returncode:
        return f"race {number}, {name}: exit codes {ended}, then {again.returncode}: {told}"
    return "" if files[0] == files[1] else f"race {number}, {name}: not the files of one run"
