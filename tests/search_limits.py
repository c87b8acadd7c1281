"""The limits that a search problem sets, each with its mildest form, for the analysis of those that clash."""

from dataclasses import replace

import numpy as np

from standmark.optimizer.search import largest_share, with_share
from standmark.optimizer.search.infeasible import Limit, separation_limit


def limits_of(problem):
    """Floors ("floor 0", ...), "clashes", "caps", "separation", in this order."""
    limits = [floor_limit(index) for index, (_targets, share) in enumerate(problem.floors) if share > 0]
    if problem.clashes is not None:
        limits.append(all_or_none("clashes", lambda p: replace(p, clashes=None)))
    if problem.group is not None and problem.group_cap is not None:
        limits.append(all_or_none("caps", lambda p: replace(p, group_cap=None)))
    if problem.xy_m is not None and problem.separation_m > 0 and len(problem.rows_by_camera) > 1:
        limits.append(separation_limit("separation", step_m=0.01))
    return tuple(limits)


def all_or_none(name, without):
    return Limit(name, without, lambda problem, _budget: (f"without {name}", without(problem)))


def floor_limit(index):
    def mildest(problem, budget):
        share = largest_share(problem, index, budget)
        if share is None:
            return None
        asked = float(np.floor(share * 1e4) / 1e4)
        return f"floor {index}: share {asked:g}", with_share(problem, index, asked)

    return Limit(f"floor {index}", lambda problem: with_share(problem, index, 0.0), mildest)
