"""Check of a result that shares no code with the search: plain sums in float64."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Flags, Floats
from standmark.optimizer.search.problem import Certificate, Rows, SearchProblem, SearchResult

SAME_VALUE = 1e-9  # a stated value may differ from ours by the order of its sum
MOST_PRICE = 1e6  # of a floor; more would drown the weights in rounding


@dataclass(frozen=True)
class Verification:
    """What a check of a result found."""

    is_allowed: bool  # the set keeps every limit
    value: float  # summed again
    root_bound: float  # what the certificate alone proves, always: no allowed set is worth more
    n_listed: int  # sets that the certificate left open and that were valued one by one
    is_proven: bool  # the result's own upper bound, which is tighter, holds as well: all sets left open were valued


def verify(problem: SearchProblem, result: SearchResult, *, most_sets: int = 20_000) -> Verification:
    """Prove a result's upper bound again from its certificate.

    A certificate bounds every set: `certified_worth` and `dearest_total` are that proof, independent of the search
    and short enough to read. Where the bound lies above the result's, the sets that
    it leaves open are listed and valued. A result that took branching may leave more than `most_sets` open; then
    `is_proven` is False, and what is proven again is `root_bound`: most often within a percent of the value.

    Nothing in the result is taken on trust: a set that breaks a limit, a value that is not its own, and a certificate
    with prices out of range prove nothing (`root_bound` is then infinite).
    """
    if not is_allowed(problem, result.rows):
        return Verification(False, np.nan, np.inf, 0, False)
    value = value_of_set(problem, result.rows)
    is_sound = is_well_formed(problem, result.certificate) and abs(result.value - value) <= SAME_VALUE
    if not (is_sound and np.isfinite(result.upper_bound)):
        return Verification(True, value, np.inf, 0, False)
    base, worth = certified_worth(problem, result.certificate)
    rows_by_camera = list(problem.rows_by_camera)
    root_bound = base + dearest_total(rows_by_camera, worth)
    sets = open_sets(rows_by_camera, worth, result.upper_bound - base, most_sets)
    allowed = () if sets is None else (rows for rows in sets.tolist() if is_allowed(problem, rows))
    return Verification(
        is_allowed=True,
        value=value,
        root_bound=root_bound,
        n_listed=0 if sets is None else len(sets),
        is_proven=sets is not None and all(value_of_set(problem, rows) <= result.upper_bound for rows in allowed),
    )


def is_well_formed(problem: SearchProblem, certificate: Certificate) -> bool:
    """Whether a certificate has a price in range for every target and every floor."""
    price, floor_price = np.asarray(certificate.target_price), np.asarray(certificate.floor_price)
    return (
        price.shape == (problem.quality.shape[1],)
        and floor_price.shape == (len(problem.floors),)
        and bool(((price >= 0) & (price <= 1)).all())
        and bool(((floor_price >= 0) & (floor_price <= MOST_PRICE)).all())
    )


def certified_worth(problem: SearchProblem, certificate: Certificate) -> tuple[float, Floats]:
    """Price total of a certificate and what each row adds to it."""
    weight, price = problem.weight.astype(np.float64), certificate.target_price.astype(np.float64)
    base = 0.0
    for (targets, share), floor_price in zip(problem.floors, certificate.floor_price, strict=True):
        base -= floor_price * (share - 1e-9) * problem.weight[targets].sum()
        weight[targets] += floor_price * problem.weight[targets]
    n_rows = len(problem.quality)
    blocks = (problem.quality[start : start + 64].astype(np.float64) for start in range(0, n_rows, 64))
    worth = np.concatenate([np.vecdot(np.maximum(block - price, 0), weight) for block in blocks])
    return base + float(weight @ price), worth


def dearest_total(rows_by_camera: list[Rows], worth: Floats) -> float:
    """Greatest total worth of one row for each camera; cameras with the same rows take different ones."""
    if same_rows(rows_by_camera):
        return float(np.sort(worth[rows_by_camera[0]])[-len(rows_by_camera) :].sum())
    return float(sum(worth[rows].max(initial=-np.inf) for rows in rows_by_camera))


def open_sets(rows_by_camera: list[Rows], worth: Floats, least: float, most_sets: int) -> Rows | None:
    """Sets, one row for each camera, whose worth adds up to more than `least`; None when they are too many."""
    best_later = np.cumsum([0.0, *(worth[rows].max(initial=-np.inf) for rows in reversed(rows_by_camera))])[::-1]
    sets, total = np.zeros((1, 0), np.intp), np.zeros(1)
    for camera, rows in enumerate(rows_by_camera):
        rows = rows[worth[rows] + best_later[0] - worth[rows].max(initial=-np.inf) > least]
        if len(sets) * len(rows) > 100 * most_sets:
            return None
        parent, own = (index.ravel() for index in np.indices((len(sets), len(rows))))
        total = total[parent] + worth[rows[own]]
        sets = np.column_stack([sets[parent], rows[own]])[total + best_later[camera + 1] > least]
        total = total[total + best_later[camera + 1] > least]
    sets = np.unique(np.sort(sets, axis=1), axis=0) if same_rows(rows_by_camera) else sets
    return sets if len(sets) <= most_sets else None


def same_rows(rows_by_camera: list[Rows]) -> bool:
    """Do all cameras choose from the same rows."""
    return all(np.array_equal(rows, rows_by_camera[0]) for rows in rows_by_camera)


def value_of_set(problem: SearchProblem, rows: tuple[int, ...] | list[int]) -> float:
    """Weighted best quality of a set in float64; nan for no set."""
    if not rows:
        return np.nan
    return float(problem.quality[list(rows)].max(axis=0).astype(np.float64) @ problem.weight.astype(np.float64))


def present_in(problem: SearchProblem, period: int) -> Flags:
    """Which rows are taken in a period."""
    if problem.period_mask is None:
        return np.ones(len(problem.quality), dtype=np.bool_)
    present: Flags = problem.period_mask >> period & 1 > 0
    return present


def is_allowed(problem: SearchProblem, rows: tuple[int, ...] | list[int]) -> bool:
    """Does a set keep every limit of its problem."""
    if not rows or len(rows) != len(problem.rows_by_camera) or len(set(rows)) < len(rows):
        return False
    if not all(row in own for row, own in zip(rows, problem.rows_by_camera, strict=True)):
        return False
    members = np.array(rows, dtype=np.intp)
    if _has_clash(problem, members):
        return False
    n_periods = 1 if problem.period_mask is None else int(problem.period_mask.max()).bit_length()
    return all(
        _is_allowed_at_once(problem, members[present_in(problem, period)[members]]) for period in range(n_periods)
    ) and all(
        problem.quality[members].max(axis=0)[targets].astype(np.float64) @ problem.weight[targets]
        >= (share - 1e-9) * problem.weight[targets].sum() - 1e-12
        for targets, share in problem.floors
    )


def _is_allowed_at_once(problem: SearchProblem, members: Rows) -> bool:
    if problem.xy_m is not None:
        for a, row in enumerate(members):
            offset = problem.xy_m[members[a + 1 :]] - problem.xy_m[row]
            if (np.hypot(offset[:, 0], offset[:, 1]) < problem.separation_m).any():
                return False
    if problem.group is not None and problem.group_cap is not None:
        used = np.bincount(problem.group[members], minlength=problem.group_cap.size)
        if (used > problem.group_cap).any():
            return False
    return True


def _has_clash(problem: SearchProblem, members: Rows) -> bool:
    if problem.clashes is None:
        return False
    mark, place, between = problem.clashes.mark, problem.clashes.place, problem.clashes.between
    return any(
        bool((mark[a] & mark[b] & between[place[a], place[b]]).any())
        for index, a in enumerate(members)
        for b in members[index + 1 :]
    )
