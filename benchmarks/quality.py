"""The whole value model at full size: 5,000 positions x 10,000 targets, without and with 50 walls, from nothing to q.

    PYTHONPATH=.import python benchmarks/quality.py [--positions 5000] [--targets 10000] [--lenses 1 6]
        [--engines numpy compiled]

Each row is one engine (numpy, and the compiled kernels where they are built) with a number of lenses. Given are the
time, the processor time of all threads, the same as a number of writes, the peak of the process's memory, and the
largest difference from numpy in places drawn at random. A write is one thread that fills the finished matrix, warm, the
best of five: no engine can be faster than one write. Times are the best of three, into memory that was used before
where the system gives it back so; say the lenses with every ratio, for a write grows with them and the work does not.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import time
from dataclasses import fields, replace

import numpy as np
from sightlines import scene

from standmark.geometry.compiled import ENGINE, kernel
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.ground_view import FixedSight
from standmark.optimizer.value.outfit import Rows, camera_outfits
from standmark.optimizer.value.packed import NAME
from standmark.optimizer.value.quality import Surroundings, quality_matrix
from standmark.optimizer.value.targets import Targets, period_targets

TIMES, WRITES, COMPARED = 3, 5, 40
HEAD = (
    f"{'engine':10}{'lenses':>7}{'walls':>6}{'s':>8}{'cpu s':>8}{'ns/pair':>9}{'writes':>8}{'peak GiB':>10}"
    f"{'difference':>12}"
)


def many_targets(match, n: int) -> Targets:
    """Targets of a first period on a grid fine enough for n of them."""
    cells = 16
    while len((targets := period_targets(match, match.sport.periods[0], cells=cells)).weight) < n:
        cells = int(cells * 1.3)
    columns = {f.name: getattr(targets, f.name)[:n] for f in fields(Targets) if f.name != "moment_keys"}
    return Targets(moment_keys=targets.moment_keys, **columns)


def write_s(quality) -> float:
    """Seconds that one thread takes to fill a matrix."""
    seconds = []
    for _ in range(WRITES):
        begin = time.perf_counter()
        quality.fill(0.5)
        seconds.append(time.perf_counter() - begin)
    return min(seconds)


def measure(engine: str, n_positions: int, n_targets: int, n_lenses: int, n_walls: int) -> dict[str, float]:
    """Fill the matrix a few times in this process."""
    os.environ[ENGINE] = engine
    match = default_match("football")
    targets = many_targets(match, n_targets)
    positions, _, walls = scene(n_positions, 1, max(n_walls, 1))
    lenses = tuple(Lens(f"lens {i}", (24.0 * 1.8**i, 70.0 * 1.8**i)) for i in range(n_lenses))
    outfits = camera_outfits(match, replace(match.cameras[0], lenses=lenses))
    around = Surroundings(sight=FixedSight(tuple(walls)) if n_walls else None)

    def fill(places):
        rows = Rows(outfits, len(places), ())
        return quality_matrix(places, targets, rows=rows, deliverable=match.deliverable, around=around)

    found = []
    for _ in range(TIMES):
        begin, cpu = time.perf_counter(), time.process_time()
        quality = fill(positions)
        found.append((time.perf_counter() - begin, time.process_time() - cpu))
        written = write_s(quality)
        del quality
    some = positions[np.random.default_rng(1).integers(len(positions), size=COMPARED)]
    few = fill(some)
    peak_gib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    os.environ[ENGINE] = "numpy"
    wall_s, cpu_s = (min(column) for column in zip(*found, strict=True))
    off = float(np.abs(few - fill(some)).max())
    return {"wall_s": wall_s, "cpu_s": cpu_s, "write_s": written, "peak_gib": peak_gib, "off": off}


def main(n_positions: int, n_targets: int, lens_counts: list[int], engines: list[str]) -> None:
    print(f"{n_positions:,} positions x {n_targets:,} targets, {os.cpu_count()} processors, at most two threads")
    print(HEAD)
    for n_lenses in lens_counts:
        for n_walls in (0, 50):
            for engine in engines:
                task = [engine, *map(str, (n_positions, n_targets, n_lenses, n_walls))]
                done = subprocess.run([sys.executable, __file__, "--task", *task], capture_output=True, check=True)
                got = json.loads(done.stdout)
                print(
                    f"{engine:10}{n_lenses:7}{n_walls:6}{got['wall_s']:8.2f}{got['cpu_s']:8.2f}"
                    f"{got['cpu_s'] / n_positions / n_targets * 1e9:9.1f}{got['wall_s'] / got['write_s']:8.0f}"
                    f"{got['peak_gib']:10.2f}{got['off']:12.1e}",
                    flush=True,
                )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--positions", type=int, default=5000)
    parser.add_argument("--targets", type=int, default=10000)
    parser.add_argument("--lenses", type=int, nargs="+", default=[1, 6])
    there = ["numpy", "compiled"] if kernel(NAME) else ["numpy"]
    parser.add_argument("--engines", nargs="+", choices=there, default=there)
    parser.add_argument("--task", nargs=5, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.task:
        engine, *numbers = options.task
        print(json.dumps(measure(engine, *map(int, numbers))))
    else:
        main(options.positions, options.targets, options.lenses, options.engines)
