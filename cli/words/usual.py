"""What people usually get without a plan, to compare with: one camera at halfway, or the best of the usual places."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.cli.words.shares import LITTLE, about
from standmark.geometry.kept import kept
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.choice import period_tasks
from standmark.optimizer.scoring.habit import plain_habits

AS_GOOD = 0.005  # a usual place that gets so little less is as good


@dataclass(frozen=True)
class Usual:
    """A place that people take by habit, and what it gets."""

    name: str
    seen: float  # share of the match that is captured usably there
    refused: str  # why nobody may stand there; "": one may
    words: str  # one sentence that compares


@kept(4)
def usual_place(plan: Plan) -> Usual | None:
    """Return the habit to compare with: halfway for one camera, the best set of usual places for several."""
    match = plan.match
    tasks = period_tasks(match)
    habits = {habit.key: habit for habit in plain_habits(match, tasks)}
    spot = habits.get("best-set") or habits.get("halfway")
    if spot is None:
        return None
    one = len(match.cameras) == 1
    mine = plan.seen
    theirs = spot.seen
    from_where = "From halfway" if one else "From the usual places"
    if mine - theirs < AS_GOOD:
        words = f"{from_where} you'd get as much."
    elif about(theirs) == about(mine):
        words = f"{from_where} you'd get {'a little' if mine - theirs < LITTLE else 'a bit'} less."
    else:
        words = f"{from_where} you'd get {about(theirs)}."
    if spot.refused:
        words = words[:-1] + ", if you were allowed there."
    return Usual(spot.name, theirs, spot.refused, words)
