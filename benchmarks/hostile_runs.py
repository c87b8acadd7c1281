"""Whole runs that are spoiled, killed, refused by the disk, or repeated, for `hostile.py`.

Each part yields one text a try: "" where all is well, else what failed; "note: ..." goes into the report.
"""

from __future__ import annotations

import gc
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from hostile_inputs import Kind, spoiled_bytes, spoiled_structure
from hostile_outputs import SMALL, files_of, folder_of_its_own, outputs_of, small_match

from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import plan

ROOT = Path(__file__).resolve().parents[1]
SOUND = {0, 2, 3, 4, 5, 6}  # exit codes that are meant
LONGEST_S = 120.0
MOST_GROWTH = 20 << 20
WARM = 50  # plans before memory is counted
GROUND = '[match]\nsport = "netball"\n[venue]\nname = "Court {index}"\nusual_places = ["side-line"]\n'
STANDARD = '[[role]]\ncode = "C"\nname = "Close"\naim = "middle"\nfrom_deg = [-20, 20]\noffset_m = [1, 8]\n'


def command(*words: object) -> subprocess.Popen[str]:
    """Start the program in a session of its own."""
    env = os.environ | {"PYTHONPATH": str(ROOT / ".import")}
    return subprocess.Popen(
        [sys.executable, "-m", "standmark.cli", *map(str, words)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env, start_new_session=True,
    )  # fmt: skip


def whole_plans(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Run `plan` on spoiled match files: a plan or one clear line, and nothing outside the folder."""
    kind = Kind("match", "match.toml", SMALL.format(name="Final").encode(), read_match)
    for number in range(n):
        if time.monotonic() > end:
            return
        content = spoiled_structure(kind, rng) if number % 2 else spoiled_bytes(kind, rng)
        with folder_of_its_own() as folder:
            (folder / "match.toml").write_bytes(content)
            process = command("plan", folder / "match.toml", "--out", folder / "plan", "--advice", "none")
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
    with folder_of_its_own() as folder:
        (folder / "match.toml").write_text(SMALL.format(name="Final"))
        words = ["plan", folder / "match.toml", "--advice", "none", "--force", "--out"]
        yield from _killed(n, rng, end, [*words], folder)


def killed_books(n: int, rng: random.Random, end: float, *, n_grounds: int = 3) -> Iterator[str]:
    """Kill `book` at any time and run it again: the same book, and no result is made twice."""
    with folder_of_its_own() as folder:
        (folder / "in").mkdir()
        (folder / "standard.toml").write_text(STANDARD)
        for index in range(n_grounds):
            (folder / f"in/g{index}.toml").write_text(GROUND.format(index=index))
        words = ["book", folder / "in", "--jobs", "2", "--standard", folder / "standard.toml", "--out"]
        yield from _killed(n, rng, end, [*words], folder)


def _killed(n: int, rng: random.Random, end: float, words: list[object], folder: Path) -> Iterator[str]:
    begin = time.monotonic()
    process = command(*words, folder / "whole")
    told = process.communicate()[1]
    took_s = time.monotonic() - begin
    if process.returncode:
        yield f"{words[0]}: fails undisturbed: {told[-300:]}"
        return
    whole, out, made = files_of(folder / "whole"), folder / "out", dict[Path, int]()
    for number in range(n):
        if time.monotonic() > end:
            return
        process = command(*words, out)
        time.sleep(took_s * rng.uniform(0.2, 1.05))
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        if again_made := [path for path, at in made.items() if _results(out).get(path) != at]:
            yield f"{words[0]} killed {number}: results made twice: {again_made}"
            continue
        made = _results(out)
        if number % 3 == 2:  # killed up to three times before it may end
            again = command(*words, out)
            told = again.communicate()[1]
            kept = all(_results(out).get(path) == at for path, at in made.items())
            if again.returncode or not kept or files_of(out) != whole:
                which = differ(whole, files_of(out)) if kept else "results made twice"
                yield f"{words[0]} killed {number}: exit {again.returncode}, {told[-200:]!r}, {which}"
            else:
                yield ""
            shutil.rmtree(out)
            made = {}
        else:
            yield ""


def _results(out: Path) -> dict[Path, int]:
    """Finished results of a book and when they were written [ns]; none of a plan, which is made anew."""
    return {path: path.stat().st_mtime_ns for path in (out / ".standmark-book").rglob("*.zip")}


def differ(first: dict[str, bytes], second: dict[str, bytes]) -> list[str]:
    return sorted(name for name in {*first, *second} if first.get(name) != second.get(name))


def soaked(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Plan and draw again and again in one process: memory stays flat after the first ones."""
    del rng
    warm = 0
    for number in range(n):
        if time.monotonic() > end:
            break
        made = plan(small_match(f"Match {number}"), advice="none")
        outputs_of(made)
        yield ""
        if number == min(WARM, n // 2):
            gc.collect()
            warm = used_bytes()
    gc.collect()
    growth = used_bytes() - warm if warm else 0
    yield f"note: memory grew by {growth / (1 << 20):.1f} MiB after the first {min(WARM, n // 2)}"
    if growth > MOST_GROWTH:
        yield f"memory grew by {growth / (1 << 20):.1f} MiB over {n} plans"


def used_bytes() -> int:
    """Memory of this process [bytes]."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGESIZE")
