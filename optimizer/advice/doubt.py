"""How much hangs on our guesses: the chosen places under many draws of what is guessed.

Guessed are how often things happen, what they are worth, how dense people stand, and how much a film wishes for faces.
A draw multiplies or divides each of the first three by 1.5, moment by moment, and takes any wish. In every draw the
choice is held against all that differ from it by the place and lens of one camera; for a single camera that is every
place. The value is linear in weights and wish, so a draw costs a product of small matrices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.optimizer.advice.grid_people import GridPeople, stage_people
from standmark.optimizer.choice.rules import rows_beside
from standmark.optimizer.choice.stage import Stage, other_rows, twin_of
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.people import LEAST_WORTH
from standmark.sports.timeline import length_shares

N_DRAWS = 200
OFF_BY = 1.5  # our guesses of rates, importance and crowds may be off by this factor either way (our own estimate)
AS_GOOD = 0.01  # of coverage: a choice within a point of the draw's best is as good
MOST_VALUES = 12_000_000  # rows x targets that one camera of a stage is held against; beyond, its best rows only
ROWS_AT_ONCE = 64  # what they need stays in a core's own cache
SEED = 1


@dataclass(frozen=True)
class Doubt:
    """How the choice fares when the guesses are drawn again."""

    n_draws: int
    as_good: float  # share of draws in which it is within a point of the draw's best
    worst_regret: float  # coverage that it lacks at most


@dataclass(frozen=True, eq=False)
class Draws:
    """What is drawn, for each kind of moment."""

    weight: Floats  # shape (n_moments, n_draws), factors of the weight
    is_dense: Floats  # shape (n_moments, n_draws), 1 where people stand denser than thought, 0 thinner
    wish: Floats  # shape (n_draws,), for faces


def doubt(match: Match, stages: Sequence[Stage], people: Sequence[GridPeople]) -> Doubt:
    """Hold the chosen places of all stages against draws of what is guessed.

    Parameters
    ----------
    people : for each picture of the grid
    """
    drawn = _draws(len(match.sport.moments))
    regret: list[Floats] = []
    for i, stage in enumerate(stages):
        twin = twin_of(stage, stages[:i])
        regret.append(_regret(_pictures(match, stage, people), stage, drawn) if twin is None else regret[twin])
    total = length_shares(s.task for s in stages) @ np.array(regret)
    return Doubt(N_DRAWS, float(np.mean(total <= AS_GOOD)), float(total.max()))


def _draws(n_moments: int) -> Draws:
    rng = np.random.default_rng(SEED)
    shape = (n_moments, N_DRAWS)
    rate, importance = (OFF_BY ** rng.choice([-1.0, 1.0], shape) for _ in range(2))
    return Draws(rate * importance, rng.choice([0.0, 1.0], shape), rng.uniform(0.0, 1.0, N_DRAWS))


@dataclass(frozen=True, eq=False)
class _Pictures:
    """What every position shows of the targets of a stage but for size and light; shape (n_positions, n_targets)."""

    runs: list[tuple[int, int]]  # of targets of a kind, as `_runs` gives them
    lost: Singles  # share of the value that a full wish for faces takes off
    off_wish: Singles  # weight over the share that the present wish leaves
    denser: Singles  # factor of the share in sight where people stand denser than thought
    thinner: Singles


def _pictures(match: Match, stage: Stage, people: Sequence[GridPeople]) -> _Pictures:
    own = stage_people(stage, people)
    lost = own.matter.astype(np.float32) * (1.0 - own.faces)
    weight = stage.problem.weight.astype(np.float32)
    return _Pictures(
        _runs(np.concatenate([t.moment for t in stage.task.targets])),
        lost,
        weight / np.maximum(1.0 - np.float32(match.deliverable.faces) * lost, LEAST_WORTH),
        own.clear ** np.float32(OFF_BY - 1.0),
        own.clear ** np.float32(1.0 / OFF_BY - 1.0),
    )


def _regret(pictures: _Pictures, stage: Stage, drawn: Draws) -> Floats:
    """Coverage that the choice of a stage lacks to the best of every draw, shape (n_draws,)."""
    weight = _by_moment(stage.problem.weight[None], pictures.runs, len(drawn.weight))[0] @ drawn.weight
    chosen = _values(stage, pictures, drawn, 0, np.array(stage.chosen[:1]))[0]
    best = chosen
    for camera in range(len(stage.chosen)):
        values = _values(stage, pictures, drawn, camera, _rows_to_try(stage, camera))
        best = np.maximum(best, values.max(axis=0, initial=0.0))
    return np.asarray((best - chosen) / weight)


def _rows_to_try(stage: Stage, camera: int) -> Indices:
    """Rows that a camera may take beside the others and that keep every least coverage; the best where too many."""
    problem, others = stage.problem, other_rows(stage, camera)
    rows = rows_beside(problem, camera, others)
    level = problem.quality[others].max(axis=0, initial=0.0)
    for columns, share in problem.floors:
        best = np.maximum(problem.quality[np.ix_(rows, columns)], level[columns])
        rows = rows[best @ problem.weight[columns] >= share * problem.weight[columns].sum() - 1e-9]
    most = MOST_VALUES // problem.quality.shape[1]
    if len(rows) > most:
        worth = np.maximum(problem.quality[rows], level) @ problem.weight.astype(np.float32)
        rows = rows[np.sort(np.argpartition(worth, len(rows) - most)[len(rows) - most :])]
    return rows


def _values(stage: Stage, pictures: _Pictures, drawn: Draws, camera: int, rows: Indices) -> Floats:
    """Value in every draw of the choice with one camera on each of some rows, shape (n_rows, n_draws).

    Each moment stays with the camera that gets it best as things are thought to be.
    """
    others, quality, n = other_rows(stage, camera), stage.problem.quality, stage.grid.rows.n_positions
    level = quality[others].max(axis=0, initial=0.0)
    columns = np.arange(quality.shape[1])
    keeper = np.array(others)[quality[others].argmax(axis=0)] if others else None  # who has each target if not this one
    kept = None if keeper is None else _worths(pictures, quality[keeper, columns], (keeper % n, columns))
    is_so = drawn.is_dense, 1.0 - drawn.is_dense
    values = np.empty((len(rows), drawn.weight.shape[1]))
    for begin in range(0, len(rows), ROWS_AT_ONCE):
        some = rows[begin : begin + ROWS_AT_ONCE]
        own = _worths(pictures, quality[some], some % n)
        if kept is not None:
            is_theirs = quality[some] <= level
            for mine, theirs in zip(own, kept, strict=True):
                np.copyto(mine, theirs, where=is_theirs)
        total = np.zeros((len(some), values.shape[1]))
        for i, (captured, faceless) in enumerate((own[:2], own[2:])):
            part = drawn.weight * is_so[i]
            total += _by_moment(captured, pictures.runs, len(part)) @ part
            total -= _by_moment(faceless, pictures.runs, len(part)) @ (part * drawn.wish)
        values[begin : begin + len(some)] = total
    return values


def _worths(
    pictures: _Pictures, quality: Singles, at: Indices | tuple[Indices, Indices]
) -> tuple[Singles, Singles, Singles, Singles]:
    """What each target is worth without a wish for faces, and what a full wish takes off, in dense and thin crowds.

    Parameters
    ----------
    quality : shape (n_targets,) or (n, n_targets)
    at : what it is of, as an index into the pictures
    """
    seen, lost = quality * pictures.off_wish[at], pictures.lost[at]
    dense, thin = pictures.denser[at] * seen, pictures.thinner[at] * seen
    return dense, dense * lost, thin, thin * lost


def _by_moment(values: Singles | Floats, runs: Sequence[tuple[int, int]], n_moments: int) -> Floats:
    """Sum over the targets of each kind of moment, shape (n_rows, n_moments).

    Parameters
    ----------
    runs : for each run of targets of a kind, its first target and the kind
    """
    sums = np.add.reduceat(values, [start for start, _ in runs], axis=1).astype(np.float64)
    summed = np.zeros((len(values), n_moments))
    for index, (_, kind) in enumerate(runs):
        summed[:, kind] += sums[:, index]
    return summed


def _runs(moment: Indices) -> list[tuple[int, int]]:
    """First target and kind of each run of targets of a kind, which lie side by side; moments are counted from 0."""
    starts = np.flatnonzero(np.diff(moment, prepend=-1))
    return [(int(start), int(moment[start])) for start in starts]
