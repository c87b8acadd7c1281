"""What is told first is what counts most; what is missed is what is mostly missed."""

from dataclasses import replace

import pytest
from small_match import small_match

from standmark.cli.sheet.content import missed_words
from standmark.cli.words.moments import taken_moments
from standmark.optimizer.picture.stretch import plan_stretches
from standmark.optimizer.planning import plan


@pytest.fixture(scope="module")
def found():
    return plan(small_match(moments=("goal", "save", "duel", "team-talk")))


def test_moments_are_told_by_their_weight_twice_for_what_must_not_be_missed(found):
    taken = taken_moments(found)
    ranks = [t.weight * (2 if t.moment.must else 1) for t in taken]
    assert ranks == sorted(ranks, reverse=True)
    assert len(set(ranks)) > 2
    assert sum(t.weight for t in taken) == pytest.approx(1)
    assert sum(t.weight * t.captured for t in taken) == pytest.approx(found.coverage)


def test_missed_is_what_is_captured_less_than_half_of_the_time_worst_first(found):
    (stretch,) = plan_stretches(found)[:1]
    names = {m.key: f"{m.name}{' (must)' if m.must else ''}" for m in found.match.sport.moments}
    shares = {"goal": 0.51, "save": 0.49, "duel": 0.2}
    known = replace(stretch, periods=tuple(replace(p, by_moment=shares) for p in stretch.periods))
    assert missed_words(found, known) == [f"{names['duel']} 20 %", f"{names['save']} 49 %"]
