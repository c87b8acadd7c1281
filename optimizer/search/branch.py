"""Branch and bound over clusters of like rows, best bound first.

Rows that see nearly the same are many on a dense grid, and taking or leaving one of them moves the bound by nothing.
So a node splits on a cluster: by how many of its cameras take a row of the cluster. Clusters that are taken split
again, until the sets left are few enough to be listed.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Singles
from standmark.optimizer.search.clash import clash, clash_with_all
from standmark.optimizer.search.cluster import SELDOM, cut, sketch_of
from standmark.optimizer.search.descent import Effort, Prices
from standmark.optimizer.search.dual import (
    Bound,
    beyond_overlap,
    minimize_bound,
    open_sets,
    restricted,
    subproblem,
    without_hopeless,
)
from standmark.optimizer.search.floors import floor_model, reach
from standmark.optimizer.search.limits import allowed_sets, caps_after, clear_of_cluster, compatible_rows
from standmark.optimizer.search.model import Model
from standmark.optimizer.search.problem import Rows
from standmark.optimizer.search.slot import Domain, Slot, with_rows
from standmark.optimizer.search.stop import node_work

LEVEL_ROWS = 100  # clusters up to this size raise the level by their least quality
MOST_ROWS = 150  # open rows whose overlaps are looked at
MOST_PARTIAL = 60_000  # partial sets met while sets are listed with what rows share
TORN = 0.02  # how often picks clash, at least, before a node splits on it
STEPS = Effort(n_steps=30, n_rounds=1, n_new=8, length=0.7)
FLOOR_STEPS = replace(STEPS, length=0.3)


@dataclass(frozen=True, eq=False)
class Node:
    """Some cameras fixed, the others with rows still open to them."""

    fixed: tuple[tuple[int, int], ...]  # (kind, row)
    domain: Domain
    prices: Prices
    active: Rows  # rows worth a first look
    bound: float
    known: Bound | None = None  # where its rows have been read already
    floor_prices: tuple[Prices, ...] = ()  # for each floor on its own
    sets: Rows | None = None  # all sets that are still of interest, where they are known already


@dataclass(frozen=True, eq=False)
class Explored:
    """One node done. Sets to try come with it when it was listed in full."""

    bound: float = np.inf  # no set that is still open, this node's included, is worth more
    n_nodes: int = 0
    work: float = 0.0  # of all nodes done, figures: see `stop.py`
    fixed: tuple[tuple[int, int], ...] = ()
    kinds: tuple[int, ...] = ()  # kind of each column of sets
    sets: Rows | None = None  # shape (n_sets, n_free)


def explore(model: Model, roots: Sequence[Node], goal: Callable[[], float]) -> Iterator[Explored]:
    """Work off nodes until none can hold a set worth more than the goal; the goal may rise on the way."""
    sketch = sketch_of(model)
    most_sets = sets_worth_listing(model.quality.shape[1])
    floor_models = tuple(floor_model(model, index) for index in range(len(model.floor_need)))
    heap = [(-root.bound, -order, root) for order, root in enumerate(roots)]
    heapq.heapify(heap)
    n_pushed, n_nodes, work = len(roots), 0, 0.0
    while heap and -heap[0][0] > goal():
        bound, _order, node = heapq.heappop(heap)
        step, children = _work_off(model, floor_models, node, goal=goal(), sketch=sketch, most_sets=most_sets)
        for child in children:
            heapq.heappush(heap, (-child.bound, -n_pushed, child))
            n_pushed += 1
        n_nodes += 1
        work += node_work(node.domain.n_rows, model.quality.shape[1], len(floor_models))
        yield replace(step, bound=-bound, n_nodes=n_nodes, work=work)


def sets_worth_listing(n_targets: int) -> int:
    """Sets that are valued in about the time that one more node takes."""
    return 400 + 3_000_000 // max(n_targets, 1)


def _work_off(
    model: Model, floor_models: tuple[Model, ...], node: Node, *, goal: float, sketch: Singles, most_sets: int
) -> tuple[Explored, list[Node]]:
    settled = node if node.sets is not None else _settle(model, node)
    if settled is None:
        return Explored(), []
    if settled.known is not None and settled.domain is not node.domain:
        fixed = [row for _kind, row in settled.fixed[len(node.fixed) :]]
        settled = replace(settled, known=bound_of_child(model, settled.known, settled.domain, fixed))
    node = settled
    kinds = tuple(slot.kind for slot in node.domain.slots for _ in range(slot.count))
    done = Explored(fixed=node.fixed, kinds=kinds)

    def listed(sets: Rows) -> tuple[Explored, list[Node]]:
        return replace(done, sets=sets[allowed_sets(model, sets, node.domain.caps)]), []

    if len(kinds) <= 1:
        return replace(done, sets=node.domain.slots[0].rows[:, None] if kinds else np.zeros((1, 0), np.intp)), []
    if node.sets is not None:
        return listed(node.sets)
    level = _level(model, node)
    reached = None
    if node.floor_prices:
        needs = tuple(model.floor_need.tolist())
        reached = reach(
            floor_models, needs, node.domain, node.floor_prices, level=level, active=node.active, effort=FLOOR_STEPS,
        )  # fmt: skip
        if reached is None:
            return done, []
        for bound, need in zip(reached.bounds, needs, strict=True):
            sets = open_sets(bound, need * (1 - 1e-9), most_sets=most_sets)
            if sets is not None:
                return listed(sets)
        packed = tuple(_packed(bound.prices) for bound in reached.bounds)
        node = replace(node, domain=reached.domain, floor_prices=packed)
    if node.known is not None:
        known = without_hopeless(model, restricted(node.known, node.domain), goal)
        known, sets = _listed(model, known, goal, most_sets)
        if sets is not None:
            return listed(sets)
        node = replace(node, domain=known.domain, known=known)
    bound = _bounded(model, node, level, goal)
    if bound.value <= goal or bound.domain.is_empty:
        return done, []
    bound, sets = _listed(model, bound, goal, most_sets)
    if sets is not None:
        return listed(sets)
    better = replace(
        node, domain=bound.domain, prices=_packed(bound.prices), known=None, bound=min(node.bound, bound.value)
    )
    if goal < 0 and reached is not None:
        bound = restricted(reached.tightest(model), bound.domain)
        goal = -np.inf
    return done, _split(model, better, bound, goal, sketch)


def _listed(model: Model, bound: Bound, goal: float, most_sets: int) -> tuple[Bound, Rows | None]:
    """All sets of a bound that may exceed the goal, None if they are many; the bound may lose rows on the way."""
    sets = open_sets(bound, goal, most_sets=most_sets)
    if sets is not None or goal < 0 or bound.domain.n_rows > MOST_ROWS or bound.domain.is_empty:
        return bound, sets
    bound, sets = beyond_overlap(model, bound, goal, most_sets=MOST_PARTIAL)
    return bound, sets if sets is not None and len(sets) <= most_sets else None


def _bounded(model: Model, node: Node, level: Singles, goal: float) -> Bound:
    """Bring the bound of a node down, from the one that is known if there is one."""
    start = Prices(np.maximum(node.prices.target.astype(np.float32), level), node.prices.floor)
    return minimize_bound(
        model, node.domain, start, level=level, goal=goal, effort=STEPS, active=node.active, known=node.known
    )


def _packed(prices: Prices) -> Prices:
    return Prices(prices.target.astype(np.float16), prices.floor)


def _settle(model: Model, node: Node) -> Node | None:
    """Fix cameras that have no choice left, and drop rows that cannot stand beside them."""
    while True:
        if node.domain.is_empty:
            return None
        forced = next((slot for slot in node.domain.slots if slot.rows.size == slot.count), None)
        if forced is None:
            return _clear_clusters(model, node)
        for row in forced.rows.tolist():
            caps = caps_after(model, row, node.domain.caps)
            slots = tuple(
                replace(slot, rows=compatible_rows(model, row, caps, slot.rows), count=slot.count - (slot is forced))
                for slot in node.domain.slots
            )
            forced_now = next(new for old, new in zip(node.domain.slots, slots, strict=True) if old is forced)
            node = replace(node, fixed=(*node.fixed, (forced.kind, row)), domain=Domain(slots, caps))
            forced = forced_now
            if min(caps) < 0 or forced.rows.size < forced.count:
                return None
        unfilled = tuple(slot for slot in node.domain.slots if slot.count)
        node = replace(node, domain=replace(node.domain, slots=unfilled))


def _clear_clusters(model: Model, node: Node) -> Node | None:
    if (model.xy_m is None and model.clashes is None) or len(node.domain.slots) < 2:
        return node
    rows = [slot.rows for slot in node.domain.slots]
    for i, taken in enumerate(node.domain.slots):
        for j in range(len(rows)):
            if i != j:
                rows[j] = clear_of_cluster(model, taken.rows, rows[j])
    domain = with_rows(node.domain, rows)
    return None if domain.is_empty else replace(node, domain=domain)


def _level(model: Model, node: Node) -> Singles:
    """Quality that every set of the node reaches at each target."""
    level: Singles = np.zeros(model.quality.shape[1], np.float32)
    if node.fixed:
        level = model.quality[[row for _kind, row in node.fixed]].max(axis=0)
    for slot in node.domain.slots:
        if slot.rows.size <= LEVEL_ROWS and slot.count == 1:
            level = np.maximum(level, model.quality[slot.rows].min(axis=0))
    return level


def _split(model: Model, node: Node, bound: Bound, goal: float, sketch: Singles) -> list[Node]:
    cuts = [
        cut(sketch[slot.rows], _frequency_of(bound, slot), rho, slot.count)
        for slot, rho in zip(bound.domain.slots, bound.rho, strict=True)
    ]
    which = max(range(len(cuts)), key=lambda i: cuts[i][0])
    before = bound.domain.slots
    in_cluster = cuts[which][1]
    side = _side(model, bound) if model.clashes is not None else None
    if side is not None:
        which, in_cluster = side
    active = bound.active[bound.frequency > SELDOM]
    children = []
    for domain in parts_of(before, which, in_cluster, node.domain.caps):
        known = bound_of_child(model, bound, domain)
        if known.value > goal or goal == -np.inf:
            known = without_hopeless(model, known, goal)
            child = replace(node, domain=known.domain, active=active)
            if goal > -np.inf:  # else the bound is that of a floor and says nothing of the value
                child = replace(child, bound=min(node.bound, known.value), known=known)
            children.append(child)
    return children


def parts_of(
    slots: tuple[Slot, ...], which: int, is_inside: Flags, caps: tuple[int, ...], *, least: int = 0
) -> Iterator[Domain]:
    """Domains in which `least` and more cameras of a slot take a row of a cluster; those with too few rows left out."""
    slot = slots[which]
    for n_inside in range(least, slot.count + 1):
        parts = (
            Slot(slot.rows[is_inside], n_inside, slot.kind),
            Slot(slot.rows[~is_inside], slot.count - n_inside, slot.kind),
        )
        if all(part.rows.size >= part.count for part in parts):
            yield Domain((*slots[:which], *(part for part in parts if part.count), *slots[which + 1 :]), caps)


def _side(model: Model, bound: Bound) -> tuple[int, Flags] | None:
    """Slot and rows that clash with many picks: who takes one of them leaves all those picks, who does not leaves them.

    None where the picks that are still open hardly clash among each other.
    """
    assert model.clashes is not None
    is_picked = (bound.frequency > SELDOM) & np.isin(bound.active, bound.domain.rows)
    picked, frequency = bound.active[is_picked], bound.frequency[is_picked]
    clashing = clash(model.clashes, picked[:, None], picked)
    torn = frequency * (clashing @ frequency)
    if torn.sum() < TORN:
        return None
    others = picked[clashing[int(torn.argmax())]]
    sides = [clash_with_all(model.clashes, others, slot.rows) for slot in bound.domain.slots]
    pick = int(picked[int(torn.argmax())])
    which = next(i for i, slot in enumerate(bound.domain.slots) if pick in slot.rows)
    return (which, sides[which]) if 0 < sides[which].sum() < sides[which].size else None


def bound_of_child(model: Model, bound: Bound, domain: Domain, fixed: Sequence[int] = ()) -> Bound:
    """Bound with fewer rows open, or some fixed, at the same prices, from the figures already read."""
    rho_of_row = np.zeros(model.quality.shape[0])
    for slot, values in zip(bound.domain.slots, bound.rho, strict=True):
        rho_of_row[slot.rows] = values
    rho = tuple(rho_of_row[slot.rows] for slot in domain.slots)
    total = subproblem(model, domain, list(rho))
    base = bound.base + float(rho_of_row[list(fixed)].sum()) + len(fixed) * bound.error
    value = base + total + domain.n_cameras * bound.error
    return replace(bound, value=value, domain=domain, rho=rho, base=base)


def _frequency_of(bound: Bound, slot: Slot) -> Floats:
    frequency = np.zeros(slot.rows.size)
    place = np.searchsorted(slot.rows, bound.active)
    known = slot.rows[np.minimum(place, slot.rows.size - 1)] == bound.active
    frequency[place[known]] = bound.frequency[known]
    return frequency
