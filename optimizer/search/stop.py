"""When a search ends before its proof does: by the clock, or by the work that it has done.

Work is counted in figures and hangs on the problem alone: the same problem ends at the same node on every machine,
however busy. It is what nodes would read if each read its open rows once, and for each node a constant more.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

NODE_FIGURES = 3_000_000  # figures that are read in the time that a node takes whatever its size, 7 ms


@dataclass(frozen=True)
class Stop:
    """The most that one tree of nodes may take."""

    deadline: float = np.inf  # of `time.monotonic`
    most_work: float = np.inf  # figures

    def is_due(self, work: float) -> bool:
        """Is it time to end, after so much work."""
        return work >= self.most_work or time.monotonic() > self.deadline


def stop_after(time_limit_s: float | None, most_work: float = np.inf) -> Stop:
    """Stop so many seconds from now, None for no limit, or after so much work."""
    return Stop(np.inf if time_limit_s is None else time.monotonic() + time_limit_s, most_work)


def node_work(n_rows: int, n_targets: int, n_floors: int) -> float:
    """Work of one node; every floor is bounded like a value of its own [figures]."""
    return float(NODE_FIGURES + n_rows * n_targets * (1 + n_floors))
