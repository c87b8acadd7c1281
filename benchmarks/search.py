"""Proven best 1 to 4 rows: our search against general solvers and trying every pair, in units of one matrix read.

    python benchmarks/search.py                        # 500 x 1,000 and 5,000 x 10,000
    python benchmarks/search.py --full                 # 30,000 x 10,000 as well (1.2 GB), and the estimates
    python benchmarks/search.py --oracles              # the mixed-integer and the constraint solver at 500 x 1,000
    python benchmarks/search.py --growth               # 1 to 8 cameras: 30,000 x 10,000, and plans of football
    python benchmarks/search.py --from-nothing         # 5,000 places, 50 walls, our own value model, to proven plans

R is one plain float32 matrix-vector product over the whole quality matrix, taken between the runs it is compared with;
figures are medians. Instances look like a pitch: lenses along strips outside the lines and in two stands, six focal
lengths, targets in twelve hot zones with a facing ("pitch"), or spread evenly with any facing ("flat": the hard case,
where many rows are nearly alike). The general solvers get the usual assignment model, a variable for each row and
target; beyond the smallest size that is no longer reasonable and is not tried.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from quality import many_targets
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import csr_array, eye_array, hstack, kron, vstack
from sightlines import scene

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.stage import FEW
from standmark.optimizer.match.match import MOST_CAMERAS
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.search import Clashes, SearchProblem, search, verify
from standmark.optimizer.search.kernel import gains
from standmark.optimizer.value.ground_view import FixedSight
from standmark.optimizer.value.outfit import Rows, camera_outfits
from standmark.optimizer.value.quality import Surroundings, quality_matrix

WITHIN_AT_SIZE = 5e-3  # to which more than FEW cameras are proven at full size
FOCAL_MM = np.array([24.0, 50.0, 85.0, 135.0, 200.0, 400.0])
FRAME_HEIGHT_MM = 20.25
ZONES = np.array(  # middle x, y, spread x, y, weight, facing in degrees; metres on a 105 x 68 pitch
    [
        [-44, 0, 6, 8, 0.18, 180], [44, 0, 6, 8, 0.20, 0], [-50, 20, 5, 6, 0.06, 180], [50, 20, 5, 6, 0.07, 0],
        [-50, -20, 5, 6, 0.06, 180], [50, -20, 5, 6, 0.07, 0], [0, 0, 15, 15, 0.08, 0], [-25, 0, 10, 15, 0.06, 180],
        [25, 0, 10, 15, 0.07, 0], [-52, 0, 2, 3, 0.05, 180], [52, 0, 2, 3, 0.06, 0], [0, 34, 10, 3, 0.04, 270],
    ]
)  # fmt: skip


def places(n: int, rng: np.random.Generator) -> np.ndarray:
    """Lens positions: 85% on strips 3 to 6 m outside the lines, the others in stands on both long sides."""
    n_stand = int(0.15 * n)
    out = rng.choice([3.0, 4.0, 5.0, 6.0], n - n_stand)
    long, wide = 105 + 2 * out, 68 + 2 * out
    s = np.sort(rng.random(n - n_stand)) * (2 * long + 2 * wide)
    x = np.select(
        [s < long, s < long + wide, s < 2 * long + wide], [s - long / 2, long / 2, 1.5 * long + wide - s], -long / 2
    )
    y = np.select(
        [s < long, s < long + wide, s < 2 * long + wide], [-wide / 2, s - long - wide / 2, wide / 2],
        1.5 * wide + 2 * long - s,
    )  # fmt: skip
    strip = np.column_stack([x, y, np.full(s.size, 1.2)])
    side = rng.choice([-1.0, 1.0], n_stand)
    stand = np.column_stack(
        [rng.uniform(-55, 55, n_stand), side * rng.uniform(42, 59, n_stand), rng.choice([6.0, 10.0, 15.0], n_stand)]
    )
    return np.vstack([strip, stand])


def targets(n: int, rng: np.random.Generator, *, is_flat: bool) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Places, weights and facings of the targets."""
    if is_flat:
        xy = rng.uniform([-52, -34], [52, 34], (n, 2))
        return xy, np.full(n, 1 / n), rng.uniform(0, 2 * np.pi, n)
    zone = ZONES[np.arange(n) % len(ZONES)]
    xy = np.clip(zone[:, :2] + rng.normal(size=(n, 2)) * zone[:, 2:4], [-52.5, -34], [52.5, 34])
    weight = zone[:, 4] * rng.uniform(0.7, 1.3, n)
    return xy, weight / weight.sum(), np.radians(zone[:, 5]) + 0.5 * rng.normal(size=n)


def instance(n_rows: int, n_targets: int, *, is_flat: bool, seed: int = 0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Quality of every position-lens pair for every target, weights, and places of the rows."""
    rng = np.random.default_rng(seed)
    where = places(n_rows // FOCAL_MM.size, rng)
    xy, weight, facing = targets(n_targets, rng, is_flat=is_flat)
    quality = np.empty((len(where) * FOCAL_MM.size, n_targets), np.float32)
    inward = np.where(np.abs(where[:, :2]) > [52.5, 34], -np.sign(where[:, :2]), 0.0)
    inward /= np.hypot(*inward.T)[:, None]
    for start in range(0, len(where), 64):
        p = where[start : start + 64]
        offset = xy[None] - p[:, None, :2]
        distance = np.sqrt((offset**2).sum(axis=2) + (p[:, 2:] - 1) ** 2)
        toward = offset / distance[:, :, None]
        face = 0.675 - 0.325 * (toward[:, :, 0] * np.cos(facing) + toward[:, :, 1] * np.sin(facing))
        light = 1 - 0.35 * np.clip(toward @ [0.83, 0.56], 0, 1) ** 2
        in_sector = (toward * inward[start : start + 64, None]).sum(axis=2) > np.cos(np.radians(80))
        seen = face * light * in_sector
        for lens, focal_mm in enumerate(FOCAL_MM):
            share = 1.8 * focal_mm / FRAME_HEIGHT_MM / distance
            size = np.exp(-0.5 * (np.log(share / 0.6) / 0.6) ** 2)
            quality[start * FOCAL_MM.size + lens : (start + len(p)) * FOCAL_MM.size : FOCAL_MM.size] = seen * size
    return quality, weight, np.repeat(where[:, :2], FOCAL_MM.size, axis=0)


def read_s(quality: np.ndarray, weight: np.ndarray) -> float:
    """One plain read of the matrix, median of 5."""
    single = weight.astype(np.float32)
    return float(np.median([timed(lambda: quality @ single)[0] for _ in range(5)]))


def timed(call) -> tuple[float, object]:
    """Seconds and answer."""
    start = time.perf_counter()
    answer = call()
    return time.perf_counter() - start, answer


def reset_peak() -> None:
    """Let the kernel count the peak of resident memory anew (Linux)."""
    Path("/proc/self/clear_refs").write_text("5")


def resident_gb(key: str) -> float:
    """Resident memory now (VmRSS) or its peak (VmHWM), in GB."""
    line = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith(key))
    return int(line.split()[1]) / 1e6


def ours(quality, weight, k: int, repeats: int, limit_s: float, **limits):
    """Our search: seconds, the same in R, the result, and GB of memory beyond the matrix."""
    problem = SearchProblem(quality, weight, (np.arange(len(quality)),) * k, **limits)
    seconds, in_reads = [], []
    reset_peak()
    before = resident_gb("VmRSS")
    for _ in range(repeats):
        first = read_s(quality, weight)
        time.sleep(0.3)  # the read's threads go on spinning for a tenth of a second, and would take a core from ours
        took, result = timed(lambda: search(problem, time_limit_s=limit_s))
        seconds.append(took)
        in_reads.append(2 * took / (first + read_s(quality, weight)))
    return float(np.median(seconds)), float(np.median(in_reads)), result, resident_gb("VmHWM") - before


def mixed_integer(quality, weight, k: int, limit_s: float) -> tuple[float, float, str]:
    """Scipy's solver (HiGHS): a variable for each row and for each row and target."""
    n_rows, n_targets = quality.shape
    worth = (quality.astype(np.float64) * weight).ravel()
    once = hstack([csr_array((n_targets, n_rows)), kron(np.ones((1, n_rows)), eye_array(n_targets))])
    taken = hstack([-kron(eye_array(n_rows), np.ones((n_targets, 1))), eye_array(n_rows * n_targets)])
    count = csr_array(np.concatenate([np.ones(n_rows), np.zeros(n_rows * n_targets)])[None])
    high = np.concatenate([np.ones(n_targets), np.zeros(n_rows * n_targets), [k]])
    integer = np.concatenate([np.ones(n_rows), np.zeros(n_rows * n_targets)])
    took, answer = timed(
        lambda: milp(
            -np.concatenate([np.zeros(n_rows), worth]),
            constraints=LinearConstraint(vstack([once, taken, count]).tocsr(), -np.inf, high),
            integrality=integer,
            bounds=(0, 1),
            options={"time_limit": limit_s, "mip_rel_gap": 1e-6},
        )
    )
    if answer.x is None:
        return took, np.nan, "no answer"
    return took, -answer.fun, "proven" if answer.status == 0 else f"gap {answer.mip_gap:.1%}"


def constraint_solver(quality, weight, k: int, limit_s: float) -> tuple[float, float, str]:
    """OR-Tools CP-SAT, two workers, the same model with worths in whole millionths."""
    from ortools.sat.python import cp_model

    n_rows, n_targets = quality.shape
    worth = np.round(quality.astype(np.float64) * weight * n_targets * 1e6).astype(int)
    model = cp_model.CpModel()
    row = [model.new_bool_var("") for _ in range(n_rows)]
    model.add(sum(row) == k)
    terms = []
    for t in range(n_targets):
        given = [model.new_bool_var("") for _ in range(n_rows)]
        model.add_at_most_one(given)
        for i, variable in enumerate(given):
            model.add_implication(variable, row[i])
        terms.append(cp_model.LinearExpr.weighted_sum(given, worth[:, t].tolist()))
    model.maximize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.max_time_in_seconds = 2, limit_s
    took, status = timed(lambda: solver.solve(model))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return took, np.nan, "no answer"
    value = solver.objective_value / n_targets / 1e6
    gap = solver.best_objective_bound / solver.objective_value - 1
    return took, value, "proven" if status == cp_model.OPTIMAL else f"bound {gap:.0%} above"


def every_pair(quality, weight, n_first: int | None = None) -> tuple[float, float]:
    """Value of the best pair by trying all, with our own kernel; with `n_first`, an estimate of the time from a few."""
    n_rows = len(quality)
    first = np.arange(n_rows - 1) if n_first is None else np.linspace(0, n_rows - 2, n_first).astype(int)
    exact = weight.astype(np.float64)

    def best() -> float:
        return max(
            float(gains(quality[i + 1 :], quality[i], weight).max() + quality[i].astype(np.float64) @ exact)
            for i in first
        )

    took, value = timed(best)
    n_pairs = (n_rows - 1 - first).sum()
    return took * (n_rows * (n_rows - 1) / 2) / n_pairs, value if n_first is None else np.nan


def bench_size(n_rows: int, n_targets: int, args: argparse.Namespace) -> None:
    """Measure one size, both kinds of instance."""
    for kind in ("pitch", "flat"):
        quality, weight, xy_m = instance(n_rows, n_targets, is_flat=kind == "flat", seed=args.seed)
        print(f"\n{kind}: {len(quality):,} x {n_targets:,}, {quality.nbytes / 1e9:.2f} GB, R = "
              f"{1e3 * read_s(quality, weight):.2f} ms")  # fmt: skip
        print(f"{'':24}{'time':>10}{'in R':>10}  {'value':>9}  proof")
        took = {}
        for k in args.cameras:
            took[k], in_reads, result, extra = ours(quality, weight, k, args.repeats, args.limit)
            proof = f"{result.status}, gap {result.gap / result.value:.1e}, {result.n_nodes} nodes, +{extra:.2f} GB"
            again = verify(SearchProblem(quality, weight, (np.arange(len(quality)),) * k), result)
            beyond = "" if again.is_proven else f" within {again.root_bound / again.value - 1:.2%}"
            proof += f", proven again{beyond}"
            print(f"ours, {k} cameras{'':9}{took[k]:>8.3f} s{in_reads:>10.1f}  {result.value:.6f}  {proof}")
        if kind == "pitch":
            bench_limits(quality, weight, xy_m, args)
            bench_others(quality, weight, took, args)


def bench_limits(quality, weight, xy_m, args: argparse.Namespace) -> None:
    """Side rules: a wide separation, one camera in each quarter, no two long sides together."""
    quarter = (xy_m[:, 0] > 0).astype(int) + 2 * (xy_m[:, 1] > 0)
    side = np.where(np.abs(xy_m[:, 0]) > 52.5, 0, np.sign(xy_m[:, 1]))
    limits = {
        "25 m apart": {"xy_m": xy_m, "separation_m": 25.0},
        "1 a quarter": {"group": quarter, "group_cap": np.ones(4, int)},
        "one side, 15 m": {"clashes": across_lines(xy_m, side), "xy_m": xy_m, "separation_m": 15.0},
    }
    for name, extra in limits.items():
        for k in [k for k in args.cameras if 2 <= k <= 3]:
            took, in_reads, result, _ = ours(quality, weight, k, args.repeats, args.limit, **extra)
            print(f"  {name + f', {k}':22}{took:>8.3f} s{in_reads:>10.1f}  {result.value:.6f}  {result.status}")


def across_lines(xy_m, side) -> Clashes:
    """Clashes of rows on the two long sides; rows at one place share their place."""
    places, place = np.unique(xy_m, axis=0, return_inverse=True)
    of_place = np.zeros(len(places))
    of_place[place.ravel()] = side
    between = (of_place[:, None] * of_place[None] < 0).astype(np.uint64)[:, :, None]
    return Clashes(np.ones((len(xy_m), 1), np.uint64), place.ravel(), between)


def bench_others(quality, weight, took: dict[int, float], args: argparse.Namespace) -> None:
    """General solvers and trying every pair, as multiples of our time."""
    if 2 in took:
        n_first = None if quality.size <= 5e6 else 10
        seconds, value = every_pair(quality, weight, n_first)
        words = f"{value:.6f}" if n_first is None else "estimated from 10 first rows"
        print(f"every pair{'':14}{seconds:>8.1f} s{seconds / took[2]:>9.0f}x  {words}")
    if not args.oracles or quality.size > 1e6:
        return
    for k in [k for k in args.cameras if 2 <= k <= 3]:
        for name, solver in (("mixed-integer", mixed_integer), ("constraint", constraint_solver)):
            seconds, value, proof = solver(quality, weight, k, args.oracle_limit)
            print(f"{name + f' solver, {k}':24}{seconds:>8.1f} s{seconds / took[k]:>9.0f}x  {value:.6f}  {proof}")


def from_nothing(n_positions: int, n_targets: int, args: argparse.Namespace) -> None:
    """Places, walls and lenses to proven choices: quality by the value model, then a search for each number of cameras.

    The peak is that of the whole process, libraries and all.
    """
    match = default_match("football")
    targets = many_targets(match, n_targets)
    positions_m, _, walls = scene(n_positions, 1, 50)
    lenses = tuple(Lens(f"{focal_mm:g} mm", (focal_mm, focal_mm)) for focal_mm in FOCAL_MM.tolist())
    outfits = camera_outfits(match, replace(match.cameras[0], lenses=lenses))
    rows, around = Rows(outfits, n_positions, ()), Surroundings(sight=FixedSight(tuple(walls)))
    seeing_s, quality = timed(
        lambda: quality_matrix(positions_m, targets, rows=rows, deliverable=match.deliverable, around=around)
    )
    print(f"{n_positions:,} places, {len(walls)} walls, {len(lenses)} lenses x {n_targets:,} targets: quality in "
          f"{seeing_s:.2f} s, R = {1e3 * read_s(quality, targets.weight):.0f} ms")  # fmt: skip
    for k in args.cameras:
        problem = SearchProblem(quality, targets.weight, (np.arange(len(quality)),) * k)
        took, result = timed(partial(search, problem, time_limit_s=args.limit))
        print(f"{k} cameras: search {took:.2f} s, from nothing {seeing_s + took:.2f} s, value {result.value:.6f}, "
              f"{result.status}, gap {result.gap / result.value:.1e}, {result.n_nodes} nodes, "
              f"peak {resident_gb('VmHWM'):.2f} GB")  # fmt: skip


def growth(size: str, args: argparse.Namespace) -> None:
    """How time grows from 1 to 8 cameras: to the last digit up to FEW, to WITHIN beyond; processor time as well."""
    n_rows, n_targets = (int(part) for part in size.split("x"))
    for kind in ("pitch", "flat"):
        quality, weight, _ = instance(n_rows, n_targets, is_flat=kind == "flat", seed=args.seed)
        reading_s = read_s(quality, weight)
        print(f"{kind}: {n_rows:,} x {n_targets:,}, R = {1e3 * reading_s:.0f} ms")
        for k in range(1, MOST_CAMERAS + 1):
            problem = SearchProblem(quality, weight, (np.arange(len(quality)),) * k)
            within = 1e-6 if k <= FEW else WITHIN_AT_SIZE
            begin = time.process_time()
            took, result = timed(partial(search, problem, time_limit_s=args.limit, tolerance=within))
            cpu_s = time.process_time() - begin
            print(f"{k} cameras: {took:6.2f} s ({cpu_s:5.2f} of processor time), {result.status}, within "
                  f"{result.gap / result.value:.2%}, {result.n_nodes} nodes", flush=True)  # fmt: skip
    for k in range(1, MOST_CAMERAS + 1):
        begin = time.process_time()
        took, found = timed(partial(plan, default_match("football", cameras=k)))
        print(f"plan of football, {k} cameras: {took:6.2f} s ({time.process_time() - begin:5.2f} of processor time), "
              f"proven: {found.proven}", flush=True)  # fmt: skip


def main() -> None:
    """Run the sizes asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--full", action="store_true", help="30,000 x 10,000 as well")
    parser.add_argument("--oracles", action="store_true", help="run the general solvers at the smallest size")
    parser.add_argument("--from-nothing", action="store_true", help="only this: quality and search, with its peak")
    parser.add_argument("--cameras", type=int, nargs="+", default=[1, 2, 3, 4])
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--limit", type=float, default=120.0, help="longest time for one of our searches, s")
    parser.add_argument("--oracle-limit", type=float, default=120.0, help="longest time for a general solver, s")
    parser.add_argument("--seed", type=int, default=0, help="of the instances: three and four cameras vary with it")
    parser.add_argument("--sizes", nargs="+", default=None, help="such as 500x1000")
    parser.add_argument("--growth", action="store_true", help="only this: 1 to 8 cameras")
    args = parser.parse_args()
    if args.growth:
        growth((args.sizes or ["30000x10000"])[0], args)
        return
    if args.from_nothing:
        from_nothing(5_000, 10_000, args)
        return
    sizes = ["500x1000", "5000x10000", *(["30000x10000"] if args.full else [])]
    for size in args.sizes or sizes:
        n_rows, n_targets = (int(part) for part in size.split("x"))
        bench_size(n_rows, n_targets, args)


if __name__ == "__main__":
    main()
