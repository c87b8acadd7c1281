"""Exact search on plain arrays; knows nothing of matches, cameras or sports."""

from standmark.optimizer.search.clash import Clashes, clash
from standmark.optimizer.search.exact import search_only, set_value
from standmark.optimizer.search.infeasible import (
    clashing_limits,
    is_feasible,
    largest_separation_m,
    largest_share,
    nearest,
)
from standmark.optimizer.search.near import NearBest, near_best, near_blocks
from standmark.optimizer.search.periods import PeriodsResult, search_periods
from standmark.optimizer.search.problem import Certificate, SearchProblem, SearchResult
from standmark.optimizer.search.solve import search
from standmark.optimizer.search.verify import Verification, verify

__all__ = [
    "Certificate",
    "Clashes",
    "NearBest",
    "PeriodsResult",
    "SearchProblem",
    "SearchResult",
    "Verification",
    "clash",
    "clashing_limits",
    "is_feasible",
    "largest_separation_m",
    "largest_share",
    "near_best",
    "near_blocks",
    "nearest",
    "search",
    "search_only",
    "search_periods",
    "set_value",
    "verify",
]
