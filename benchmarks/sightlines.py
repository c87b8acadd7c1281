"""Sightlines past 50 walls: pairs of lens and subject per second, against shapely and an Embree ray caster.

    python benchmarks/sightlines.py            # 1,000 lenses x 10,000 subjects, ratios
    python benchmarks/sightlines.py --full     # 5,000 x 10,000 as well: time and peak memory

All methods see the same scene in the same run, first with one ray to each subject, then with the 20 rays (4 upright
lines, 5 heights) from which the visible share of a subject is made. shapely answers in the plane only, walls without
height: 4 lines to a subject do for it. The slow methods work on some of the lenses. The memory limit is the time that
any method needs to write the answer once.
"""

from __future__ import annotations

import argparse
import resource
import time

import numpy as np
import shapely

from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.ray import subjects_of
from standmark.geometry.sightlines.sightline import visible_share

ONE_RAY = {"subject_m": 0.0, "subject_width_m": 0.0, "height_cells": 1}
WHOLE = {"subject_m": 1.8, "subject_width_m": 0.5, "height_cells": 5}


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


def shapely_clear(lens, ends, walls):
    """Share of the ends in sight in the plane: one prepared geometry of all walls, all lines of a lens at once."""
    lines = shapely.multilinestrings([shapely.linestrings(np.array(w.footprint_m)) for w in walls])
    shapely.prepare(lines)
    n, n_rays = ends.shape[:2]
    share = np.empty((len(lens), n), np.float32)
    rays = np.empty((n * n_rays, 2, 2))
    rays[:, 1] = ends[..., :2].reshape(-1, 2)
    for i, xy in enumerate(lens[:, :2]):
        rays[:, 0] = xy
        share[i] = 1.0 - shapely.intersects(lines, shapely.linestrings(rays)).reshape(n, n_rays).mean(axis=1)
    return share


def embree_clear(lens, ends, walls):
    """Share of the ends in sight: two triangles to a wall, rays cast by Embree on one thread."""
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
    n, n_rays = ends.shape[:2]
    share = np.empty((len(lens), n), np.float32)
    goal = ends.reshape(-1, 3).astype(np.float32)
    start, reach = np.empty_like(goal), np.ones(len(goal), np.float32)
    for i, xyz in enumerate(lens.astype(np.float32)):
        start[:] = xyz
        is_free = world.run(start, goal - start, dists=reach.copy(), query="OCCLUDED") < 0
        share[i] = is_free.reshape(n, n_rays).mean(axis=1)
    return share


def ray_ends(subject, *, width_m, height_m, height_cells):
    """Where the rays to each subject end, shape (n, n_rays, 3)."""
    body = subjects_of(subject, np.array(height_m), width_m=width_m, height_cells=height_cells)
    lines = body.lines_xy_m(np.arange(len(subject)))
    xy = np.repeat(lines, height_cells, axis=1)
    return np.concatenate([xy, np.tile(body.z_m, (1, lines.shape[1]))[..., None]], axis=2)


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
    print(f"{n_lenses:,} lenses x {n_subjects:,} subjects, {len(walls)} walls")
    for title, body in (("one ray to a subject", ONE_RAY), ("20 rays to a subject", WHOLE)):
        ends = ray_ends(
            subject, width_m=body["subject_width_m"], height_m=body["subject_m"], height_cells=body["height_cells"]
        )
        table(title, lens, subject, walls, ends, body)


def table(title, lens, subject, walls, ends, body) -> None:
    n_pairs, few = len(lens) * len(subject), lens[:: max(1, len(lens) * ends.shape[1] // 200)]
    scale = len(lens) / len(few)
    flat = ends[:, :: body["height_cells"]]
    rows = []
    s, plane = best(lambda: shapely_clear(few[:5], flat, walls), times=1)
    rows.append(("shapely, prepared, plane only", s * len(lens) / 5))
    s, cast = best(lambda: embree_clear(few, ends, walls))
    rows.append(("Embree, one thread", s * scale))
    for n in (1, 2):
        s, ours = best(lambda n=n: visible_share(lens, subject, occluders=walls, n_threads=n, **body))
        rows.append((f"ours, {n} thread{'s' * (n > 1)}", s))
    answer = np.empty((len(lens), len(subject)))
    write_s, _ = best(lambda: answer.fill(1.0), times=5)

    tall = [Occluder(w.name, w.footprint_m, 0.0, 1e3) for w in walls]
    ours_plane = visible_share(few[:5], subject, occluders=tall, **body)
    ours_few = visible_share(few, subject, occluders=walls, **body)
    equal = [np.mean(np.abs(a - b) < 1e-6) for a, b in ((plane, ours_plane), (cast, ours_few))]
    print(
        f"\n{title}: {np.mean(ours):.1%} in sight; equal to shapely {equal[0]:.4%}, to Embree {equal[1]:.4%} of pairs"
    )
    shapely_s, embree_s = rows[0][1], rows[1][1]
    print(f"{'':32}{'Mpairs/s':>10}{'x shapely':>11}{'x Embree':>10}{'of memory limit':>17}")
    for name, s in rows:
        print(f"{name:32}{n_pairs / s / 1e6:10.2f}{shapely_s / s:11.1f}{embree_s / s:10.2f}{write_s / s:17.1%}")


def full() -> None:
    lens, subject, walls = scene(5000, 10000, 50)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    s, share = best(lambda: visible_share(lens, subject, occluders=walls, **WHOLE), times=1)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(f"5,000 x 10,000, 50 walls, 20 rays to a subject: {share.size / s / 1e6:.1f} Mpairs/s, {s:.1f} s,")
    print(
        f"peak memory {peak / 2**20:.2f} GiB ({before / 2**20:.2f} before), of it {share.nbytes / 2**30:.2f} the answer"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--full", action="store_true", help="5,000 x 10,000 as well")
    options = parser.parse_args()
    compare(1000, 10000)
    if options.full:
        full()
