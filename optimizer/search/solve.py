"""The proven best set of rows, one for each camera: the function to read first."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from standmark.optimizer.search.branch import Node, Step, explore
from standmark.optimizer.search.descent import Prices
from standmark.optimizer.search.incumbent import confirmed, value_of
from standmark.optimizer.search.kernel import ROUNDING, gains_of_sets
from standmark.optimizer.search.limits import allowed_sets, floors_met, one_sided, within_caps
from standmark.optimizer.search.model import Kind, Model, kinds_of, model_of, submodel
from standmark.optimizer.search.problem import Certificate, SearchProblem, SearchResult
from standmark.optimizer.search.root import first_bound, goal_above
from standmark.optimizer.search.slot import Slot

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]

TIE = 1e-12  # values closer than this are equal, the lowest rows win


@dataclass(frozen=True, eq=False)
class Best:
    """The best set met so far."""

    value: float  # in scaled weight; -inf for none
    rows: tuple[int, ...]  # by camera


def search(
    problem: SearchProblem,
    *,
    time_limit_s: float | None = None,
    tolerance: float = 1e-6,
    on_progress: Callable[[float, float, int], None] | None = None,
) -> SearchResult:
    """Choose the best row for each camera and prove it.

    Parameters
    ----------
    problem : rows, weights and limits
    time_limit_s : stop after about this long with the best set so far and an honest bound; the first bound, which
        reads every row, is always finished
    tolerance : share of its value by which the answer may fall short of the best
    on_progress : called with (value, upper bound, nodes done) after each node

    Returns
    -------
    value and upper bound hold to float64 rounding, whatever was read in float32 on the way

    Raises
    ------
    ValueError
        where the problem is not as `SearchProblem` states
    """
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    model = model_of(problem)
    kinds = kinds_of(problem.rows_by_camera)
    best = Best(-np.inf, ())
    roots, certificates = [], []
    for banned, slots in sides(model, kinds):
        best, root = open_root(model, slots, kinds, best, tolerance)
        certificates.append(Certificate(banned, root.prices.target, root.prices.floor))
        roots.append(root)
    model, roots, rows = compact(model, roots)
    upper, n_nodes, is_stopped = -np.inf, 0, False

    def goal() -> float:
        return goal_above(best.value, tolerance)

    for step in explore(model, roots, goal):
        upper, n_nodes = step.bound, step.n_nodes
        best = better(model, kinds, rows, step, best)
        if on_progress is not None:
            on_progress(best.value * model.scale, max(upper, best.value) * model.scale, n_nodes)
        if time.monotonic() > deadline:
            is_stopped = upper > goal()
            break
    best = lowest_rows(model, kinds, roots, rows, best)
    return _result(problem, model.scale, best, upper if is_stopped else None, tolerance, n_nodes, tuple(certificates))


def sides(model: Model, kinds: tuple[Kind, ...]) -> list[tuple[tuple[int, ...], tuple[Slot, ...]]]:
    """Sides of the line of action to ban, one for each period, and the slots that are left; they cover all sets."""
    used = np.unique(np.concatenate([kind.rows for kind in kinds]))
    n_periods = model.present.shape[1]
    found = [set(model.side[used[model.present[used, period]]].tolist()) for period in range(n_periods)]
    choices = [(1, -1) if {-1, 1} <= both else (0,) for both in found]
    trees = []
    for banned in product(*choices):
        is_open = ~((model.side[:, None] == banned) & model.present & (model.side[:, None] != 0)).any(axis=1)
        slots = tuple(Slot(kind.rows[is_open[kind.rows]], len(kind.cameras), i) for i, kind in enumerate(kinds))
        trees.append((banned, slots))
    return trees


def open_root(
    model: Model, slots: tuple[Slot, ...], kinds: tuple[Kind, ...], best: Best, tolerance: float
) -> tuple[Best, Node]:
    """Bound one tree, and find a good set on the way."""
    caps = model.caps
    slots = tuple(replace(slot, rows=within_caps(model, caps, slot.rows)) for slot in slots)
    zero = Prices(np.zeros(model.weight.size, np.float32), np.zeros(len(model.floor_need)))
    if any(slot.rows.size < slot.count for slot in slots):
        return best, Node((), slots, caps, zero, np.zeros(0, np.intp), -np.inf)
    if sum(slot.count for slot in slots) == 1:
        return best, Node((), slots, caps, zero, np.zeros(0, np.intp), np.inf)
    placed, bound = first_bound(model, slots, caps, best=best.value, tolerance=tolerance)
    value = confirmed(model, caps, placed)
    if placed is not None and value > -np.inf:
        kind_of_row = [slot.kind for slot in slots for _ in range(slot.count)]
        best = _best_of(best, Best(value, _by_camera(kinds, list(zip(kind_of_row, placed.rows, strict=True)))))
    return best, Node((), bound.slots, caps, bound.prices, bound.active, bound.value)


def compact(model: Model, roots: list[Node]) -> tuple[Model, list[Node], Rows]:
    """Copy the rows still open, when they are less than half; returns which rows of the model they are."""
    n_rows = model.quality.shape[0]
    rows = np.unique(np.concatenate([slot.rows for root in roots for slot in root.slots]))
    if 2 * rows.size > n_rows:
        return model, roots, np.arange(n_rows)
    return submodel(model, rows), [_renumbered(root, rows) for root in roots], rows


def better(model: Model, kinds: tuple[Kind, ...], rows: Rows, step: Step, best: Best) -> Best:
    """Try the sets that came with a step; those that may beat or tie the best are summed in float64."""
    if step.sets is None or not len(step.sets):
        return best
    least, most = worth_of_sets(model, step)
    order = np.flatnonzero(most >= best.value - TIE)
    for index in order[np.argsort(-least[order], kind="stable")]:
        if most[index] < best.value - TIE:
            continue
        kind_and_row = [*step.fixed, *zip(step.kinds, step.sets[index].tolist(), strict=True)]
        members = [row for _kind, row in kind_and_row]
        if floors_met(model, np.array([members]))[0]:
            chosen = _by_camera(kinds, [(kind, int(rows[row])) for kind, row in kind_and_row])
            best = _best_of(best, Best(value_of(model, members), chosen))
    return best


def lowest_rows(model: Model, kinds: tuple[Kind, ...], roots: list[Node], rows: Rows, best: Best) -> Best:
    """Let each camera in turn take the lowest row that keeps the value, so that equal rows settle by number."""
    if not best.rows or not np.isin(best.rows, rows).all():
        return best
    kind_of = {camera: index for index, kind in enumerate(kinds) for camera in kind.cameras}
    for camera in range(len(best.rows)):
        members = np.searchsorted(rows, best.rows)
        others = np.delete(members, camera)
        own = [slot.rows for root in roots for slot in root.slots if slot.kind == kind_of[camera]]
        lower = np.unique(np.concatenate(own))
        lower = lower[lower < members[camera]]
        sets = np.column_stack([np.tile(others, (lower.size, 1)), lower])
        sets = sets[allowed_sets(model, sets, model.caps) & one_sided(model, sets)]
        step = Step(
            best.value, 0, (), tuple(kind_of[c] for c in [*np.delete(np.arange(len(best.rows)), camera), camera]), sets
        )
        best = better(model, kinds, rows, step, best)
    return best


def worth_of_sets(model: Model, step: Step) -> tuple[Floats, Floats]:
    """Least and most that each set of a step may be worth; the most is -inf where a floor cannot be met."""
    sets = np.zeros((0, 0), np.intp) if step.sets is None else step.sets
    fixed = [row for _kind, row in step.fixed]
    level = model.quality[fixed].max(axis=0) if fixed else np.zeros(model.weight.size, np.float32)
    exact_level = level.astype(np.float64)

    def within(weight: Floats) -> tuple[Floats, Floats]:
        base = float(weight @ exact_level)
        added = gains_of_sets(model.quality, level, weight, sets) if sets.shape[1] else np.zeros(len(sets))
        return base + added * (1 - 2 * ROUNDING), base + added * (1 + 2 * ROUNDING)

    least, most = within(model.weight)
    for weight, need in zip(model.floor_weight, model.floor_need, strict=True):
        most[within(weight)[1] < need - TIE] = -np.inf
    return least, most


def _best_of(known: Best, found: Best) -> Best:
    if found.value > known.value + TIE:
        return found
    return found if found.value >= known.value - TIE and found.rows < known.rows else known


def _by_camera(kinds: tuple[Kind, ...], kind_and_row: list[tuple[int, int]]) -> tuple[int, ...]:
    """Rows in the order of the cameras; interchangeable cameras take theirs in ascending order."""
    row_of: dict[int, int] = {}
    for index, kind in enumerate(kinds):
        own = sorted(row for which, row in kind_and_row if which == index)
        row_of.update(zip(kind.cameras, own, strict=True))
    return tuple(row_of[camera] for camera in sorted(row_of))


def _renumbered(node: Node, rows: Rows) -> Node:
    slots = tuple(replace(slot, rows=np.searchsorted(rows, slot.rows)) for slot in node.slots)
    return replace(node, slots=slots, active=np.searchsorted(rows, np.intersect1d(node.active, rows)))


def _result(
    problem: SearchProblem,
    scale: float,
    best: Best,
    open_bound: float | None,
    tolerance: float,
    n_nodes: int,
    certificates: tuple[Certificate, ...],
) -> SearchResult:
    multipliers = np.zeros(problem.weight.size)
    if certificates:
        multipliers = certificates[0].target_price.astype(np.float64)
    if not best.rows:
        if open_bound is None:
            message = "no set of rows keeps every limit"
            return SearchResult("infeasible", (), np.nan, np.nan, np.nan, n_nodes, message, multipliers, certificates)
        message = "no allowed set was found in the time given"
        return SearchResult(
            "time limit", (), np.nan, open_bound * scale, np.inf, n_nodes, message, multipliers, certificates
        )
    value = set_value(problem, best.rows)
    upper = max(value, goal_above(best.value, tolerance) * scale, (open_bound or -np.inf) * scale)
    status = "optimal" if open_bound is None else "time limit"
    share = (upper - value) / value if value > 0 else 0.0
    message = (
        f"proven within {tolerance:g} of the best" if open_bound is None else f"at most {share:.3%} below the best"
    )
    return SearchResult(status, best.rows, value, upper, upper - value, n_nodes, message, multipliers, certificates)


def set_value(problem: SearchProblem, rows: tuple[int, ...] | list[int]) -> float:
    """Weighted best quality of a set of rows, summed in float64."""
    return float(problem.quality[list(rows)].max(axis=0).astype(np.float64) @ problem.weight.astype(np.float64))
