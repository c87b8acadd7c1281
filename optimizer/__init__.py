"""From a match to a proven plan: targets, candidates, quality, search, and the advice around it.

The front door for Python: `read_match` or `default_match`, then `plan`, `score` and `compare`; `Planner` plans again
and again as a match changes. A name is imported when it is first asked for.
"""

from typing import TYPE_CHECKING

from standmark.geometry.lazy_names import lazy_names

if TYPE_CHECKING:
    from standmark.optimizer.comparison import compare
    from standmark.optimizer.match.read_match import default_match, read_match
    from standmark.optimizer.planning import Planner, Stopped, plan
    from standmark.optimizer.scoring.given import score

__all__ = ["Planner", "Stopped", "compare", "default_match", "plan", "read_match", "score"]

HOMES = {
    "Planner": "planning",
    "Stopped": "planning",
    "compare": "comparison",
    "default_match": "match.read_match",
    "plan": "planning",
    "read_match": "match.read_match",
    "score": "scoring.given",
}

__getattr__, __dir__ = lazy_names(__name__, HOMES)
