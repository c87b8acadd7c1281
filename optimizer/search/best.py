"""The best set met so far: trying sets, summing them in float64, settling ties."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.search.branch import Explored, Node
from standmark.optimizer.search.incumbent import value_of
from standmark.optimizer.search.kernel import gains_of_sets, level_worth
from standmark.optimizer.search.limits import allowed_sets, floors_met
from standmark.optimizer.search.model import Kind, Model
from standmark.optimizer.search.problem import Rows

TIE = 1e-12  # values closer than this are equal, the lowest rows win


@dataclass(frozen=True, eq=False)
class Best:
    """The best set met so far."""

    value: float  # in scaled weight; -inf for none
    rows: tuple[int, ...]  # by camera


def better(model: Model, kinds: tuple[Kind, ...], rows: Rows, step: Explored, best: Best) -> Best:
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
            chosen = by_camera(kinds, [(kind, int(rows[row])) for kind, row in kind_and_row])
            best = best_of(best, Best(value_of(model, members), chosen))
    return best


def lowest_rows(model: Model, kinds: tuple[Kind, ...], root: Node, rows: Rows, best: Best) -> Best:
    """Let each camera in turn take the lowest row that keeps the value, so that equal rows settle by number."""
    if not best.rows or not np.isin(best.rows, rows).all():
        return best
    kind_of = {camera: index for index, kind in enumerate(kinds) for camera in kind.cameras}
    for camera in range(len(best.rows)):
        members = np.searchsorted(rows, best.rows)
        others = np.delete(members, camera)
        lower = next(slot.rows for slot in root.domain.slots if slot.kind == kind_of[camera])
        lower = lower[lower < members[camera]]
        sets = np.column_stack([np.tile(others, (lower.size, 1)), lower])
        lower = lower[allowed_sets(model, sets, model.caps)]
        kept = tuple((kind_of[c], int(row)) for c, row in enumerate(members) if c != camera)
        best = better(model, kinds, rows, Explored(fixed=kept, kinds=(kind_of[camera],), sets=lower[:, None]), best)
    return best


def worth_of_sets(model: Model, step: Explored) -> tuple[Floats, Floats]:
    """Least and most that each set of a step may be worth; the most is -inf where a floor cannot be met."""
    sets = np.zeros((0, 0), np.intp) if step.sets is None else step.sets
    fixed = [row for _kind, row in step.fixed]
    level = model.quality[fixed].max(axis=0) if fixed else np.zeros(model.weight.size, np.float32)

    def within(weight: Floats) -> tuple[Floats, Floats]:
        added, error = (
            gains_of_sets(model.quality, level, weight, sets) if sets.shape[1] else (np.zeros(len(sets)), 0.0)
        )
        worth = level_worth(level, weight) + added
        return worth - error, worth + error

    least, most = within(model.weight)
    for weight, need in zip(model.floor_weight, model.floor_need, strict=True):
        most[within(weight)[1] < need - TIE] = -np.inf
    return least, most


def best_of(known: Best, challenger: Best) -> Best:
    """Take the more valuable set; of two that tie, the one with the lower rows."""
    if challenger.value > known.value + TIE:
        return challenger
    return challenger if challenger.value >= known.value - TIE and challenger.rows < known.rows else known


def by_camera(kinds: tuple[Kind, ...], kind_and_row: list[tuple[int, int]]) -> tuple[int, ...]:
    """Rows in the order of the cameras; interchangeable cameras take theirs in ascending order."""
    row_of: dict[int, int] = {}
    for index, kind in enumerate(kinds):
        own = sorted(row for which, row in kind_and_row if which == index)
        row_of.update(zip(kind.cameras, own, strict=True))
    return tuple(row_of[camera] for camera in sorted(row_of))
