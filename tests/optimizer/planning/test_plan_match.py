"""The plan as a whole: its proof, its time limit, and what it says while it works."""

import time
from dataclasses import replace

import pytest
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.optimizer.planning import plan

EVERYWHERE = (SIDE, FAR_SIDE, EAST, WEST)


def test_a_plan_without_limits_is_proven():
    found = plan(small_match(cameras=2, rules={"second_angle_give": 0.0}))
    assert found.proven
    assert found.upper_bound == pytest.approx(found.coverage, abs=2e-6)


def test_stopped_by_time_the_gap_that_is_told_holds():
    match = small_match(cameras=3, areas=EVERYWHERE, rules={"second_angle_give": 0.0})
    stopped, done = plan(match, time_limit_s=1e-3), plan(match)
    assert done.proven
    assert stopped.coverage <= done.coverage + 1e-6
    assert "finer spots near them untried" in stopped.caveat
    assert stopped.message.endswith(stopped.caveat)
    assert ("proven within" in stopped.message) == stopped.proven
    if not stopped.proven:
        assert "below the best of the places tried" in stopped.message
    assert not done.caveat
    assert stopped.upper_bound >= stopped.coverage
    # the bound is on the places it had tried; finer spots round them are worth little more
    assert done.coverage <= stopped.upper_bound + 0.01


def clocked(monkeypatch, match, limit_s, step_s=0.01):
    """A plan with advice by a clock that goes on a step whenever it is read, and what it read at the end."""
    now = iter(range(10**9))
    read = [0.0]

    def monotonic():
        read[0] = step_s * next(now)
        return read[0]

    with monkeypatch.context() as patch:
        patch.setattr(time, "monotonic", monotonic)
        return plan(match, advice="quick", time_limit_s=limit_s), read[0]


def test_one_limit_holds_for_roles_climbs_angles_moves_and_advice(monkeypatch):
    match = small_match(cameras=2, areas=EVERYWHERE, deliverable="highlights")
    match = replace(match, cameras=(replace(match.cameras[0], role="wide"), match.cameras[1]))
    found, ended_s = clocked(monkeypatch, match, 1.0)
    assert 1.0 < ended_s < 2.0
    assert found.upper_bound >= found.coverage > 0
    assert found.caveat.endswith("advice left out: the time limit ran out")
    assert found.message.endswith(found.caveat)
    assert {"doubt", "bag", "lost"} <= set(found.advice.left_out)
    assert found.advice.doubt is None
    assert found.advice.lost == ()
    assert len(found.advice.handovers) == len(found.periods)


def test_with_time_enough_advice_is_that_without_a_limit(monkeypatch):
    match = small_match(areas=(SIDE, EAST))
    found, whole = clocked(monkeypatch, match, 1e6)[0].advice, plan(match, advice="quick").advice
    assert not found.left_out
    for name in ("refusals", "kind_refusals", "ask", "intervals", "one_side_loss", "height", "doubt", "bag"):
        assert getattr(found, name) == getattr(whole, name), name


def test_progress_is_told_in_short_lines():
    lines = []
    plan(small_match(cameras=2), advice="quick", progress=lines.append)
    assert any(line.startswith("searching First half: covers") for line in lines)
    assert lines[-1] == "working out fallbacks and tolerances"
    assert max(map(len, lines)) < 100


def test_plan_is_a_value_that_cannot_be_changed():
    found = plan(small_match())
    with pytest.raises(AttributeError):
        found.coverage = 1.0
