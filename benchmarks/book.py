"""Position books: grounds a minute in one process, in two, and on two workers of a cluster; cost as a league grows.

    PYTHONPATH=.import python benchmarks/book.py [--sizes 10 100 1000] [--no-cluster]

Invented leagues are made and their books written in a process of its own each time. The baseline is the work itself
with nothing around it: the results of the same grounds computed one after the other in one process, no store, no
pages, no table.

All figures are net of start-up: each task is also run for a league of one ground, and what that takes (Python, its
libraries, workers, the first ground) is taken off. Given are grounds a minute, that rate as a share of the baseline's,
processor time for each ground (parent, workers, scheduler), the largest resident memory of the parent and of any
process it started, and the start-up itself. A cluster is up before its clock starts. The last lines say how the cost
of a ground changes with the size of the league, and what a second run with nothing to do takes.
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
from itertools import pairwise
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", type=int, nargs="+", default=[10, 100, 1000], help="grounds of the leagues")
    parser.add_argument("--no-cluster", action="store_true")
    parser.add_argument("--task", nargs="+", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.task:
        run_task(*options.task)
        return
    with tempfile.TemporaryDirectory() as base:
        report(Path(base), sorted(options.sizes), with_cluster=not options.no_cluster)


def report(base: Path, sizes: list[int], *, with_cluster: bool) -> None:
    """Run every task and print its row."""
    invent = _invented()
    most = sizes[-1]
    for n in (1, *sizes):
        invent.write_league(base / f"league-{n}", n, seed=1, sports=("football", "rugby-union"))
    tasks = [("bare", "work alone, one process (baseline)", [most])]
    tasks += [("1", "book, one worker", sizes), ("2", "book, two workers", [most])]
    if with_cluster:
        tasks.append(("cluster", "book, two workers of a cluster", [most]))
    print(
        f"{'task':48}{'grounds/min':>12}{'of baseline':>12}{'cpu s/ground':>13}{'parent MB':>10}{'worker MB':>10}"
        f"{'start-up s':>11}"
    )
    baseline = 0.0
    costs: dict[int, float] = {}
    for key, name, ns in tasks:
        start = measured(key, base / "league-1", base / f"book-{key}-1")
        for n in ns:
            found = measured(key, base / f"league-{n}", base / f"book-{key}-{n}")
            rate = 60 * (n - 1) / (found["wall_s"] - start["wall_s"])
            cost = (found["cpu_s"] - start["cpu_s"]) / (n - 1)
            baseline = baseline or rate
            if key == "1":
                costs[n] = cost
            print(
                f"{f'{name}, {n} grounds':48}{rate:12.0f}{rate / baseline:12.2f}{cost:13.3f}"
                f"{found['parent_mb']:10.0f}{found['worker_mb']:10.0f}{start['wall_s']:11.1f}",
                flush=True,
            )
    again = measured("2", base / f"league-{most}", base / f"book-2-{most}")
    print(f"second run, nothing to do: {again['wall_s']:.1f} s for {most} grounds")
    for small, large in pairwise(sizes):
        print(f"cost of a ground in {large} over its cost in {small}: {costs[large] / costs[small]:.2f}")


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
    if key == "cluster":
        wall_s = _on_cluster(Path(league), Path(out))
    else:
        begin = time.perf_counter()
        _bare(Path(league)) if key == "bare" else _book(Path(league), Path(out), jobs=int(key))
        wall_s = time.perf_counter() - begin
    own, children = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    figures = {
        "wall_s": wall_s,
        "cpu_s": own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime,
        "parent_mb": own.ru_maxrss / 1024,
        "worker_mb": children.ru_maxrss / 1024,
    }
    print(json.dumps(figures))


def _bare(league: Path) -> None:
    from standmark.cli.book.job import Job, do_job, program_fingerprint
    from standmark.optimizer.standard.read_standard import GENERAL

    standard = GENERAL.read_text(encoding="utf-8")
    for index, path in enumerate(sorted(league.rglob("*.toml"))):
        text = path.read_text(encoding="utf-8")
        do_job(Job(f"G{index:04d}", path.name, text, True, None, "s", standard, "metric", "a4", program_fingerprint()))


def _book(league: Path, out: Path, *, jobs: int = 1, scheduler: str | None = None) -> None:
    from standmark.cli.book.make import Order, make_book

    made = make_book(Order(league, out, jobs=jobs, scheduler=scheduler, quiet=True))
    if made.failures:
        raise SystemExit(f"grounds failed: {made.failures[:3]}")


def _on_cluster(league: Path, out: Path) -> float:
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as cluster:
        begin = time.perf_counter()
        _book(league, out, scheduler=cluster.scheduler_address)
        return time.perf_counter() - begin


def _invented() -> Any:
    spec = importlib.util.spec_from_file_location("invent_league", ROOT / "examples" / "invent_league.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


if __name__ == "__main__":
    main()
