"""What people usually get without a plan, to compare with: from the sport's usual place, or the best of several."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.cli.words.shares import LITTLE, about
from standmark.cli.words.where.place import is_rectangle
from standmark.cli.words.where.way import halfway_of
from standmark.geometry.kept import kept
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.choice import period_tasks
from standmark.optimizer.scoring.habit import BEST_SET, plain_habit

SAME = "about the same"
AS_GOOD = 0.005  # a usual place that gets so little less is as good


@dataclass(frozen=True)
class Usual:
    """A place that people take by habit, and what it gets."""

    seen: float  # share of the match that is captured usably there
    refused: str  # why nobody may stand there; "": one may
    place: str  # "halfway", "behind home plate"
    got: str  # beside the plan: "about half", "a little less", "about the same"

    @property
    def words(self) -> str:
        """The comparison as a sentence: "From halfway you'd get about half."."""
        return f"From {self.place} you'd get {self.got}{', if you were allowed there' if self.refused else ''}."

    @property
    def short(self) -> str:
        """The comparison as the end of a sentence that began with "about": "from halfway, half"."""
        got = self.got if self.got == SAME else self.got.removeprefix("about ")
        return f"from {self.place}{', if allowed' if self.refused else ''}, {got}"


@kept(4)
def usual_place(plan: Plan) -> Usual | None:
    """Return the habit to compare with: the usual place for one camera, the best set of such places for several."""
    match = plan.match
    key, place = (BEST_SET, "the usual places") if len(match.cameras) > 1 else usual_habit(match)
    spot = plain_habit(match, period_tasks(match), key)
    if spot is None:
        return None
    mine, theirs = plan.seen, spot.seen
    if mine - theirs < AS_GOOD:
        got = SAME
    elif about(theirs) == about(mine):
        got = f"{'a little' if mine - theirs < LITTLE else 'a bit'} less"
    else:
        got = about(theirs)
    return Usual(theirs, spot.refused, place, got)


def usual_habit(match: Match) -> tuple[str, str]:
    """Return the key of the habit of those who film a sport with one camera, and what its place is called."""
    area = match.sport.area
    if area.has_home_corner:
        return "behind-target", f"behind {area.target_name}"
    if match.sport.key == "cricket":
        return "behind-target", "behind the bowler"
    if not is_rectangle(area):
        return "halfway", "the wing"
    middle = halfway_of(area)
    return "halfway", middle if middle == "halfway" else f"beside {middle}"
