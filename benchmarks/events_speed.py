"""Events from a file: rows per second and memory against plain reading with Python's csv module.

    PYTHONPATH=.import python benchmarks/events_speed.py [--rows N]

Every task runs in a process of its own on the same file of invented events; the baseline reads the rows with
`csv.reader` and turns the two positions into floats, nothing else. Given are the rows per second of processor
time, also as a share of the baseline's, and the peak memory of the process, with what it is above that of the same
task on a tenth of the rows.
"""

from __future__ import annotations

import argparse
import csv
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

TASKS = {
    "plain": "plain csv reading (baseline)",
    "read": "read and check, all columns",
    "grid": "score 1 camera, positions rounded to 0.5 m",
    "free": "score 1 camera, no two positions alike",
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--task", nargs=2, metavar=("TASK", "FILE"), help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.task:
        run_task(options.task[0], Path(options.task[1]))
        return
    with tempfile.TemporaryDirectory() as folder:
        files = {}
        for n in (options.rows // 10, options.rows):
            for kind, places in (("grid", 0.5), ("free", 0.0)):
                files[kind, n] = write_events(Path(folder) / f"{kind}-{n}.csv", n, rounded_m=places)
        print(f"{'task':46}{'rows/s':>12}{'of baseline':>13}{'peak MB':>10}{'growth MB':>11}")
        base = 0.0
        for task, name in TASKS.items():
            kind = "free" if task == "free" else "grid"
            small_mb = measured(task, files[kind, options.rows // 10])[1]
            seconds, peak_mb = measured(task, files[kind, options.rows])
            rate = options.rows / seconds
            base = base or rate
            print(f"{name:46}{rate:12,.0f}{rate / base:13.3f}{peak_mb:10.0f}{peak_mb - small_mb:11.1f}")


def write_events(path: Path, n: int, *, rounded_m: float) -> Path:
    """Write events of an invented season of football."""
    rng = np.random.default_rng(1)
    xy_m = np.column_stack([rng.normal(40, 8, n).clip(-50, 52), rng.normal(0, 10, n).clip(-33, 33)])
    if rounded_m:
        xy_m = (xy_m / rounded_m).round() * rounded_m
    moments = rng.choice(["goal", "shot", "save", ""], n)
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write("x_m,y_m,moment,period,weight,match_id\n")
        for index, ((x, y), moment) in enumerate(zip(xy_m.tolist(), moments.tolist(), strict=True)):
            file.write(f"{x:.4f},{y:.4f},{moment},{1 + index % 2},1,{index // 1000}\n")
    return path


def measured(task: str, path: Path) -> tuple[float, float]:
    """Seconds of the work itself, and peak memory of its process [MB]."""
    command = [sys.executable, __file__, "--task", task, str(path)]
    seconds, peak_mb = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    return float(seconds), float(peak_mb)


def run_task(task: str, path: Path) -> None:
    """Do one task and print its seconds and peak memory."""
    start = plain(path) if task == "plain" else library(task, path)
    print(time.process_time() - start, peak_mb())


def peak_mb() -> float:
    """Peak memory of this process since it began [MB]; Linux (getrusage would carry over what the parent held)."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def plain(path: Path) -> float:
    start = time.process_time()
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        total = 0.0
        for row in rows:
            total += float(row[0]) + float(row[1])
    return start


def library(task: str, path: Path) -> float:
    from standmark.cli.input.events_file import read_events
    from standmark.optimizer.match.read_match import default_match
    from standmark.optimizer.scoring.choice import choice_score, period_tasks
    from standmark.optimizer.scoring.event_sums import add, no_events
    from standmark.optimizer.scoring.events import capture, event_kinds
    from standmark.optimizer.value.outfit import camera_outfits
    from standmark.optimizer.work.assignment import Station, spot_at

    match = default_match("football")
    camera = match.cameras[0]
    choice = [(Station(camera, camera_outfits(match, camera)[1], spot_at("", 57.0, 14.0, 1.2)),)] * 2
    tasks = period_tasks(match)
    periods = choice_score(match, choice, tasks=tasks).periods
    tally = no_events(len(match.sport.moments))
    start = time.process_time()
    for events in read_events(path, match.sport):
        if task != "read":
            kinds = event_kinds(match, events)
            found = capture(match, choice, periods, tasks, events, kinds=kinds)
            tally = add(tally, events, kinds, found)
    return start


if __name__ == "__main__":
    main()
