"""The proven best set of rows, one for each camera: the function to read first."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from standmark.optimizer.search.exact import search_only
from standmark.optimizer.search.problem import SearchProblem, SearchResult, Start


def search(
    problem: SearchProblem,
    *,
    time_limit_s: float | None = None,
    tolerance: float = 1e-6,
    on_progress: Callable[[float, float, int], None] | None = None,
    start: Start | None = None,
    most_work: float = np.inf,
) -> SearchResult:
    """Choose the best row for each camera and prove it.

    Parameters
    ----------
    problem : rows, weights and limits
    time_limit_s : stop after about this long with the best set so far and an honest bound; the first bound, which
        reads every row, is always finished
    tolerance : share of its value by which the answer may fall short of the best
    on_progress : called with (value, upper bound, nodes done) after each node
    start : to go on from
    most_work : stop after so much work, which every machine counts alike [figures, see `stop.py`]

    Returns
    -------
    value and upper bound hold to float64 rounding, whatever was read in float32 on the way; why a problem is
    infeasible, `clashing_limits` says

    Raises
    ------
    ValueError
        where the problem is not as `SearchProblem` states
    """
    return search_only(
        problem, time_limit_s=time_limit_s, tolerance=tolerance, on_progress=on_progress, start=start,
        most_work=most_work,
    )  # fmt: skip
