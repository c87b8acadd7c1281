"""The answer of a plan is short in every sport: 15 lines for one camera, at most 12 for each further one."""

import pytest
from worded_plans import worded_plan

from standmark.cli.words.summary import plan_summary
from standmark.cli.words.usual import Usual, usual_habit
from standmark.sports.library import sport_keys

FIRST, FURTHER = 15, 12


@pytest.mark.parametrize("cameras", [1, 2, 3])
@pytest.mark.parametrize("sport", sport_keys())
def test_everything_that_a_plan_may_say_fits_its_lines(sport, cameras):
    plan = worded_plan(sport, cameras)
    place = "the usual places" if cameras > 1 else usual_habit(plan.match)[1]
    usual = Usual(0.3, "kept clear", place, "about three-quarters")
    lines = plan_summary(plan, usual=usual, out="plan").splitlines()
    assert sum(bool(line) for line in lines) <= FIRST + FURTHER * (cameras - 1), "\n".join(lines)
    assert sum(not line for line in lines) == 2
    assert max(map(len, lines)) <= 80
