"""Small random search problems, and their answers by trying every set."""

from itertools import combinations, product

import numpy as np
from hypothesis import strategies as st

from standmark.optimizer.search import Clashes, SearchProblem, set_value


def is_allowed(problem, rows):
    if len(set(rows)) < len(rows):
        return False
    if problem.clashes is not None:
        mark, place, between = problem.clashes.mark, problem.clashes.place, problem.clashes.between
        if any((mark[a] & mark[b] & between[place[a], place[b]]).any() for a, b in combinations(rows, 2)):
            return False
    mask = np.ones(len(problem.quality), int) if problem.period_mask is None else problem.period_mask
    periods = [[row for row in rows if mask[row] & bit] for bit in (1, 2)]
    return all(is_allowed_at_once(problem, together) for together in periods if together) and meets_floors(
        problem, rows
    )


def is_allowed_at_once(problem, rows):
    if problem.xy_m is not None and problem.separation_m > 0:
        xy = problem.xy_m[list(rows)]
        apart = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1)) + np.diag([np.inf] * len(rows))
        if (apart < problem.separation_m).any():
            return False
    if problem.group_cap is None:
        return True
    used = np.bincount(problem.group[list(rows)], minlength=problem.group_cap.size)
    return bool((used <= problem.group_cap).all())


def meets_floors(problem, rows):
    for targets, share in problem.floors:
        reached = problem.quality[list(rows)].max(axis=0)[targets].astype(float) @ problem.weight[targets]
        if reached < share * problem.weight[targets].sum() - 1e-9:
            return False
    return True


def all_allowed(problem):
    return [rows for rows in product(*map(list, problem.rows_by_camera)) if is_allowed(problem, rows)]


def brute_force(problem):
    return max((set_value(problem, rows) for rows in all_allowed(problem)), default=None)


def clashes_at(rng, place, share=0.3):
    """Random clashes of rows at some places, in marks of two words."""
    n_places = int(place.max()) + 1
    mark = rng.integers(0, 2**20, (len(place), 2), dtype=np.uint64) << np.uint64(44)
    between = np.where(rng.random((n_places, n_places, 2)) < share, rng.integers(0, 2**63, (n_places, n_places, 2)), 0)
    between = np.triu(between[..., 0], 1), np.triu(between[..., 1], 1)
    between = np.stack([half + half.T for half in between], axis=-1).astype(np.uint64)
    return Clashes(mark, place, between)


@st.composite
def problems(draw, *, limits=True, cameras=(1, 4)):
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    n_cameras = draw(st.integers(*cameras))
    n_rows = draw(st.integers(n_cameras, {1: 12, 2: 12, 3: 9, 4: 8}[n_cameras]))
    n_targets = draw(st.integers(1, 12))
    quality = rng.random((n_rows, n_targets)).astype(np.float32)
    quality[rng.random(quality.shape) < draw(st.sampled_from([0.0, 0.5, 0.8]))] = 0
    if draw(st.booleans()):
        quality = np.round(quality * 4).astype(np.float32) / 4
    kinds = draw(st.sampled_from(["same", "own", "fixed", "overlap"]))
    everyone = np.arange(n_rows)
    rows_by_camera = [everyone] * n_cameras
    if kinds == "own":
        owner = np.concatenate([np.arange(n_cameras), rng.integers(0, n_cameras, n_rows - n_cameras)])
        rows_by_camera = [everyone[owner == camera] for camera in range(n_cameras)]
    elif kinds == "fixed":
        rows_by_camera[0] = rng.integers(0, n_rows, 1)
    elif kinds == "overlap":
        rows_by_camera = [np.flatnonzero(rng.random(n_rows) < 0.7) for _ in range(n_cameras)]
    extra = {}
    if limits and draw(st.booleans()):
        extra |= {"xy_m": rng.random((n_rows, 2)) * 10, "separation_m": draw(st.sampled_from([1.0, 4.0, 8.0]))}
    if limits and draw(st.booleans()):
        extra |= {"group": rng.integers(0, 3, n_rows), "group_cap": rng.integers(0, 3, 3)}
    if limits and draw(st.booleans()):
        place = rng.integers(0, n_rows, n_rows)
        extra["clashes"] = clashes_at(rng, place)
        extra["xy_m"] = (rng.random((n_rows, 2)) * 10)[place]
    if limits and draw(st.booleans()):
        n_floors = draw(st.integers(1, 2))
        extra |= {
            "floors": tuple(
                (np.flatnonzero(rng.random(n_targets) < 0.6), draw(st.sampled_from([0.3, 0.6, 0.8])))
                for _ in range(n_floors)
            )
        }
    if limits and draw(st.booleans()):
        extra |= {"period_mask": rng.integers(1, 4, n_rows)}
    weight = rng.random(n_targets) + 0.01
    return SearchProblem(quality, weight, tuple(rows_by_camera), **extra)
