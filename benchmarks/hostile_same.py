"""The same input gives the same bytes, for `hostile.py`; yields as `hostile_runs.py` does."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from hostile_outputs import files_of, folder_of_its_own
from hostile_runs import ROOT, differ

ZONES = "UTC", "Pacific/Auckland", "America/St_Johns", "Africa/Cairo", "Asia/Kathmandu"
LANGUAGES = "C", "C.UTF-8", "de_DE.UTF-8", "tr_TR.UTF-8"
JOBS = 1, 2, 4


def same_again(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Make what the examples make again and again: every file has the same bytes in every process.

    Hash seed, time zone, language, folder, number of cores and of workers differ from run to run.
    """
    first: dict[str, dict[str, bytes]] = {}
    ways = list(_examples())
    with folder_of_its_own() as folder:
        for number in range(n):
            if time.monotonic() > end:
                return
            words = ways[number % len(ways)]
            name = " ".join(Path(str(word)).name for word in words)
            how, told, files = _made(
                folder, [*words, *(["--jobs", rng.choice(JOBS)] if words[0] == "book" else [])], rng
            )
            if not files:
                yield f"{name} ({how}): {told[-300:]}"
                continue
            left = differ(first.setdefault(name, files), files)
            yield f"{name} ({how}): {left} are not the same" if left else ""


def _examples() -> Iterator[tuple[object, ...]]:
    """A command for every example."""
    examples = ROOT / "examples"
    yield "book", examples / "league", "--standard", examples / "league/standard.toml"
    for path in sorted(examples.glob("*/*-day.toml")):
        yield "tournament", path
    for path in (*sorted(examples.glob("*.toml")), *sorted(examples.glob("sports/*.toml"))):
        if "\n[match]" in f"\n{path.read_text('utf-8')}":
            yield "plan", path


def _made(folder: Path, words: list[object], rng: random.Random) -> tuple[str, str, dict[str, bytes]]:
    """How a command was run, what it said, and the files that it made; none if it failed."""
    here = folder / f"here {rng.randrange(1000)}"
    here.mkdir(exist_ok=True)
    cores = sorted(os.sched_getaffinity(0))[: rng.choice((1, None))]
    setting = {
        "PYTHONHASHSEED": rng.choice(("0", "1", "random")),
        "TZ": rng.choice(ZONES),
        "LANG": rng.choice(LANGUAGES),
        "PYTHONPATH": str(ROOT / ".import"),
    }
    done = subprocess.run(
        [sys.executable, "-m", "standmark.cli", *map(str, words), "--out", "out"],
        cwd=here, env={k: v for k, v in os.environ.items() if k != "LC_ALL"} | setting, capture_output=True, text=True,
        preexec_fn=lambda: os.sched_setaffinity(0, cores), check=False,
    )  # fmt: skip
    files = files_of(here / "out") if done.returncode == 0 else {}
    shutil.rmtree(here)
    how = ", ".join([*(f"{name}={value}" for name, value in setting.items() if name != "PYTHONPATH"), f"cores {cores}"])
    return how, done.stderr, files
