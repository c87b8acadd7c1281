r"""Hostile input and faults at length: nothing lost, nothing let out, nothing hangs.

The tests run a small share of this; here counts, seed and time are yours. Whatever fails is kept, with the seed that
made it, and the exit code is 1.

    .venv/bin/python benchmarks/hostile.py --bytes 1000000 --structured 50000 --plans 300 --kills 1000 --signals 100 \
        --races 2000 --same 50 --soak 1000
    .venv/bin/python benchmarks/hostile.py --minutes 10          # each part up to its share of ten minutes
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from hostile_large import planned_within
from hostile_lines import wrong_keys
from hostile_mutants import mutants
from hostile_operations import refused_operations
from hostile_outputs import names_through, zoned_days
from hostile_pages import names_on_pages
from hostile_races import raced
from hostile_runs import killed_books, killed_plans, soaked, whole_plans
from hostile_same import same_again
from hostile_signals import signalled
from hostile_symmetry import symmetries
from hostile_workers import lost_workers

PARTS = (
    "bytes", "structured", "lines", "plans", "symmetries", "kills", "signals", "workers", "races", "same",
    "operations", "names", "pages", "zones", "soak", "large",
)  # fmt: skip


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
        tally, begin = Tally(part), time.monotonic()
        if part in ("bytes", "structured"):
            by_kind: Counter[str] = Counter()
            for kind, tried, slowest_s, failures in mutants(part, n, end, seed=asked.seed, only=frozenset(asked.kinds)):
                by_kind[kind] += tried
                tally.tried, tally.slowest_s = tally.tried + tried, max(tally.slowest_s, slowest_s)
                for words, file, content in failures:
                    tally.failures.append(words)
                    keep(asked.keep, f"{part}-{len(tally.failures)}-{file}", content, words)
            tally.note = f" ({', '.join(f'{kind} {tried:,}' for kind, tried in by_kind.items())})"
        else:
            run = partial(_kills, n_grounds=asked.grounds) if part == "kills" else OTHER[part]
            for words in run(n, random.Random(asked.seed), end):
                if words.startswith("note: "):
                    tally.note += f"; {words[6:]}"
                    continue
                tally.tried += 1
                if words:
                    tally.failures.append(words)
                    keep(asked.keep, f"{part}-{len(tally.failures)}.txt", words.encode(), words.splitlines()[0])
        tally.note += f"; {time.monotonic() - begin:.0f} s"
        yield tally


def _kills(n: int, rng: random.Random, end: float, *, n_grounds: int) -> Iterator[str]:
    half = time.monotonic() + (end - time.monotonic()) / 2
    yield from killed_plans(n - n // 2, rng, half)
    yield from killed_books(n // 2, rng, end, n_grounds=n_grounds)


OTHER: dict[str, Callable[[int, random.Random, float], Iterator[str]]] = {
    "lines": wrong_keys,
    "plans": whole_plans,
    "symmetries": symmetries,
    "signals": signalled,
    "workers": lost_workers,
    "races": raced,
    "same": same_again,
    "operations": refused_operations,
    "names": names_through,
    "pages": names_on_pages,
    "zones": zoned_days,
    "soak": soaked,
    "large": planned_within,
}


def main() -> None:
    """Run, count, and keep what failed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--bytes", type=int, default=20_000, help="files with changed bytes")
    parser.add_argument("--structured", type=int, default=5_000, help="sound files that say nonsense")
    parser.add_argument("--lines", type=int, default=2000, help="wrong keys, each told at its line")
    parser.add_argument("--plans", type=int, default=20, help="whole plans of spoiled match files")
    parser.add_argument("--symmetries", type=int, default=200, help="grounds turned, moved, mirrored, searched")
    parser.add_argument("--kills", type=int, default=10, help="runs of plan and book that are killed")
    parser.add_argument("--grounds", type=int, default=3, help="of the book that is killed")
    parser.add_argument("--signals", type=int, default=12, help="runs of plan, book and open that are stopped")
    parser.add_argument("--races", type=int, default=100, help="runs that write into one folder at once")
    parser.add_argument("--same", type=int, default=10, help="examples that are made again")
    parser.add_argument("--workers", type=int, default=3, help="books whose workers die or have no memory")
    parser.add_argument("--operations", type=int, default=1000, help="file operations that fail, one a run")
    parser.add_argument("--names", type=int, default=62, help="names through every output of a plan")
    parser.add_argument("--pages", type=int, default=62, help="names through books and tournaments")
    parser.add_argument("--zones", type=int, default=10_000, help="time zones times dates")
    parser.add_argument("--soak", type=int, default=50, help="plans in one process")
    parser.add_argument("--large", type=int, default=2, help="the largest matches that are accepted, of thirteen")
    parser.add_argument("--kinds", nargs="*", default=[], help="kinds of files that are spoiled; all, if none is named")
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
