"""Plan again after a change: how long each kind of change takes, and that the plan is the one from nothing.

    python benchmarks/replan.py                        # football on its default ground, one and two cameras
    python benchmarks/replan.py --sequences 200        # random changes in a row, and whether the last plan is right
    python benchmarks/replan.py --memory 1000 --cameras 2   # bytes kept, and the peak of the process, on the way

Each change is planned with a planner that has planned the match before it; "from nothing" is `plan` of the changed
match in the same run. Figures are medians, in seconds by the clock, with processor time in brackets.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import shapely.affinity

from standmark.cli.exports import plan_bytes
from standmark.geometry.errors import StandmarkError
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer import Planner, default_match, plan
from standmark.optimizer.match.match import Match, camera_copies

TOLD = (20, 50, 100, 200, 500)  # numbers of changes after which memory is printed
MOST_S = {"weight": 0.15, "rule": 0.15, "area moved": 0.3, "area resized": 0.3, "obstacle": 0.6, "camera": 0.8}


def weight(match: Match, rng: np.random.Generator) -> Match:
    """Another importance of one kind of moment."""
    index, factor = rng.integers(len(match.sport.moments)), float(rng.choice([0.5, 0.8, 1.25, 2.0]))
    moments = tuple(
        replace(m, importance=m.importance * factor) if i == index else m for i, m in enumerate(match.sport.moments)
    )
    return replace(match, sport=replace(match.sport, moments=moments))


def rule(match: Match, rng: np.random.Generator) -> Match:
    """Another rule of the plan."""
    options = (
        {"separation_m": float(rng.uniform(1, 12))},
        {"second_angle_give": float(rng.choice([0.0, 0.002, 0.01]))},
        {"move_cost": float(rng.choice([0.0, 0.005, 0.02]))},
        {"moves": "never" if match.rules.moves == "free" else "free"},
        {"same_side": str(rng.choice(["off", "warn", "forbid"]))},
        {"eye_height_give": float(rng.choice([0.0, 0.005]))},
    )
    return replace(match, rules=replace(match.rules, **options[rng.integers(len(options))]))


def _with_area(match: Match, rng: np.random.Generator, change: Callable) -> Match:
    index = rng.integers(len(match.venue.allowed))
    areas = list(match.venue.allowed)
    areas[index] = replace(areas[index], shape=change(areas[index].shape))
    return replace(match, venue=replace(match.venue, allowed=tuple(areas)))


def area_moved(match: Match, rng: np.random.Generator) -> Match:
    """An allowed area moved by up to two metres."""
    x, y = rng.uniform(-2, 2, 2)
    return _with_area(match, rng, lambda shape: shapely.affinity.translate(shape, x, y))


def area_resized(match: Match, rng: np.random.Generator) -> Match:
    """An allowed area made longer or shorter."""
    x, y = rng.uniform(0.8, 1.2, 2)
    return _with_area(match, rng, lambda shape: shapely.affinity.scale(shape, x, y))


def obstacle(match: Match, rng: np.random.Generator) -> Match:
    """An obstacle set up, moved, or taken away."""
    low_x, low_y, high_x, high_y = match.sport.area.outline.bounds
    x, y = rng.uniform(low_x, high_x), high_y + rng.uniform(1.0, 3.0)
    y = y if rng.random() < 0.5 else low_y - (y - high_y)
    hut = Occluder("hut", ((x - 1.5, y), (x + 1.5, y)), 0.0, 2.4)
    kept = tuple(o for o in match.venue.obstacles if o.name != "hut")
    is_gone = len(kept) < len(match.venue.obstacles) and rng.random() < 0.2
    return replace(match, venue=replace(match.venue, obstacles=kept if is_gone else (*kept, hut)))


def camera(match: Match, rng: np.random.Generator, *, most: int = 2) -> Match:
    """One camera more, or one fewer where there are as many as may be."""
    n = len(match.cameras)
    return replace(match, cameras=camera_copies(match.cameras, n + 1 if n < most else n - 1))


def lens(match: Match, rng: np.random.Generator) -> Match:
    """Another lens for the first camera, or its usual ones back."""
    first = match.cameras[0]
    longer = tuple(replace(n, name=f"{n.name} +", focal_mm=(n.focal_mm[0], 1.4 * n.focal_mm[1])) for n in first.lenses)
    kept = first.lenses[: len(first.lenses) // 2 or 1] if len(first.lenses) > 2 else (*first.lenses, longer[-1])
    return replace(match, cameras=(replace(first, lenses=kept), *match.cameras[1:]))


def wish(match: Match, rng: np.random.Generator) -> Match:
    """Another wish for faces, or another side that counts."""
    if rng.random() < 0.5:
        return replace(match, deliverable=replace(match.deliverable, faces=float(rng.choice([0.0, 0.4, 1.0]))))
    return replace(match, cover="ours" if match.cover == "both" else "both")


CHANGES = {
    "weight": weight,
    "rule": rule,
    "area moved": area_moved,
    "area resized": area_resized,
    "obstacle": obstacle,
    "camera": camera,
    "lens": lens,
    "wish": wish,
}


def outcome(work: Callable[[], object]) -> object:
    """What some work gives: a plan as bytes, or the words of its error."""
    try:
        return plan_bytes(work())
    except StandmarkError as error:
        return str(error)


def random_sequence(match: Match, rng: np.random.Generator, *, most_changes: int = 5) -> tuple[list[str], bool]:
    """Make changes one after the other; which they were, and whether the last plan is the one from nothing."""
    planner, names = Planner(match), []
    outcome(planner.plan)
    for _ in range(rng.integers(1, most_changes + 1)):
        names.append(str(rng.choice(list(CHANGES))))
        match = CHANGES[names[-1]](match, rng)
        planner.change(match)
        found = outcome(planner.plan)
    return names, found == outcome(lambda: plan(match))


def timed(work: Callable[[], object]) -> tuple[float, float]:
    begin, begin_cpu = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - begin, time.process_time() - begin_cpu


def table(sport: str, n_cameras: int, repeats: int) -> None:
    start = replace(match := default_match(sport), cameras=camera_copies(match.cameras, n_cameras))
    print(f"{sport}, {n_cameras} camera{'s' if n_cameras > 1 else ''}")
    print(f"{'change':14}{'again':>16}{'from nothing':>16}{'goal':>7}")
    for name, change in CHANGES.items():
        again, nothing = [], []
        for seed in range(repeats):
            planner, changed = Planner(start), change(start, np.random.default_rng(seed))
            planner.plan()
            planner.change(changed)
            again.append(timed(planner.plan))
            nothing.append(timed(lambda changed=changed: plan(changed)))
        (s, cpu_s), (plain_s, plain_cpu_s) = np.median(again, axis=0), np.median(nothing, axis=0)
        goal = f"{MOST_S[name]:7.2f}" if name in MOST_S else ""
        print(f"{name:14}{s:8.2f} ({cpu_s:4.2f}){plain_s:9.2f} ({plain_cpu_s:4.2f}){goal}")
    planner = Planner(start)
    planner.plan()
    planner.planned_worth("A")
    spots = np.random.default_rng(1).uniform([-50, 36, 1], [50, 40, 3], (20, 3))
    dragged = [timed(lambda spot=spot: planner.worth("A", tuple(spot))) for spot in spots]
    s, cpu_s = np.median(dragged, axis=0)
    print(f"{'dragged camera':14}{s:8.3f} ({cpu_s:.3f}){'':16}{0.05:7.2f}\n")


def memory(start: Match, n_changes: int) -> None:
    match, rng = start, np.random.default_rng(7)
    planner, names = Planner(match), list(CHANGES)
    for n in range(1, n_changes + 1):
        match = CHANGES[str(rng.choice(names))](match if n % 20 else start, rng)
        planner.change(match)
        outcome(planner.plan)
        if n in TOLD or n % 1000 == 0 or n == n_changes:
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            print(f"{n:6} changes: {planner.n_bytes / 1e6:6.0f} MB kept, {peak:6.0f} MiB at most", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sport", default="football")
    parser.add_argument("--cameras", type=int, default=1, help="to begin with, of --sequences and --memory")
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--sequences", type=int, default=0)
    parser.add_argument("--memory", type=int, default=0)
    given = parser.parse_args()
    start = default_match(given.sport)
    start = replace(start, cameras=camera_copies(start.cameras, given.cameras))
    if given.sequences:
        wrong = 0
        for seed in range(given.sequences):
            names, is_same = random_sequence(start, np.random.default_rng(seed))
            if not is_same:
                wrong += 1
                print(f"sequence {seed}: {', '.join(names)}: not the plan from nothing")
        print(f"{given.sport}: {given.sequences - wrong} of {given.sequences} sequences end in the plan from nothing")
    elif given.memory:
        memory(start, given.memory)
    else:
        for n_cameras in (1, 2):
            table(given.sport, n_cameras, given.repeats)
