"""What no plan over all stages is worth more than, when every move costs what its own walk costs.

From the certificates of the stages a set is worth at most a base plus what each of its rows adds above the prices. So
a plan is worth at most the bases plus, for each camera, its dearest way through the stages: rows that add most, less
the price of every walk between their places. Ways are first looked for at the least price; only where that leaves more
than the plan at hand are true walks worked out, between the places that are still in question.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.geometry.walk import way_lengths_m
from standmark.optimizer.choice.stage import Stage
from standmark.optimizer.match.match import Match
from standmark.optimizer.search.verify import certified_worth
from standmark.optimizer.work.walk import match_terrain

MOST_PLACES = 300  # between which true walks are worked out

# price(lengths of walks [m]) -> coverage
Price = Callable[[Floats], Floats]


def bound_at_true_prices(
    match: Match, stages: Sequence[Stage], share: Floats, *, least: float, price: Price, at_hand: float
) -> float:
    """Bound what plans are worth, over all patterns of stays and moves.

    Parameters
    ----------
    share : shape (n_stages,), of the match
    least : price of the cheapest move
    price : of moves by the length of their walks
    at_hand : worth of the plan at hand
    """
    told = [certified_worth(s.problem, s.result.certificate) for s in stages]
    base = sum(part * level for part, (level, _) in zip(share, told, strict=True))
    cameras = []
    for camera in range(len(match.cameras)):
        worth = [
            part * _of_places(stage, rho, camera) for stage, part, (_, rho) in zip(stages, share, told, strict=True)
        ]
        cameras.append((worth, _through(worth, least)))
    tops = [float(through[0].max()) for _, through in cameras]
    total = base + sum(tops)
    bound = base
    for (worth, through), top in zip(cameras, tops, strict=True):
        kept = [np.flatnonzero(total - top + line > at_hand) for line in through]
        bound += top if total <= at_hand else _true_top(match, stages[0], worth, kept, price, top)
    return float(bound)


def _of_places(stage: Stage, rho: Floats, camera: int) -> Floats:
    """What the best row of one camera at each place adds above the prices; -inf where it may not stand."""
    own = stage.problem.rows_by_camera[camera]
    worth = np.full(len(rho), -np.inf)
    worth[own] = rho[own]
    best: Floats = worth.reshape(-1, stage.grid.rows.n_positions).max(axis=0)
    return best


def _through(worth: Sequence[Floats], least: float) -> list[Floats]:
    """Worth of the dearest way through each place in each stage, every move at the least price."""
    ahead, back = [worth[0]], [worth[-1]]
    for line in worth[1:]:
        ahead.append(line + np.maximum(ahead[-1], ahead[-1].max() - least))
    for line in reversed(worth[:-1]):
        back.insert(0, line + np.maximum(back[0], back[0].max() - least))
    return [
        np.where(np.isfinite(line), a + b - np.where(np.isfinite(line), line, 0.0), -np.inf)
        for a, b, line in zip(ahead, back, worth, strict=True)
    ]


def _true_top(
    match: Match, stage: Stage, worth: Sequence[Floats], kept: Sequence[Indices], price: Price, top: float
) -> float:
    """Worth of the dearest way among the places kept, at the price of its walks; `top` where they are too many."""
    places = np.unique(np.concatenate(kept))
    if len(places) > MOST_PLACES or not all(len(own) for own in kept):
        return top
    xy_m = stage.grid.candidates.xyz_m[places, :2]
    straight_m = np.hypot(*(xy_m[:, None] - xy_m).transpose(2, 0, 1))
    length_m = way_lengths_m(match_terrain(match), xy_m)
    cost = price(np.where(np.isfinite(length_m), length_m, straight_m))
    np.fill_diagonal(cost, 0.0)
    at = [np.searchsorted(places, own) for own in kept]
    best = worth[0][kept[0]]
    for (here, there), own, line in zip(pairwise(at), kept[1:], worth[1:], strict=True):
        best = line[own] + (best[:, None] - cost[np.ix_(here, there)]).max(axis=0)
    return min(top, float(best.max()))
