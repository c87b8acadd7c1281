"""Books whose workers die or run out of memory, for `hostile.py`; yields as `hostile_runs.py` does.

Workers import the script that started the book, and so meet what it lays in their way: at some grounds they are killed,
crash, or get no more memory. The other grounds are finished, these are named, the exit code is 6, and the same command
without the trouble makes the book that it would have made.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from hostile_outputs import files_of, folder_of_its_own
from hostile_runs import GROUND, ROOT, STANDARD, differ

N_GROUNDS = 4
LONGEST_S = 300.0
SCRIPT = """import json, os, resource, signal, sys
import numpy
from standmark.cli.book import job

FATES, MARK = json.loads(sys.argv[1]), sys.argv[2]
APPLY = job.apply_standard


def meet(match, standard, *, steps):
    fate = FATES.get(match.venue.name)
    if fate == "killed once" and not os.path.exists(MARK):
        open(MARK, "x").close()
        os.kill(os.getpid(), signal.SIGKILL)
    if fate == "killed":
        os.kill(os.getpid(), signal.SIGKILL)
    if fate == "crash":
        os.kill(os.getpid(), signal.SIGSEGV)
    if fate == "memory":
        used = int(open("/proc/self/statm").read().split()[0]) * os.sysconf("SC_PAGESIZE")
        resource.setrlimit(resource.RLIMIT_AS, (used + (8 << 20), resource.RLIM_INFINITY))
        try:
            return [numpy.ones(1 << 20) for _ in range(1000)]
        finally:
            resource.setrlimit(resource.RLIMIT_AS, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    return APPLY(match, standard, steps=steps)


job.apply_standard = meet
if __name__ == "__main__":
    from standmark.cli.main import main

    main(sys.argv[3:])
"""
FATES = {
    "killed": "its worker died twice",
    "crash": "its worker died twice",
    "memory": "not enough memory",
    "killed once": "",  # is forgiven
}


def lost_workers(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Make books in which workers meet something."""
    with folder_of_its_own() as folder:
        (folder / "in").mkdir()
        (folder / "standard.toml").write_text(STANDARD)
        (folder / "book.py").write_text(SCRIPT)
        for index in range(N_GROUNDS):
            (folder / f"in/g{index}.toml").write_text(GROUND.format(index=index))
        code, told = _book(folder, "whole", {}, 2)
        if code:
            yield f"fails undisturbed: {told[-300:]}"
            return
        whole = files_of(folder / "whole")
        for number in range(n):
            if time.monotonic() > end:
                return
            hit = rng.sample(range(N_GROUNDS), rng.randint(1, 2))
            fates = {f"Court {index}": rng.choice([*FATES]) for index in hit}
            yield _one(folder, f"book{number}", fates, rng.randint(1, 3), whole)


def _one(folder: Path, name: str, fates: dict[str, str], jobs: int, whole: dict[str, bytes]) -> str:
    code, told = _book(folder, name, fates, jobs)
    expected = {f"g{court[-1]}.toml: {FATES[fate]}" for court, fate in fates.items() if FATES[fate]}
    where = f"{fates}, {jobs} processes"
    if code != (6 if expected else 0):
        return f"{where}: exit {code}: {told[-300:]}"
    lines = told.strip().splitlines()
    if len(lines) != len(expected) or any(not any(line.startswith(words) for line in lines) for words in expected):
        return f"{where}: expected {sorted(expected)}, told {lines}"
    done = sum(path.startswith("grounds/") and path.endswith(".json") for path in files_of(folder / name))
    if done != N_GROUNDS - len(expected):
        return f"{where}: {done} grounds are finished"
    code, told = _book(folder, name, {}, jobs)
    which = differ(whole, files_of(folder / name))
    return f"{where}: again without trouble: exit {code}, other files {which}, {told[-300:]}" if code or which else ""


def _book(folder: Path, out: str, fates: dict[str, str], jobs: int) -> tuple[int, str]:
    done = subprocess.run(
        [
            sys.executable, folder / "book.py", json.dumps(fates), folder / f"{out}.mark", "book", folder / "in",
            "--standard", folder / "standard.toml", "--out", folder / out, "--jobs", str(jobs), "--quiet",
        ],
        capture_output=True, text=True, env=os.environ | {"PYTHONPATH": str(ROOT / ".import")}, timeout=LONGEST_S,
        check=False,
    )  # fmt: skip
    return done.returncode, done.stderr
