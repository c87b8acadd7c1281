"""The exact search, from the first bound to the result."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from standmark.geometry.arrays import Flags, Floats
from standmark.optimizer.search.best import Best, best_of, better, by_camera, lowest_rows
from standmark.optimizer.search.branch import Node, explore
from standmark.optimizer.search.descent import Prices
from standmark.optimizer.search.dual import open_sets
from standmark.optimizer.search.feasible import some_set
from standmark.optimizer.search.floors import reach_from_nothing
from standmark.optimizer.search.incumbent import Placed, confirmed, exchange, value_of
from standmark.optimizer.search.limits import floors_met, within_caps
from standmark.optimizer.search.model import Kind, Model, binding_floors, kinds_of, model_of, submodel
from standmark.optimizer.search.onward import begun, root_ahead, with_fresh
from standmark.optimizer.search.problem import Certificate, Rows, SearchProblem, SearchResult, Start, Status
from standmark.optimizer.search.root import CORE_SETS, Begun, first_bound, goal_above
from standmark.optimizer.search.slot import Domain, Slot, with_rows
from standmark.optimizer.search.stop import Stop, stop_after


def search_only(
    problem: SearchProblem,
    *,
    time_limit_s: float | None = None,
    tolerance: float = 1e-6,
    on_progress: Callable[[float, float, int], None] | None = None,
    objective: Floats | None = None,
    known_value: float = -np.inf,
    start: Start | None = None,
    most_work: float = np.inf,
) -> SearchResult:
    """Search as `search` does, without asking why where there is no allowed set.

    Parameters
    ----------
    objective : shape (n_targets,), weight to cover most of; None takes the problem's, which its floors always do
    known_value : only a set worth more than this is of interest; where there is none the status is "infeasible"
    start : to go on from
    most_work : stop after so much work, which every machine counts alike [figures, see `stop.py`]; each tree has as
        much: the one without floors, the one that looks for any set on them, and the search's own
    """
    stop = stop_after(time_limit_s, most_work)
    if binding_floors(problem).size:
        start = None if start is None else replace(start, is_fresh=None)  # its bound holds with the floors only
        easy = search_only(
            replace(problem, floors=()),
            time_limit_s=time_limit_s,
            tolerance=tolerance,
            objective=objective,
            known_value=known_value,
            start=start,
            most_work=most_work,
        )
        if easy.status == "infeasible" or (easy.status == "optimal" and meets_floors(problem, easy.rows)):
            return _with_floors(easy, len(problem.floors))
    model = model_of(problem, objective=objective)
    kinds = kinds_of(problem.rows_by_camera)
    best, domain = Best(known_value / model.scale, ()), full_domain(model, kinds)
    root: Node | None
    is_fresh: Flags | None
    known = None if start is None else begun(problem, model, kinds, start)
    ahead = None if start is None or known is None else root_ahead(model, domain, start, known, tolerance)
    if ahead is None:
        best, root = opened(model, domain, kinds, best, tolerance, stop, start=known)
        is_fresh = None
    else:
        before, root, is_fresh = ahead
        best = best_of(best, before)
    if root is None:
        return _unanswered(problem, time_limit_s, most_work)
    certificate = Certificate(root.prices.target, all_floor_prices(problem, root.prices.floor))
    model, root, rows = compact(model, root)
    upper, n_nodes, is_stopped = -np.inf, 0, False

    def goal() -> float:
        return goal_above(best.value, tolerance)

    roots = [root] if is_fresh is None else with_fresh(model, root, is_fresh[rows], goal())
    for step in explore(model, roots, goal):
        upper, n_nodes = step.bound, step.n_nodes
        best = better(model, kinds, rows, step, best)
        if on_progress is not None:
            on_progress(best.value * model.scale, max(upper, best.value) * model.scale, n_nodes)
        if stop.is_due(step.work):
            is_stopped = upper > goal()
            break
    best = lowest_rows(model, kinds, root, rows, best)
    return _result(
        problem if objective is None else replace(problem, weight=objective),
        model.scale,
        best,
        upper if is_stopped else None,
        tolerance,
        n_nodes,
        certificate,
    )


def meets_floors(problem: SearchProblem, rows: tuple[int, ...]) -> bool:
    """Does a set cover every floor of a problem."""
    return bool(floors_met(model_of(problem), np.array([rows]))[0])


def all_floor_prices(problem: SearchProblem, binding: Floats) -> Floats:
    """Prices of every floor of a problem, 0 for those that ask for nothing."""
    prices = np.zeros(len(problem.floors))
    prices[binding_floors(problem)] = binding
    return prices


def _with_floors(result: SearchResult, n_floors: int) -> SearchResult:
    """Turn the certificate of a search without floors into one of a search in which the floors cost nothing."""
    return replace(result, certificate=replace(result.certificate, floor_price=np.zeros(n_floors)))


def opened(
    model: Model,
    domain: Domain,
    kinds: tuple[Kind, ...],
    best: Best,
    tolerance: float,
    stop: Stop,
    *,
    start: Begun | None = None,
) -> tuple[Best, Node | None]:
    """Bound what is open. Where no quick way finds an allowed set, one is looked for by the limits alone.

    Returns
    -------
    the best set met; the root, None if the limit ran out before it was known whether the floors can be met
    """
    best, root = floor_root(model, domain, kinds, best)
    if best.value == -np.inf and len(model.floor_need):
        best, is_answered = set_on_floors(model, root, kinds, stop)
        if not best.rows:
            return best, replace(root, bound=-np.inf) if is_answered else None
    best, root = open_root(model, root, kinds, best, tolerance, start=start)
    if best.value > -np.inf:
        return best, root
    allowed = some_set(model, domain)
    if allowed is None:
        return best, replace(root, bound=-np.inf)
    value = confirmed(model, model.caps, Placed(tuple(row for _kind, row in allowed), 0.0))
    return opened(model, domain, kinds, Best(value, by_camera(kinds, list(allowed))), tolerance, stop)


def floor_root(model: Model, domain: Domain, kinds: tuple[Kind, ...], best: Best) -> tuple[Best, Node]:
    """Rows with which every floor may be met, each floor bounded on its own."""
    domain = with_rows(domain, [within_caps(model, domain.caps, slot.rows) for slot in domain.slots])
    zero = Prices(np.zeros(model.weight.size, np.float32), np.zeros(len(model.floor_need)))
    root = Node((), domain, zero, np.zeros(0, np.intp), np.inf)
    if domain.is_empty:
        return best, replace(root, bound=-np.inf)
    if not len(model.floor_need):
        return best, root
    reached = reach_from_nothing(model, domain)
    if reached is None:
        return best, replace(root, bound=-np.inf)
    for start in reached.placed:
        moved = exchange(model, reached.domain, replace(start, worth=-np.inf))
        best = _tried(model, domain, kinds, best, moved)
    active = np.unique(np.concatenate([bound.active for bound in reached.bounds]))
    prices = tuple(bound.prices for bound in reached.bounds)
    return best, replace(root, domain=reached.domain, floor_prices=prices, active=active)


def set_on_floors(model: Model, root: Node, kinds: tuple[Kind, ...], stop: Stop) -> tuple[Best, bool]:
    """Look for any set that keeps every limit and floor, whatever it is worth.

    Returns
    -------
    the set, without rows when there is none; whether the search came to its end
    """
    blind, root, rows = compact(replace(model, weight=np.zeros_like(model.weight)), root)
    start = Prices(np.zeros(model.weight.size, np.float32), 1 / np.maximum(model.floor_need, 1e-12))
    root = replace(root, prices=start)
    best = Best(-np.inf, ())
    for step in explore(blind, [root], lambda: goal_above(best.value, 0.0)):
        first = better(blind, kinds, rows, step, best)
        if first.rows:
            domain = full_domain(model, kinds)
            placed = Placed(tuple(first.rows[camera] for kind in kinds for camera in kind.cameras), -np.inf)
            known = Best(value_of(model, first.rows), first.rows)
            return _tried(model, domain, kinds, known, exchange(model, domain, placed)), True
        if stop.is_due(step.work):
            return best, False
    return best, True


def full_domain(model: Model, kinds: tuple[Kind, ...]) -> Domain:
    """All rows open to all cameras."""
    return Domain(tuple(Slot(kind.rows, len(kind.cameras), i) for i, kind in enumerate(kinds)), model.caps)


def open_root(
    model: Model,
    root: Node,
    kinds: tuple[Kind, ...],
    best: Best,
    tolerance: float,
    *,
    start: Begun | None = None,
) -> tuple[Best, Node]:
    """Bound what is open, and find a good set on the way."""
    if root.bound == -np.inf:
        return best, root
    placed, bound = first_bound(model, root.domain, best=best.value, tolerance=tolerance, start=start)
    best = _tried(model, root.domain, kinds, best, placed)
    active = bound.active if bound.active.size else root.active
    sets = open_sets(bound, goal_above(best.value, tolerance), most_sets=CORE_SETS)
    return best, replace(
        root, domain=bound.domain, prices=bound.prices, active=active, bound=bound.value, known=bound, sets=sets
    )


def _tried(model: Model, domain: Domain, kinds: tuple[Kind, ...], best: Best, placed: Placed | None) -> Best:
    value = confirmed(model, model.caps, placed)
    if placed is None or value == -np.inf:
        return best
    kind_of_row = [slot.kind for slot in domain.slots for _ in range(slot.count)]
    return best_of(best, Best(value, by_camera(kinds, list(zip(kind_of_row, placed.rows, strict=True)))))


def compact(model: Model, root: Node) -> tuple[Model, Node, Rows]:
    """Copy the rows still open, when they are less than half; returns which rows of the model they are."""
    n_rows = model.quality.shape[0]
    rows = root.domain.rows
    if 2 * rows.size > n_rows:
        return model, root, np.arange(n_rows)
    return submodel(model, rows), _renumbered(root, rows), rows


def _renumbered(node: Node, rows: Rows) -> Node:
    domain = with_rows(node.domain, [np.searchsorted(rows, slot.rows) for slot in node.domain.slots])
    active = np.searchsorted(rows, np.intersect1d(node.active, rows))
    known, sets = node.known, node.sets
    if known is not None:
        is_kept = np.isin(known.active, rows)
        seen = np.searchsorted(rows, known.active[is_kept])
        known = replace(known, domain=domain, active=seen, frequency=known.frequency[is_kept])
    return replace(
        node, domain=domain, active=active, known=known, sets=None if sets is None else np.searchsorted(rows, sets)
    )


def _unanswered(problem: SearchProblem, time_limit_s: float | None, most_work: float) -> SearchResult:
    """Give the bound without floors, when not even one set was found with them."""
    easy = search_only(replace(problem, floors=()), time_limit_s=time_limit_s, most_work=most_work)
    message = "no allowed set was found in the time given"
    return replace(
        _with_floors(easy, len(problem.floors)),
        status="time limit",
        rows=(),
        value=np.nan,
        gap=np.inf,
        message=message,
    )


def _result(
    problem: SearchProblem,
    scale: float,
    best: Best,
    open_bound: float | None,
    tolerance: float,
    n_nodes: int,
    certificate: Certificate,
) -> SearchResult:
    if not best.rows:
        if open_bound is None:
            message = "no set of rows keeps every limit"
            return SearchResult("infeasible", (), np.nan, np.nan, np.nan, n_nodes, message, certificate)
        message = "no allowed set was found in the time given"
        return SearchResult("time limit", (), np.nan, open_bound * scale, np.inf, n_nodes, message, certificate)
    value = set_value(problem, best.rows)
    upper = max(value, goal_above(best.value, tolerance) * scale, (open_bound or -np.inf) * scale)
    status: Status = "optimal" if open_bound is None else "time limit"
    share = (upper - value) / value if value > 0 else 0.0
    message = (
        f"proven within {100 * tolerance:g}% of the best"
        if open_bound is None
        else f"at most {share:.3%} below the best"
    )
    return SearchResult(status, best.rows, value, upper, upper - value, n_nodes, message, certificate)


def set_value(problem: SearchProblem, rows: tuple[int, ...] | list[int]) -> float:
    """Weighted best quality of a set of rows, summed in float64."""
    return float(problem.quality[list(rows)].max(axis=0).astype(np.float64) @ problem.weight.astype(np.float64))
