"""Sightlines past 50 walls: pairs of lens and subject per second, against shapely and an Embree ray caster.

    python benchmarks/sightlines.py            # 1,000 lenses x 2,000 subjects, ratios
    python benchmarks/sightlines.py --full     # 5,000 x 10,000 as well: time and peak memory

All methods see the same scene in the same run. One ray to each subject where methods are compared. shapely answers in
the plane only (walls without height); Embree and ours know heights. The last line of each table is the least time that
any method could need: writing the answer once to memory.
"""

from __future__ import annotations

import argparse
import resource
import time

import numpy as np
import shapely

from standmark.geometry.occluder import Occluder
from standmark.geometry.sightline import visible_share

ONE_RAY = {"subject_m": 0.0, "subject_width_m": 0.0, "height_cells": 1}


def scene(n_lenses: int, n_subjects: int, n_walls: int, *, seed: int = 1):
    """Lenses along the lines and in a stand, subjects on the pitch, walls of 1 to 6 m anywhere between."""
    rng = np.random.default_rng(seed)
    side = rng.choice([-1.0, 1.0], n_lenses)
    is_side = rng.random(n_lenses) < 0.7
    out = rng.uniform(3, 12, n_lenses)
    x = np.where(is_side, rng.uniform(-55, 55, n_lenses), side * (52.5 + out))
    y = np.where(is_side, side * (34 + out), rng.uniform(-36, 36, n_lenses))
    lens = np.column_stack([x, y, rng.choice([0.6, 1.2, 1.7, 3.0, 6.0, 10.0], n_lenses)])
    lens = lens[np.lexsort(np.round(lens[:, :2] / 4).T)]
    subject = np.column_stack(
        [rng.uniform(-52, 52, n_subjects), rng.uniform(-34, 34, n_subjects), np.full(n_subjects, 0.9)]
    )
    middle = rng.uniform([-58, -40], [58, 40], (n_walls, 2))
    turn, half = rng.uniform(0, np.pi, n_walls), rng.uniform(0.5, 3.0, n_walls)
    step = half[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
    top = rng.uniform(1.0, 3.0, n_walls)
    walls = [
        Occluder("wall", (tuple(m - s), tuple(m + s)), 0.0, float(t)) for m, s, t in zip(middle, step, top, strict=True)
    ]
    return lens, subject, walls


def shapely_clear(lens, subject, walls):
    """Which pairs no wall cuts in the plane: one prepared geometry of all walls, all lines of a lens at once."""
    lines = shapely.multilinestrings([shapely.linestrings(np.array(w.footprint_m)) for w in walls])
    shapely.prepare(lines)
    clear = np.empty((len(lens), len(subject)), bool)
    ends = np.empty((len(subject), 2, 2))
    ends[:, 1] = subject[:, :2]
    for i, xy in enumerate(lens[:, :2]):
        ends[:, 0] = xy
        clear[i] = ~shapely.intersects(lines, shapely.linestrings(ends))
    return clear


def embree_clear(lens, subject, walls):
    """Which pairs no wall cuts in space: two triangles to a wall, rays cast by Embree on one thread."""
    from embreex import rtcore_scene
    from embreex.mesh_construction import TriangleMesh

    triangles = []
    for wall in walls:
        (ax, ay), (bx, by) = wall.footprint_m
        a, b = (ax, ay, -1.0), (bx, by, -1.0)
        c, d = (bx, by, wall.top_m), (ax, ay, wall.top_m)
        triangles += [(a, b, c), (a, c, d)]
    world = rtcore_scene.EmbreeScene()
    TriangleMesh(world, np.array(triangles, np.float32))
    clear = np.empty((len(lens), len(subject)), bool)
    start = np.empty((len(subject), 3), np.float32)
    goal = subject.astype(np.float32)
    one = np.ones(len(subject), np.float32)
    for i, xyz in enumerate(lens.astype(np.float32)):
        start[:] = xyz
        clear[i] = world.run(start, goal - start, dists=one.copy(), query="OCCLUDED") < 0
    return clear


def best(work, *, times: int = 3):
    """Shortest time of a few, and the answer."""
    seconds = []
    for _ in range(times):
        begin = time.perf_counter()
        answer = work()
        seconds.append(time.perf_counter() - begin)
    return min(seconds), answer


def compare(n_lenses: int, n_subjects: int) -> None:
    lens, subject, walls = scene(n_lenses, n_subjects, 50)
    flat = [Occluder(w.name, w.footprint_m, 0.0, 1e3) for w in walls]
    n_pairs = n_lenses * n_subjects
    rows = []
    few = max(1, n_lenses // 10)
    s, plane = best(lambda: shapely_clear(lens[:few], subject, walls), times=1)
    rows.append(("shapely, prepared, plane only", s * n_lenses / few))
    s, cast = best(lambda: embree_clear(lens, subject, walls))
    rows.append(("Embree, one thread", s))
    for n in (1, 2):
        s, ours = best(lambda n=n: visible_share(lens, subject, occluders=walls, n_threads=n, **ONE_RAY))
        rows.append((f"ours, {n} thread{'s' * (n > 1)}", s))
    s, _ = best(lambda: visible_share(lens, subject, subject_m=1.8, occluders=walls))
    rows.append(("ours, 2 threads, 20 rays to a subject", s))
    answer = np.empty((n_lenses, n_subjects))
    write_s, _ = best(lambda: answer.fill(1.0), times=5)

    print(
        f"{n_lenses:,} lenses x {n_subjects:,} subjects, {len(walls)} walls; {np.mean(ours == 0):.0%} of pairs hidden"
    )
    ours_plane = visible_share(lens[:few], subject, occluders=flat, **ONE_RAY)
    print(f"agreement: Embree {np.mean(cast == (ours == 1)):.4%}, shapely {np.mean(plane == (ours_plane == 1)):.4%}")
    shapely_s, embree_s = rows[0][1], rows[1][1]
    print(f"{'':40}{'Mpairs/s':>10}{'x shapely':>11}{'x Embree':>10}{'of memory limit':>17}")
    for name, s in rows:
        print(f"{name:40}{n_pairs / s / 1e6:10.2f}{shapely_s / s:11.1f}{embree_s / s:10.2f}{write_s / s:17.1%}")
    print()


def full() -> None:
    lens, subject, walls = scene(5000, 10000, 50)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    s, share = best(lambda: visible_share(lens, subject, subject_m=1.8, occluders=walls), times=1)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(f"5,000 x 10,000, 50 walls, 20 rays to a subject: {share.size / s / 1e6:.1f} Mpairs/s, {s:.1f} s,")
    print(
        f"peak memory {peak / 2**20:.2f} GiB ({before / 2**20:.2f} before), of it {share.nbytes / 2**30:.2f} the answer"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--full", action="store_true", help="5,000 x 10,000 as well")
    options = parser.parse_args()
    compare(1000, 2000)
    if options.full:
        full()
