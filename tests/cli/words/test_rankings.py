"""What is told first is what counts most; what is missed is what is mostly missed."""

from dataclasses import replace

import pytest
from small_match import small_match

from standmark.cli.sheet.content import missed_words
from standmark.cli.words.moments import taken_moments
from standmark.cli.words.strengths import few_faces_at, good_for, weak_at
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
    assert sum(t.weight * t.captured for t in taken) == pytest.approx(found.seen)
    assert sum(t.weight * t.captured * t.faces for t in taken) == pytest.approx(found.seen * found.faces)
    assert found.seen > found.coverage + 0.05


def test_what_one_gets_follows_what_is_seen_whatever_it_is_worth(found):
    def told(**shares):
        duties = tuple(replace(d, **shares) for d in found.periods[0].duties)
        known = replace(found, periods=tuple(replace(p, duties=duties) for p in found.periods))
        return good_for(known, "A"), weak_at(known, "A"), few_faces_at(known, "A")

    assert told(coverage=0.1, seen=0.9, faces=0.9) == ("goals, saves, tackles and headers", "", "")
    good, weak, faces = told(coverage=0.9, seen=0.5, faces=0.3)
    assert good == ""
    assert weak.endswith("(you get half)")
    assert weak.count(",") == 2
    assert faces.startswith("at ")
    assert faces.endswith("(3 in 10)")
    assert faces.count(",") == 2
    assert len(faces) <= 80


def test_missed_is_what_is_captured_less_than_half_of_the_time_worst_first(found):
    (stretch,) = plan_stretches(found)[:1]
    names = {m.key: m.name for m in found.match.sport.moments}
    shares = {"goal": 0.51, "save": 0.49, "duel": 0.2}
    known = replace(stretch, periods=tuple(replace(p, seen_by_moment=shares) for p in stretch.periods))
    assert missed_words(found, known) == [f"{names['duel']} 20 %", f"{names['save']} 49 %"]
