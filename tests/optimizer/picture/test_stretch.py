"""Periods are shown as one only where everybody does the same work in them."""

from dataclasses import replace

import pytest
from small_match import small_match

from standmark.optimizer.match.match import FixedSpot
from standmark.optimizer.picture.stretch import WHOLE, alike_periods, plan_stretches
from standmark.optimizer.planning import plan


def at_halfway(**more):
    match = small_match(moments=("goal", "shot"), **more)
    return replace(match, cameras=(replace(match.cameras[0], fixed=FixedSpot(0.0, -38.0, 3.0)),))


def test_both_sides_alike_make_one_stretch():
    found = plan(at_halfway())
    (stretch,) = plan_stretches(found)
    assert stretch.name == WHOLE
    assert stretch.first.coverage == pytest.approx(found.coverage, abs=1e-6)


def test_halves_in_which_ours_attack_other_ends_are_told_apart():
    """From level with halfway both halves cover the same share, but the pan is the other way round."""
    found = plan(at_halfway(cover="ours"))
    first, second = found.periods
    assert first.coverage == pytest.approx(second.coverage, abs=1e-3)
    assert [stretch.name for stretch in plan_stretches(found)] == ["First half", "Second half"]
    low, high = (turned(180.0 - angle) for angle in reversed(first.assignments[0].pan_deg))
    assert second.assignments[0].pan_deg == pytest.approx((low, high), abs=0.5)


def turned(angle):
    return (angle + 180.0) % 360.0 - 180.0


def test_a_period_that_sees_less_is_told_apart():
    found = plan(at_halfway())
    first, second = found.periods
    worse = replace(second, by_moment={**second.by_moment, "goal": second.by_moment["goal"] - 0.02})
    assert len(alike_periods(replace(found, periods=(first, worse)))) == 2
