"""What people usually get without a plan, to compare with: one camera at halfway, or the best of the usual places."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.cli.words.shares import about
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.choice import period_tasks
from standmark.optimizer.scoring.habit import plain_habits

AS_GOOD = 0.005  # a usual place that gets so little less is as good


@dataclass(frozen=True)
class Usual:
    """A place that people take by habit, and what it gets."""

    name: str
    coverage: float
    refused: str  # why nobody may stand there; "": one may
    words: str  # one sentence that compares


def usual_place(plan: Plan) -> Usual | None:
    """Return the habit to compare with: halfway for one camera, the best set of usual places for several."""
    match = plan.match
    habits = {habit.key: habit for habit in plain_habits(match, period_tasks(match))}
    found = habits.get("best-set") or habits.get("halfway")
    if found is None:
        return None
    one = len(match.cameras) == 1
    from_where = "From halfway" if one else "From the usual places"
    if plan.coverage - found.coverage < AS_GOOD:
        words = f"{from_where} you'd get as much."
    elif about(found.coverage) == about(plan.coverage):
        words = f"{from_where} you'd get {100 * (plan.coverage - found.coverage):.0f} % less."
    else:
        words = f"{from_where} you'd get {about(found.coverage)}."
    if found.refused:
        words = words[:-1] + ", if you were allowed there."
    return Usual(found.name, found.coverage, found.refused, words)
