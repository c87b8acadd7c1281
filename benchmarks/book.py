"""Position books: grounds a minute in one process, in two, and on two workers of a cluster; cost as a league grows.

    PYTHONPATH=.import python benchmarks/book.py [--grounds N] [--small N] [--no-cluster]

An invented league is made and its book is written in a process of its own each time. The baseline is the work itself
with nothing around it: the results of the same grounds computed one after the other in one process, no store, no
pages, no table. Given are grounds a minute, that rate as a share of the baseline's, processor time for each ground
(parent and workers), and the largest resident memory of the parent and of a worker. The last lines say how the cost
of a ground changes from a small league to a large one, and what a second run with nothing to do takes.

The start of Python and its libraries is in every figure; rates of a small league are mostly that.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--grounds", type=int, default=1000)
    parser.add_argument("--small", type=int, default=10, help="grounds of the small league")
    parser.add_argument("--no-cluster", action="store_true")
    parser.add_argument("--task", nargs="+", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.task:
        run_task(*options.task)
        return
    with tempfile.TemporaryDirectory() as base:
        report(Path(base), options.grounds, options.small, with_cluster=not options.no_cluster)


def report(base: Path, n: int, small: int, *, with_cluster: bool) -> None:
    """Run every task and print its row."""
    invent = _invented()
    for grounds in (small, n):
        invent.write_league(base / f"league-{grounds}", grounds, seed=1, sports=("football", "rugby-union"))
    print(f"{'task':44}{'grounds/min':>12}{'of baseline':>13}{'cpu s/ground':>14}{'parent MB':>11}{'worker MB':>11}")
    rates: dict[str, float] = {}
    costs: dict[str, float] = {}
    tasks = [
        ("bare", "work alone, one process (baseline)", n),
        ("1", "book, one worker", small),
        ("1", "book, one worker", n),
    ]
    tasks.append(("2", "book, two workers", n))
    if with_cluster:
        tasks.append(("cluster", "book, two workers of a cluster", n))
    for key, name, grounds in tasks:
        out = base / f"book-{key}-{grounds}"
        found = measured(key, base / f"league-{grounds}", out)
        label = f"{key} {grounds}"
        rates[label], costs[label] = 60 * grounds / found["wall_s"], found["cpu_s"] / grounds
        share = rates[label] / rates[f"bare {n}"]
        print(
            f"{f'{name}, {grounds} grounds':44}{rates[label]:12.0f}{share:13.2f}{costs[label]:14.3f}"
            f"{found['parent_mb']:11.0f}{found['worker_mb']:11.0f}",
            flush=True,
        )
    again = measured("2", base / f"league-{n}", base / f"book-2-{n}")
    print(f"second run, nothing to do: {again['wall_s']:.1f} s for {n} grounds")
    start = costs[f"1 {small}"] * small - costs[f"1 {n}"] * small
    print(f"cost of a ground in {n} over its cost in {small}: {costs[f'1 {n}'] / costs[f'1 {small}']:.2f}")
    print(f"  (the small league carries about {max(start, 0.0):.1f} s of start-up)")


def measured(key: str, league: Path, out: Path) -> dict[str, float]:
    """Run one task in a process of its own."""
    command = [sys.executable, __file__, "--task", key, str(league), str(out)]
    env = os.environ | {"PYTHONPATH": str(ROOT / ".import"), "OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(command, capture_output=True, text=True, env=env, check=False)
    if done.returncode:
        raise SystemExit(done.stderr)
    figures: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return figures


def run_task(key: str, league: str, out: str) -> None:
    """Do one task and print what it took."""
    begin = time.perf_counter()
    if key == "bare":
        _bare(Path(league))
    elif key == "cluster":
        _on_cluster(Path(league), Path(out))
    else:
        _book(Path(league), Path(out), jobs=int(key))
    own, children = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    figures = {
        "wall_s": time.perf_counter() - begin,
        "cpu_s": own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime,
        "parent_mb": own.ru_maxrss / 1024,
        "worker_mb": children.ru_maxrss / 1024,
    }
    print(json.dumps(figures))


def _bare(league: Path) -> None:
    from standmark.cli.book.job import Job, do_job, program_fingerprint
    from standmark.cli.book.standard_file import GENERAL

    standard = GENERAL.read_text(encoding="utf-8")
    for index, path in enumerate(sorted(league.rglob("*.toml"))):
        text = path.read_text(encoding="utf-8")
        do_job(Job(f"G{index:04d}", path.name, text, True, None, "s", standard, "metric", "a4", program_fingerprint()))


def _book(league: Path, out: Path, *, jobs: int = 1, scheduler: str | None = None) -> None:
    from standmark.cli.book.make import Order, make_book

    made = make_book(Order(league, out, jobs=jobs, scheduler=scheduler, quiet=True))
    if made.failures:
        raise SystemExit(f"grounds failed: {made.failures[:3]}")


def _on_cluster(league: Path, out: Path) -> None:
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as cluster:
        _book(league, out, scheduler=cluster.scheduler_address)


def _invented() -> Any:
    spec = importlib.util.spec_from_file_location("invent_league", ROOT / "examples" / "invent_league.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


if __name__ == "__main__":
    main()
