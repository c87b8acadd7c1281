"""Exact search on plain arrays; knows nothing of matches, cameras or sports."""

from standmark.optimizer.search.problem import SearchProblem, SearchResult
from standmark.optimizer.search.solve import search, set_value

__all__ = ["SearchProblem", "SearchResult", "search", "set_value"]
