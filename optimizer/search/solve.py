"""The proven best set: branch and bound over rows with the Lagrangian bound."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.kernel import maxdot
from standmark.optimizer.search.problem import SearchProblem, SearchResult

Rows = NDArray[np.intp]
Singles = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class _Node:
    chosen: tuple[tuple[int, int], ...]  # (class, row)
    rows: tuple[Rows, ...]  # by class, still allowed
    counts: tuple[int, ...]  # by class, still to choose
    level: Singles  # best quality of the chosen rows
    multipliers: Singles
    bound: float


def search(
    problem: SearchProblem,
    *,
    time_limit_s: float | None = None,
    tolerance: float = 1e-6,
    on_progress: Callable[[float, float, int], None] | None = None,
) -> SearchResult:
    """Choose the best row for each camera and prove it."""
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    classes, members = _classes(problem.rows_by_camera)
    if problem.group is not None and problem.group_cap is not None:
        classes = [rows[problem.group_cap[problem.group[rows]] > 0] for rows in classes]
    n_targets = problem.quality.shape[1]
    zero = np.zeros(n_targets, np.float32)
    stack: list[_Node] = []
    for banned in (-1, 1) if problem.side is not None else (0,):
        rows = tuple(r if problem.side is None else r[problem.side[r] != banned] for r in classes)
        counts = tuple(len(m) for m in members)
        stack.append(_Node((), rows, counts, zero, zero, np.inf))
    best_value = -np.inf
    best: tuple[int, ...] = ()
    root_multipliers = zero
    open_bound = -np.inf
    n_nodes = 0
    while stack:
        node = stack.pop()
        if node.bound <= best_value * (1 + tolerance):
            continue
        if any(r.size < c for r, c in zip(node.rows, node.counts, strict=True)) or not _floors_reachable(problem, node):
            continue
        if n_nodes and time.monotonic() > deadline:
            open_bound = max([open_bound, node.bound, *(other.bound for other in stack)])
            break
        n_nodes += 1
        if not sum(node.counts):
            value = set_value(problem, [row for _, row in node.chosen])
            key = _in_camera_order(node.chosen, members)
            if value > best_value or (value == best_value and key < best):
                best_value, best = value, key
            continue
        node, rho = _tighten(problem, node, best_value, 60 if n_nodes == 1 else 12)
        if n_nodes == 1:
            root_multipliers = node.multipliers
        if on_progress is not None:
            on_progress(best_value, max([node.bound, *(other.bound for other in stack)]), n_nodes)
        if node.bound <= best_value * (1 + tolerance):
            continue
        which = max(
            (c for c, count in enumerate(node.counts) if count),
            key=lambda c: float(rho[c].max()) if rho[c].size else -np.inf,
        )
        position = int(np.argmax(rho[which]))
        row = int(node.rows[which][position])
        without = tuple(np.delete(r, position) if c == which else r for c, r in enumerate(node.rows))
        stack.append(replace(node, rows=without))
        stack.append(_with_row(problem, node, which, row))
    if not best:
        stopped = open_bound > -np.inf
        return SearchResult(
            "time limit" if stopped else "infeasible",
            (),
            np.nan,
            open_bound if stopped else np.nan,
            np.inf if stopped else np.nan,
            n_nodes,
            "no allowed set found in the time given" if stopped else "no set keeps every limit",
            root_multipliers.astype(np.float64),
        )
    bound = max(best_value * (1 + tolerance), open_bound)
    return SearchResult(
        "time limit" if open_bound > best_value * (1 + tolerance) else "optimal",
        best,
        best_value,
        bound,
        bound - best_value,
        n_nodes,
        "",
        root_multipliers.astype(np.float64),
    )


def set_value(problem: SearchProblem, rows: list[int] | tuple[int, ...]) -> float:
    """Weighted best quality of a set of rows, summed in float64."""
    return float(problem.quality[list(rows)].max(axis=0).astype(np.float64) @ problem.weight)


def _classes(rows_by_camera: tuple[Rows, ...]) -> tuple[list[Rows], list[list[int]]]:
    classes: list[Rows] = []
    members: list[list[int]] = []
    for camera, rows in enumerate(rows_by_camera):
        rows = np.unique(rows)
        for known, cameras in zip(classes, members, strict=True):
            if np.array_equal(known, rows):
                cameras.append(camera)
                break
        else:
            classes.append(rows)
            members.append([camera])
    return classes, members


def _in_camera_order(chosen: tuple[tuple[int, int], ...], members: list[list[int]]) -> tuple[int, ...]:
    answer: dict[int, int] = {}
    for which, cameras in enumerate(members):
        answer.update(zip(cameras, sorted(row for c, row in chosen if c == which), strict=True))
    return tuple(answer[camera] for camera in sorted(answer))


def _with_row(problem: SearchProblem, node: _Node, which: int, row: int) -> _Node:
    chosen = (*node.chosen, (which, row))
    keep = [_compatible(problem, [r for _, r in chosen], rows) for rows in node.rows]
    counts = tuple(count - (c == which) for c, count in enumerate(node.counts))
    level = np.maximum(node.level, problem.quality[row])
    multipliers = np.maximum(node.multipliers, level)
    return replace(node, chosen=chosen, rows=tuple(keep), counts=counts, level=level, multipliers=multipliers)


def _compatible(problem: SearchProblem, chosen: list[int], rows: Rows) -> Rows:
    allowed: NDArray[np.bool_] = rows != chosen[-1]
    if problem.xy_m is not None and problem.separation_m > 0:
        offset = problem.xy_m[rows] - problem.xy_m[chosen[-1]]
        allowed &= np.hypot(offset[:, 0], offset[:, 1]) >= problem.separation_m
    if problem.group is not None and problem.group_cap is not None:
        used = np.bincount(problem.group[chosen], minlength=problem.group_cap.size)
        allowed &= (used < problem.group_cap)[problem.group[rows]]
    kept: Rows = rows[allowed]
    return kept


def _floors_reachable(problem: SearchProblem, node: _Node) -> bool:
    for targets, share in problem.floors:
        weight = problem.weight[targets]
        need = share * weight.sum() - 1e-9
        level = node.level[targets].astype(np.float64)
        reach = float(level @ weight)
        for rows, count in zip(node.rows, node.counts, strict=True):
            if count and reach < need:
                gains = maxdot(problem.quality[:, targets], level.astype(np.float32), weight.astype(np.float32), rows)
                gains -= level @ weight
                reach += float(np.sort(gains)[-count:].sum()) * (1 + 1e-5)
        if reach < need:
            return False
    return True


def _tighten(
    problem: SearchProblem, node: _Node, lower: float, n_steps: int
) -> tuple[_Node, list[NDArray[np.float64]]]:
    """Lower the node's Lagrangian bound by subgradient steps; also what each row adds above the multipliers."""
    weight32 = problem.weight.astype(np.float32)
    u, lowest, kept = node.multipliers, np.inf, (node.multipliers, [np.zeros(0)])
    scale = 1.0
    for step in range(n_steps + 1):
        base = float(u.astype(np.float64) @ problem.weight)
        rho = [maxdot(problem.quality, u, weight32, rows) - base for rows in node.rows]
        tops = [np.argsort(-r, kind="stable")[:count] for r, count in zip(rho, node.counts, strict=True)]
        bound = base + sum(float(r[top].sum()) for r, top in zip(rho, tops, strict=True))
        bound += 1e-6 * abs(bound)
        if bound < lowest:
            lowest, kept = bound, (u, rho)
        else:
            scale *= 0.9
        if step == n_steps or lowest <= lower:
            break
        picked = np.concatenate([rows[top] for rows, top in zip(node.rows, tops, strict=True)])
        gradient = 1.0 - (problem.quality[picked] > u).sum(axis=0)
        norm = float(problem.weight @ gradient**2)
        if norm == 0:
            break
        target = lower if np.isfinite(lower) else 0.98 * lowest
        u = np.clip(u - scale * max(bound - target, 0.0) / norm * gradient, node.level, 1).astype(np.float32)
    return replace(node, bound=min(lowest, node.bound), multipliers=kept[0]), kept[1]
