"""From a match to a plan, once (`plan_match.py`, to read first) or again and again as the match changes (`planner.py`).

A name is imported when it is first asked for.
"""

from typing import TYPE_CHECKING

from standmark.geometry.lazy_names import lazy_names

if TYPE_CHECKING:
    from standmark.optimizer.choice.memory import Stopped
    from standmark.optimizer.planning.plan_match import (
        GivenUp,
        Plan,
        plan,
        total_coverage,
        total_faces,
        total_seen,
    )
    from standmark.optimizer.planning.planner import Planner
    from standmark.optimizer.planning.worth import Worth

__all__ = [
    "GivenUp",
    "Plan",
    "Planner",
    "Stopped",
    "Worth",
    "plan",
    "total_coverage",
    "total_faces",
    "total_seen",
]

HOMES = {
    "GivenUp": "plan_match",
    "Plan": "plan_match",
    "Planner": "planner",
    "Stopped": "planner",
    "Worth": "worth",
    "plan": "plan_match",
    "total_coverage": "plan_match",
    "total_faces": "plan_match",
    "total_seen": "plan_match",
}

__getattr__, __dir__ = lazy_names(__name__, HOMES)
