"""Exact search on plain arrays; knows nothing of matches, cameras or sports."""

from standmark.optimizer.search.problem import Certificate, SearchProblem, SearchResult
from standmark.optimizer.search.solve import search, set_value
from standmark.optimizer.search.verify import Verification, verify

__all__ = ["Certificate", "SearchProblem", "SearchResult", "Verification", "search", "set_value", "verify"]
