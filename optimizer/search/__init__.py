"""Exact search on plain arrays; knows nothing of matches, cameras or sports."""

from standmark.optimizer.search.clash import Clashes, clash, clashes_of
from standmark.optimizer.search.exact import search_only, set_value
from standmark.optimizer.search.infeasible import (
    Budget,
    Limit,
    clashing_limits,
    is_feasible,
    largest_separation_m,
    largest_share,
    may_be_kept,
    nearest,
    relaxed,
    separation_limit,
    with_share,
)
from standmark.optimizer.search.near import BestPair, Near, best_pair, near_problem
from standmark.optimizer.search.periods import PeriodsResult, search_periods
from standmark.optimizer.search.problem import Certificate, SearchProblem, SearchResult, Start
from standmark.optimizer.search.sides import opposed
from standmark.optimizer.search.solve import search
from standmark.optimizer.search.verify import Verification, verify

__all__ = [
    "BestPair",
    "Budget",
    "Certificate",
    "Clashes",
    "Limit",
    "Near",
    "PeriodsResult",
    "SearchProblem",
    "SearchResult",
    "Start",
    "Verification",
    "best_pair",
    "clash",
    "clashes_of",
    "clashing_limits",
    "is_feasible",
    "largest_separation_m",
    "largest_share",
    "may_be_kept",
    "near_problem",
    "nearest",
    "opposed",
    "relaxed",
    "search",
    "search_only",
    "search_periods",
    "separation_limit",
    "set_value",
    "verify",
    "with_share",
]
