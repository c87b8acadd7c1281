"""Cameras that stay where they stood in an earlier plan, unless leaving gains more than it upsets."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely

from standmark.geometry.arrays import Indices
from standmark.optimizer.choice.candidates import Candidates, nearest_area, standing_shape
from standmark.optimizer.choice.stage import Stage, proof_tolerance
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import search

MUST = 10.0  # more than any coverage
LEAVES_FOR = 0.005  # coverage that leaving its place must gain for each camera: half of one per cent
TOUCH_M = 0.01


@dataclass(frozen=True)
class Kept:
    """Where a camera stood in one period of an earlier plan."""

    camera: str
    period: str  # key
    xyz_m: tuple[float, float, float]
    lens: str | None = None  # name of the lens it keeps; None: any of its kit
    is_must: bool = False  # its role holds it there: it leaves only if the rules leave no plan otherwise


def with_places_kept(match: Match, candidates: Candidates, keep: Sequence[Kept]) -> Candidates:
    """Add the places of an earlier plan that the ground still allows."""
    fresh = {}
    for kept in keep:
        area = nearest_area(match, *kept.xyz_m[:2])
        allowed = match.venue.allowed[area]
        is_near = standing_shape(match, allowed).distance(shapely.Point(kept.xyz_m[:2])) <= TOUCH_M
        low_m, high_m = allowed.lens_height_m
        if is_near and low_m - TOUCH_M <= kept.xyz_m[2] <= high_m + TOUCH_M and _position(candidates, kept) is None:
            fresh[kept.xyz_m] = area
    if not fresh:
        return candidates
    return replace(
        candidates,
        xyz_m=np.vstack([candidates.xyz_m, np.array(list(fresh))]),
        area=np.concatenate([candidates.area, np.array(list(fresh.values()), dtype=np.intp)]),
    )


def with_kept(match: Match, stages: Sequence[Stage], keep: Sequence[Kept]) -> list[Stage]:
    """Hold cameras where they stood in each stage; one leaves only if that gains over LEAVES_FOR.

    Every choice of cameras to hold is searched, the others free: taken is the one worth most when each camera that
    is held counts LEAVES_FOR. So a further camera does not swap those that are there.
    """
    known: dict[tuple[object, ...], tuple[tuple[int, ...], tuple[int, ...], float]] = {}
    bound = []
    for stage in stages:
        wanted = _wanted(match, stage, keep)
        asked = (id(stage.problem), stage.chosen, tuple((i, *rows.tolist()) for i, rows in sorted(wanted.items())))
        if asked not in known:
            known[asked] = _best(stage, wanted, {i: _price(match, keep, i) for i in wanted})
        chosen, held, value = known[asked]
        bound.append(replace(stage, chosen=chosen, held=held, value=value))
    return bound


Choice = tuple[tuple[int, ...], tuple[int, ...], float]  # rows, cameras held, value


def _best(stage: Stage, wanted: dict[int, Indices], price: dict[int, float]) -> Choice:
    """Rows, cameras held and value of the best choice of cameras to hold; most held first where they tie."""
    best, most = (stage.chosen, _held_anyway(stage, wanted), stage.value), -np.inf
    most = stage.value + sum(price[i] for i in best[1])
    for held in _subsets(sorted(wanted)):
        if stage.result.upper_bound + sum(price[i] for i in held) <= most:
            continue  # not even the best choice of all would be worth more
        rows = tuple(wanted[i] if i in held else own for i, own in enumerate(stage.problem.rows_by_camera))
        if not all(len(own) for own in rows):
            continue
        left_s = stage.memory.left_s()
        problem = replace(stage.problem, rows_by_camera=rows)
        result = search(problem, tolerance=proof_tolerance(len(rows)), time_limit_s=left_s)
        if result.rows and result.value + sum(price[i] for i in held) > most + 1e-9:
            best, most = (result.rows, held, result.value), result.value + sum(price[i] for i in held)
        if time.monotonic() > stage.memory.deadline:
            break
    return best


def _price(match: Match, keep: Sequence[Kept], camera: int) -> float:
    """Coverage that a camera must gain by leaving its place."""
    return MUST if any(k.is_must for k in keep if k.camera == match.cameras[camera].name) else LEAVES_FOR


def _held_anyway(stage: Stage, wanted: dict[int, Indices]) -> tuple[int, ...]:
    return tuple(i for i, rows in sorted(wanted.items()) if stage.chosen[i] in rows)


def _subsets(cameras: Sequence[int]) -> Iterator[tuple[int, ...]]:
    for n in range(len(cameras), 0, -1):
        yield from combinations(cameras, n)


def _wanted(match: Match, stage: Stage, keep: Sequence[Kept]) -> dict[int, Indices]:
    """Rows of each camera at the place where it stood in a stage's first period, as far as it may still stand there."""
    key, kit = stage.task.periods[0].key, stage.grid.rows
    rows_by_camera = {}
    for index, camera in enumerate(match.cameras):
        kept = next((k for k in keep if k.camera == camera.name and k.period == key), None)
        position = None if kept is None else _position(stage.grid.candidates, kept)
        if kept is None or position is None or camera.fixed is not None:
            continue
        own = stage.problem.rows_by_camera[index]
        rows = own[own % kit.n_positions == position]
        rows = rows[[kept.lens in (None, kit.outfit(int(row)).lens.name) for row in rows]] if len(rows) else rows
        if len(rows):
            rows_by_camera[index] = rows
    return rows_by_camera


def _position(candidates: Candidates, kept: Kept) -> int | None:
    away = np.abs(candidates.xyz_m - np.array(kept.xyz_m)).max(axis=1)
    return int(away.argmin()) if len(away) and away.min() <= 1e-6 else None
