"""The search problem made ready: limits as arrays over rows, weights scaled, cameras sorted into kinds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Singles
from standmark.optimizer.search.clash import Clashes, clashes_of
from standmark.optimizer.search.problem import Rows, SearchProblem

FLOOR_SLACK = 1e-9  # a floor counts as met when it lacks less than this share of its weight


@dataclass(frozen=True, eq=False)
class Model:
    """What the search reads of a problem; `submodel` keeps some of its rows."""

    quality: Singles  # shape (n_rows, n_targets)
    weight: Floats  # shape (n_targets,), scaled to a sum between 1/2 and 1
    scale: float  # power of two: problem weight = scale * weight
    floor_weight: Floats  # shape (n_binding_floors, n_targets), weight on the targets of each floor, else 0
    floor_need: Floats  # shape (n_floors,), in scaled weight
    groups: Rows  # shape (n_rows, n_periods), limited group that each row counts in, 0 for none
    caps: tuple[int, ...]  # most rows of each limited group; caps[0] is the number of cameras
    xy_m: Floats | None  # shape (n_rows, 2)
    separation_m: float
    clashes: Clashes | None
    present: Flags  # shape (n_rows, n_periods)


@dataclass(frozen=True, eq=False)
class Kind:
    """Cameras that may use exactly the same rows."""

    rows: Rows  # sorted
    cameras: tuple[int, ...]  # indices, ascending


def model_of(problem: SearchProblem, *, objective: Floats | None = None) -> Model:
    """Make the problem ready for the search.

    Parameters
    ----------
    objective : shape (n_targets,), weight to cover most of; None takes the problem's

    Raises
    ------
    ValueError
        where shapes, weights, rows or floors are not as `SearchProblem` states
    """
    _check(problem)
    n_rows, n_targets = problem.quality.shape
    wanted = problem.weight if objective is None else objective
    scale = float(2.0 ** np.ceil(np.log2(wanted.sum()))) if wanted.sum() > 0 else 1.0
    weight = problem.weight.astype(np.float64) / scale
    binding = binding_floors(problem)
    floor_weight = np.zeros((binding.size, n_targets))
    for line, index in zip(floor_weight, binding, strict=True):
        line[problem.floors[index][0]] = weight[problem.floors[index][0]]
    shares = np.array([problem.floors[index][1] for index in binding], dtype=np.float64)
    present = _present(problem, n_rows)
    groups, caps = _limited_groups(problem, present)
    return Model(
        quality=np.ascontiguousarray(problem.quality, dtype=np.float32),
        weight=wanted.astype(np.float64) / scale,
        scale=scale,
        floor_weight=floor_weight,
        floor_need=(shares - FLOOR_SLACK) * floor_weight.sum(axis=1),
        groups=groups,
        caps=caps,
        xy_m=problem.xy_m if problem.separation_m > 0 or problem.clashes is not None else None,
        separation_m=problem.separation_m if problem.xy_m is not None else 0.0,
        clashes=problem.clashes,
        present=present,
    )


def binding_floors(problem: SearchProblem) -> Rows:
    """Indices of the floors that ask for something; a model holds only these."""
    asks = [share > 0 and problem.weight[targets].sum() > 0 for targets, share in problem.floors]
    return np.flatnonzero(asks)


def submodel(model: Model, rows: Rows) -> Model:
    """Keep some rows, in the order given; quality is copied."""
    return replace(
        model,
        quality=model.quality[rows],
        groups=model.groups[rows],
        xy_m=None if model.xy_m is None else model.xy_m[rows],
        clashes=None if model.clashes is None else clashes_of(model.clashes, rows),
        present=model.present[rows],
    )


def kinds_of(rows_by_camera: tuple[Rows, ...]) -> tuple[Kind, ...]:
    """Sort cameras into kinds by their rows; a kind's cameras are interchangeable."""
    kinds: list[tuple[Rows, list[int]]] = []
    for camera, rows in enumerate(rows_by_camera):
        if not (np.diff(rows) > 0).all():
            rows = np.unique(rows)
        for known, cameras in kinds:
            if rows is known or np.array_equal(known, rows):
                cameras.append(camera)
                break
        else:
            kinds.append((rows.astype(np.intp), [camera]))
    return tuple(Kind(rows, tuple(cameras)) for rows, cameras in kinds)


def _present(problem: SearchProblem, n_rows: int) -> Flags:
    if problem.period_mask is None or not n_rows:
        return np.ones((n_rows, 1), dtype=np.bool_)
    n_periods = max(1, int(problem.period_mask.max()).bit_length())
    present = (problem.period_mask[:, None] >> np.arange(n_periods)) & 1 > 0
    # periods that every row shares are one; so is a single period
    return present if not present.all() else present[:, :1]


def _limited_groups(problem: SearchProblem, present: Flags) -> tuple[Rows, tuple[int, ...]]:
    n_cameras = len(problem.rows_by_camera)
    groups = np.zeros(present.shape, np.intp)
    if problem.group is None or problem.group_cap is None:
        return groups, (n_cameras,)
    limited = np.flatnonzero(problem.group_cap < n_cameras)
    renumbered = np.zeros(problem.group_cap.size, np.intp)
    renumbered[limited] = np.arange(1, limited.size + 1)
    for period in range(present.shape[1]):
        own = renumbered[problem.group]
        groups[:, period] = np.where(present[:, period] & (own > 0), own + period * limited.size, 0)
    caps = tuple(int(cap) for cap in problem.group_cap[limited])
    return groups, (n_cameras, *caps * present.shape[1])


def _check(problem: SearchProblem) -> None:
    if problem.quality.ndim != 2:
        raise ValueError(f"quality: has {problem.quality.ndim} axes; wanted 2 (rows, targets)")
    n_rows, n_targets = problem.quality.shape
    if problem.weight.shape != (n_targets,):
        raise ValueError(f"weight: shape {problem.weight.shape}; wanted ({n_targets},), one for each target")
    if not (np.isfinite(problem.weight).all() and (problem.weight >= 0).all()):
        raise ValueError("weight: every weight must be finite and at least 0")
    if not problem.rows_by_camera:
        raise ValueError("rows_by_camera: no camera; give one array of rows for each")
    for camera, rows in enumerate(problem.rows_by_camera):
        if rows.size and (rows.min() < 0 or rows.max() >= n_rows):
            raise ValueError(f"rows_by_camera[{camera}]: rows must lie in 0..{n_rows - 1}")
    if problem.separation_m > 0 and problem.xy_m is None:
        raise ValueError(f"xy_m: missing; a separation of {problem.separation_m} m needs the place of every row")
    if problem.clashes is not None and problem.xy_m is None:
        raise ValueError("xy_m: missing; clashes need the place of every row")
    for name, array in (
        ("xy_m", problem.xy_m),
        ("group", problem.group),
        ("clashes.mark", None if problem.clashes is None else problem.clashes.mark),
        ("period_mask", problem.period_mask),
    ):
        if array is not None and len(array) != n_rows:
            raise ValueError(f"{name}: {len(array)} rows; wanted {n_rows}, one for each row of quality")
    for index, (_targets, share) in enumerate(problem.floors):
        if not 0 <= share <= 1:
            raise ValueError(f"floors[{index}]: share {share}; allowed 0 to 1")
