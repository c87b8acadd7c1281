"""The whole value model at full size: 5,000 positions x 10,000 targets, 50 occluder edges, from nothing to q.

    python benchmarks/quality.py [--positions 5000] [--targets 10000] [--lenses 3]

Prints qualities per second, the peak memory over the answer, and how the time compares with writing and with reading
the finished matrix once, which bounds what any search on it needs.
"""

from __future__ import annotations

import argparse
import resource
import time
from dataclasses import fields, replace

import numpy as np
from sightlines import scene

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.ground_view import FixedSight
from standmark.optimizer.value.outfit import Rows, camera_outfits
from standmark.optimizer.value.quality import Surroundings, quality_matrix
from standmark.optimizer.value.targets import Targets, period_targets


def many_targets(match, n: int) -> Targets:
    """Targets of a first period on a grid fine enough for n of them."""
    cells = 16
    while len((targets := period_targets(match, match.sport.periods[0], cells=cells)).weight) < n:
        cells = int(cells * 1.3)
    columns = {f.name: getattr(targets, f.name)[:n] for f in fields(Targets) if f.name != "moment_keys"}
    return Targets(moment_keys=targets.moment_keys, **columns)


def peak_gib() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20


def main(n_positions: int, n_targets: int, n_lenses: int) -> None:
    match = default_match("football")
    targets = many_targets(match, n_targets)
    positions, _, walls = scene(n_positions, 1, 50)
    lenses = tuple(Lens(f"lens {i}", (24.0 * 1.8**i, 70.0 * 1.8**i)) for i in range(n_lenses))
    outfits = camera_outfits(match, replace(match.cameras[0], lenses=lenses))
    rows = Rows(outfits, n_positions, ())
    print(f"{n_positions:,} positions x {len(targets.weight):,} targets x {n_lenses} lenses")
    for name, around in (("no obstacles", Surroundings()), ("50 walls", Surroundings(sight=FixedSight(tuple(walls))))):
        before, begin = peak_gib(), time.perf_counter()
        quality = quality_matrix(positions, targets, rows=rows, deliverable=match.deliverable, around=around)
        s = time.perf_counter() - begin
        begin = time.perf_counter()
        quality @ targets.weight.astype(np.float32)
        read_s = time.perf_counter() - begin
        begin = time.perf_counter()
        quality.fill(0.5)
        write_s = time.perf_counter() - begin
        print(
            f"{name:14}{quality.size / s / 1e6:8.1f} Mq/s, {s:6.1f} s = {s / write_s:5.0f} writes or {s / read_s:5.0f}"
            f" reads of the matrix; peak {peak_gib():.2f} GiB, of it {quality.nbytes / 2**30:.2f} the matrix"
            f" and {before:.2f} there before"
        )
        del quality


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--positions", type=int, default=5000)
    parser.add_argument("--targets", type=int, default=10000)
    parser.add_argument("--lenses", type=int, default=1)
    options = parser.parse_args()
    main(options.positions, options.targets, options.lenses)
