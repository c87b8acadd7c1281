"""Hostile input and faults at length: nothing lost, nothing let out, nothing hangs.

The tests run a small share of this; here counts, seed and time are yours. Whatever fails is kept, with the seed that
made it, and the exit code is 1.

    .venv/bin/python benchmarks/hostile.py --bytes 1000000 --structured 50000 --plans 300 --kills 1000 --soak 1000
    .venv/bin/python benchmarks/hostile.py --minutes 10          # each part up to its share of ten minutes
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import random
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from hostile_inputs import kinds, spoiled_bytes, spoiled_structure
from hostile_outputs import names_through, zoned_days
from hostile_runs import killed_books, killed_plans, refused_operations, soaked, whole_plans

from standmark.geometry.errors import StandmarkError

MOST_S = 2.0
MOST_BYTES = 600 << 20  # above what the program itself takes
BATCH = 500
PARTS = "bytes", "structured", "plans", "kills", "operations", "names", "zones", "soak"


@dataclass
class Tally:
    """What one part tried, and what failed."""

    part: str
    tried: int = 0
    slowest_s: float = 0.0
    failures: list[str] = field(default_factory=list)
    note: str = ""

    @property
    def line(self) -> str:
        """One line of the report."""
        slow = f", slowest {self.slowest_s:.2f} s" if self.slowest_s else ""
        return f"{self.part}: {self.tried} tried, {len(self.failures)} failed{slow}{self.note}"


class TooSlowError(Exception):
    """One input took longer than allowed."""


def mutants(part: str, n: int, end: float, asked: argparse.Namespace) -> Tally:
    """Read spoiled files of every kind; whatever is neither read nor refused in plain words fails."""
    tally, batch, every = Tally(part), 0, kinds()
    while tally.tried < n and time.monotonic() < end:
        kind, seed = every[batch % len(every)], asked.seed * 1_000_003 + batch
        size, batch = min(BATCH, n - tally.tried), batch + 1
        with multiprocessing.get_context("fork").Pool(1) as pool:  # the child has the kinds: it plans nothing
            try:
                slowest, failures = pool.apply_async(_batch, (kind.name, seed, size, part)).get(timeout=size * MOST_S)
            except multiprocessing.TimeoutError:
                slowest, failures = 0.0, [(f"{kind.name}, seed {seed}: no answer", b"")]
            except Exception as error:
                slowest, failures = 0.0, [(f"{kind.name}, seed {seed}: the process died ({error!r})", b"")]
        tally.tried += size
        tally.slowest_s = max(tally.slowest_s, slowest)
        for words, content in failures:
            tally.failures.append(words)
            keep(asked.keep, f"{part}-{len(tally.failures)}-{kind.file}", content, words)
    return tally


def _batch(name: str, seed: int, size: int, part: str) -> tuple[float, list[tuple[str, bytes]]]:
    """Read some spoiled files of one kind, in a process of its own with a limit of memory."""
    kind = next(k for k in kinds() if k.name == name)
    spoil = spoiled_structure if part == "structured" else spoiled_bytes
    rng = random.Random(seed)
    used = int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGESIZE")
    resource.setrlimit(resource.RLIMIT_AS, (used + MOST_BYTES, used + MOST_BYTES))
    signal.signal(signal.SIGALRM, _too_slow)
    slowest, failures = 0.0, []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, kind.file)
        for number in range(size):
            content = spoil(kind, rng)
            path.write_bytes(content)
            begin = time.perf_counter()
            signal.setitimer(signal.ITIMER_REAL, MOST_S)
            try:
                kind.read(path)
            except StandmarkError as error:
                if not _is_plain(str(error)):
                    failures.append((f"{name}, seed {seed}, {number}: not plain: {str(error)[:200]!r}", content))
            except BaseException:
                why = traceback.format_exc().strip().splitlines()
                failures.append((f"{name}, seed {seed}, {number}: {why[-1][:200]} ({why[-2].strip()[:120]})", content))
            finally:
                signal.setitimer(signal.ITIMER_REAL, 0.0)
            slowest = max(slowest, time.perf_counter() - begin)
    return slowest, failures


def _too_slow(*_: object) -> None:
    raise TooSlowError(f"over {MOST_S:g} s")


def _is_plain(words: str) -> bool:
    return bool(words.strip()) and len(words) < 10_000 and all(line.strip() for line in words.splitlines()) and not any(
        c < " " and c != "\n" for c in words
    )  # fmt: skip


def keep(folder: Path, name: str, content: bytes, words: str) -> None:
    """Keep an input that failed."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content)
    print(f"  {words}", flush=True)


def run_parts(asked: argparse.Namespace) -> Iterator[Tally]:
    """Run every part that is asked for."""
    for part in PARTS:
        n = getattr(asked, part)
        if not n:
            continue
        end = time.monotonic() + 60.0 * asked.minutes / len(PARTS)
        if part in ("bytes", "structured"):
            yield mutants(part, n, end, asked)
        else:
            tally = Tally(part)
            begin = time.monotonic()
            for words in OTHER[part](n, random.Random(asked.seed), end):
                if words.startswith("note: "):
                    tally.note += f"; {words[6:]}"
                    continue
                tally.tried += 1
                if words:
                    tally.failures.append(words)
                    keep(asked.keep, f"{part}-{len(tally.failures)}.txt", words.encode(), words.splitlines()[0])
            tally.note += f"; {time.monotonic() - begin:.0f} s"
            yield tally


def _kills(n: int, rng: random.Random, end: float) -> Iterator[str]:
    half = time.monotonic() + (end - time.monotonic()) / 2
    yield from killed_plans(n - n // 2, rng, half)
    yield from killed_books(n // 2, rng, end)


OTHER: dict[str, Callable[[int, random.Random, float], Iterator[str]]] = {
    "plans": whole_plans,
    "kills": _kills,
    "operations": refused_operations,
    "names": names_through,
    "zones": zoned_days,
    "soak": soaked,
}


def main() -> None:
    """Run, count, and keep what failed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--bytes", type=int, default=20_000, help="files with changed bytes")
    parser.add_argument("--structured", type=int, default=5_000, help="sound files that say nonsense")
    parser.add_argument("--plans", type=int, default=20, help="whole plans of spoiled match files")
    parser.add_argument("--kills", type=int, default=10, help="runs of plan and book that are killed")
    parser.add_argument("--operations", type=int, default=1000, help="file operations that fail, one a run")
    parser.add_argument("--names", type=int, default=62, help="names through every output")
    parser.add_argument("--zones", type=int, default=10_000, help="time zones times dates")
    parser.add_argument("--soak", type=int, default=50, help="plans in one process")
    parser.add_argument("--minutes", type=float, default=1e6, help="at most, over all parts")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=Path("hostile-failures"), help="folder for what failed")
    failed = 0
    for tally in run_parts(parser.parse_args()):
        print(tally.line, flush=True)
        failed += len(tally.failures)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
