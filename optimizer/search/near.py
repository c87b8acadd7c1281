"""Sets nearly as good as the best, so that a second wish can choose among them."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.search.best import worth_of_sets
from standmark.optimizer.search.branch import Explored, Node, explore
from standmark.optimizer.search.descent import Prices
from standmark.optimizer.search.dual import read_all, without_hopeless
from standmark.optimizer.search.exact import compact, full_domain
from standmark.optimizer.search.incumbent import value_of
from standmark.optimizer.search.limits import floors_met, within_caps
from standmark.optimizer.search.model import Kind, Model, binding_floors, kinds_of, model_of
from standmark.optimizer.search.problem import Rows, SearchProblem, SearchResult
from standmark.optimizer.search.slot import Domain, with_rows

Score = Callable[[Rows], Floats]
MostScore = Callable[[Rows, Floats], Floats]

ROUNDING_SLACK = 1e-9  # a set this little outside still counts as near
SCORED = 256  # sets at a time, where those that cannot score enough are passed over


@dataclass(frozen=True, eq=False)
class NearBest:
    """Sets near the best value: the highest scores of all that were met."""

    rows: Rows  # shape (n, n_cameras), row of each camera; best score first
    value: Floats  # shape (n,)
    score: Floats  # shape (n,)
    n_met: int  # sets near the best that came up
    is_complete: bool  # every set near the best was met


def near_best(
    problem: SearchProblem,
    result: SearchResult,
    *,
    within: float,
    score: Score | None = None,
    most_score: MostScore | None = None,
    keep: int = 100,
    time_limit_s: float | None = None,
    most_sets: int = 5_000_000,
) -> NearBest:
    """Meet the sets whose value is at most `within` below the result's, and keep those of highest score.

    Parameters
    ----------
    within : how much of the value may be given up, in the unit of the value
    score : takes rows of shape (n, n_cameras), one column for each camera, and returns what to rank them by, shape
        (n,); None ranks by value. Called on blocks; ties go to the higher value, then to the lower rows
    most_score : takes rows and values of shape (n,), and returns what their scores are at most; sets that cannot come
        among those kept are not scored then
    keep : sets to return at most
    time_limit_s, most_sets : stop after about so long, or so many sets; `is_complete` is then False

    Raises
    ------
    ValueError
        where the result has no rows
    """
    if not result.rows:
        raise ValueError(f"result: status {result.status!r} without rows; near_best needs a set to start from")
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    met = _Met(np.zeros((0, len(result.rows)), np.intp), np.zeros(0), np.zeros(0))
    n_met, is_complete = 0, True
    for rows, value in near_blocks(problem, result, within=within):
        if len(rows):
            n_met += len(rows)
            met = _scored(met, rows, value, score=score, most_score=most_score, keep=keep)
        if time.monotonic() > deadline or n_met >= most_sets:
            is_complete = False
            break
    return NearBest(met.rows, met.value, met.score, n_met, is_complete)


def near_blocks(problem: SearchProblem, result: SearchResult, *, within: float) -> Iterator[tuple[Rows, Floats]]:
    """Stream the sets within reach of a result in blocks, each set once; some blocks are empty.

    Yields
    ------
    rows of shape (n, n_cameras), one column for each camera, and their values of shape (n,). Interchangeable cameras
    take their rows in ascending order. The most promising parts of the search come first.
    """
    model = model_of(problem)
    kinds = kinds_of(problem.rows_by_camera)
    least = (result.value - within) / model.scale
    least -= ROUNDING_SLACK * abs(least)
    domain = full_domain(model, kinds)
    domain = with_rows(domain, [within_caps(model, model.caps, slot.rows) for slot in domain.slots])
    if domain.is_empty:
        return
    certificate = result.certificate
    prices = Prices(certificate.target_price, certificate.floor_price[binding_floors(problem)])
    model, root, rows_of = compact(model, _near_root(model, domain, prices, least))
    for step in explore(model, root, lambda: least):
        members, values = _near_sets(model, step, least)
        yield _columns_by_camera(kinds, step, rows_of[members]), values * model.scale


@dataclass(frozen=True, eq=False)
class _Met:
    rows: Rows
    value: Floats
    score: Floats


def _scored(
    known: _Met, rows: Rows, value: Floats, *, score: Score | None, most_score: MostScore | None, keep: int
) -> _Met:
    """Add sets to those kept; where it is known what they score at most, the most promising first."""
    if score is None or most_score is None:
        fresh = _Met(rows, value, value if score is None else np.asarray(score(rows), dtype=np.float64))
        return _best_scores(known, fresh, keep)
    most = most_score(rows, value)
    order = np.argsort(-most, kind="stable")
    for first in range(0, len(order), SCORED):
        some = order[first : first + SCORED]
        if len(known.score) == keep:
            some = some[most[some] >= known.score[-1]]
        if not len(some):
            break
        fresh = _Met(rows[some], value[some], np.asarray(score(rows[some]), dtype=np.float64))
        known = _best_scores(known, fresh, keep)
    return known


def _best_scores(known: _Met, fresh: _Met, keep: int) -> _Met:
    rows = np.concatenate([known.rows, fresh.rows])
    value, score = np.concatenate([known.value, fresh.value]), np.concatenate([known.score, fresh.score])
    order = np.lexsort((*rows.T[::-1], -value, -score))[:keep]
    return _Met(rows[order], value[order], score[order])


def _near_root(model: Model, domain: Domain, prices: Prices, least: float) -> Node:
    bound = without_hopeless(model, read_all(model, domain, prices), least)
    return Node((), bound.domain, bound.prices, bound.active, bound.value)


def _near_sets(model: Model, step: Explored, least: float) -> tuple[Rows, Floats]:
    """Members of the sets of a step that are near the best, fixed rows first, and their values."""
    n_members = len(step.fixed) + (0 if step.sets is None else step.sets.shape[1])
    if step.sets is None or not len(step.sets):
        return np.zeros((0, n_members), np.intp), np.zeros(0)
    low, high = worth_of_sets(model, step)
    reached = np.flatnonzero(high >= least)
    fixed = np.tile([row for _kind, row in step.fixed], (reached.size, 1)).astype(np.intp)
    members = np.column_stack([fixed, step.sets[reached]])
    values = (low[reached] + high[reached]) / 2
    for index in np.flatnonzero(low[reached] < least):
        values[index] = value_of(model, members[index].tolist())
    near = (values >= least) & floors_met(model, members)
    return members[near], values[near]


def _columns_by_camera(kinds: tuple[Kind, ...], step: Explored, members: Rows) -> Rows:
    kind_of_column = np.array([*(kind for kind, _row in step.fixed), *step.kinds], dtype=np.intp)
    columns = np.zeros((len(members), sum(len(kind.cameras) for kind in kinds)), np.intp)
    for index, kind in enumerate(kinds):
        if len(members):
            columns[:, kind.cameras] = np.sort(members[:, kind_of_column == index], axis=1)
    return columns
