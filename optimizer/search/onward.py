"""Searches that go on from an earlier one of nearly the same rows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from standmark.geometry.arrays import Flags
from standmark.optimizer.search.best import Best
from standmark.optimizer.search.branch import Node, bound_of_child, parts_of
from standmark.optimizer.search.descent import Prices
from standmark.optimizer.search.dual import read_all, without_hopeless
from standmark.optimizer.search.incumbent import Placed, value_of
from standmark.optimizer.search.limits import within_caps
from standmark.optimizer.search.model import Kind, Model, binding_floors
from standmark.optimizer.search.problem import SearchProblem, Start
from standmark.optimizer.search.root import Begun, goal_above
from standmark.optimizer.search.slot import Domain, with_rows


def begun(problem: SearchProblem, model: Model, kinds: tuple[Kind, ...], start: Start) -> Begun:
    """Where to go on from, in the order of the slots and with the prices of the floors that bind."""
    prices = start.certificate.floor_price[binding_floors(problem)] if problem.floors else np.zeros(0)
    rows = tuple(start.rows[camera] for kind in kinds for camera in kind.cameras)
    return Begun(Placed(rows, value_of(model, rows)), Prices(start.certificate.target_price, prices))


def root_ahead(
    model: Model, domain: Domain, start: Start, known: Begun, tolerance: float
) -> tuple[Best, Node, Flags] | None:
    """Where a search begins in which only sets with a fresh row may be better than the start.

    Returns
    -------
    the start, the root, which rows are fresh; None where others may be better too
    """
    goal = goal_above(known.placed.worth, tolerance)
    if start.is_fresh is None or start.upper_bound > goal * model.scale:
        return None
    domain = with_rows(domain, [within_caps(model, domain.caps, slot.rows) for slot in domain.slots])
    bound = without_hopeless(model, read_all(model, domain, known.prices), goal)
    root = Node((), bound.domain, known.prices, np.zeros(0, np.intp), bound.value, known=bound)
    return Best(known.placed.worth, start.rows), root, start.is_fresh


def with_fresh(model: Model, root: Node, is_fresh: Flags, goal: float) -> list[Node]:
    """Divide the sets of a root that hold a fresh row and may exceed a goal among nodes.

    Parameters
    ----------
    root : its bound is known
    is_fresh : shape (n_rows,)
    """
    assert root.known is not None
    nodes, slots = [], root.domain.slots
    for which, slot in enumerate(slots):
        for domain in parts_of(slots, which, is_fresh[slot.rows], root.domain.caps, least=1):
            known = without_hopeless(model, bound_of_child(model, root.known, domain), goal)
            if known.value > goal and not known.domain.is_empty:
                nodes.append(replace(root, domain=known.domain, bound=known.value, known=known))
        old = replace(slot, rows=slot.rows[~is_fresh[slot.rows]])
        slots = (*slots[:which], old, *slots[which + 1 :])
    return nodes
