"""Moments in words: names of their own, the end that is attacked, groups over periods and their order."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from small_match import small_match

from standmark.cli.words.moments import (
    Taken,
    attacked_end,
    both_ends,
    end_words,
    moment_name,
    moment_words,
    taken_moments,
)
from standmark.cli.words.naming import lens_words, percent, why_words
from standmark.optimizer.work.duty import Duty

MATCH = small_match(moments=("goal", "save", "duel"))
GOAL, SAVE, DUEL = (next(m for m in MATCH.sport.moments if m.key == key) for key in ("goal", "save", "duel"))


@pytest.mark.parametrize(
    ("cover", "first", "attack", "end"),
    [
        ("ours", "+x", "first", "+x"),
        ("ours", "-x", "first", "-x"),
        ("ours", "+x", "swapped", "-x"),
        ("ours", "-x", "swapped", "+x"),
        ("ours", "unknown", "first", None),
        ("ours", "+x", "both", None),
        ("ours", "+x", "same", None),
        ("both", "+x", "first", None),
    ],
)
def test_the_end_that_our_side_attacks(cover, first, attack, end):
    period = replace(MATCH.sport.periods[0], attack="".join(attack))  # another object than any that stands in the code
    assert attacked_end(replace(MATCH, cover="".join(cover), first_attack="".join(first)), period) == end


def test_ends_are_called_as_the_ground_calls_them():
    assert [end_words(end, MATCH) for end in ("", "attack", "other", "+x", "-x")] == [
        "", "at the end you attack", "at the end you defend",
        *(f"at the {MATCH.venue.side_names[end]}" for end in ("+x", "-x")),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "picture", "short", "plural", "first"),
    [
        ("Lift, high: wide", "The lift; legs, faces", "Lift", "lift, high: wide", "the lift"),
        ("Throw: long", "Arms: up; and far", "Throw", "throw: long", "arms"),
        ("Ball in midfield", "Feet, then faces", "Ball", "ball in midfield", "feet"),
        ("Scrum and ruck", "B.", "Scrum", "scrum and ruck", "b"),
        ("Cross from the wing", "", "Cross", "cross from the wing", ""),
    ],
)
def test_a_moment_without_words_of_its_own_is_named_after_its_name_and_picture(name, picture, short, plural, first):
    moment = replace(GOAL, key="unheard of", name=name, picture=picture)
    words = moment_words(MATCH.sport, moment)
    assert (moment_name(moment), words.plural) == (short, plural)
    assert first in vars(words).values()
    assert moment_words(MATCH.sport, GOAL) == MATCH.sport.brief.moments["goal"]


def duty(moment, attack, weight, seen, faces, primary):
    return Duty(moment, attack, weight, 0.5, seen, faces, primary, 1.0, None, 0.0, None, None, None, False)


def shown_plan(cover):
    """Two halves, the second twice as long, sides swapped."""
    first, second = (replace(p, minutes=m) for p, m in zip(MATCH.sport.periods, (30.0, 60.0), strict=True))
    duties = (
        (
            duty("goal", "+x", 0.3, 0.9, 0.5, "A"), duty("goal", "-x", 0.3, 0.6, 0.25, "B"),
            duty("save", "+x", 0.2, 0.5, 1.0, "A"), duty("duel", None, 0.2, 0.2, 0.0, "B"),
        ),
        (
            duty("goal", "+x", 0.3, 0.3, 0.5, "B"), duty("goal", "-x", 0.3, 0.0, 0.0, "A"),
            duty("duel", None, 0.4, 0.8, 0.5, "A"),
        ),
    )  # fmt: skip
    periods = tuple(SimpleNamespace(period=p, duties=d) for p, d in zip((first, second), duties, strict=True))
    return SimpleNamespace(match=replace(MATCH, cover=cover), periods=periods)


def rows(taken):
    return [(t.moment.key, t.end, t.weight, t.captured, t.faces, "".join(t.takers)) for t in taken]


BOTH = [
    ("goal", "+x", 0.3, 0.15 / 0.3, 0.5, "AB"),
    ("goal", "-x", 0.3, 0.06 / 0.3, 0.25, "BA"),
    ("duel", "", 1 / 3, 0.68 / 1.0, 0.32 / 0.68, "BA"),
    ("save", "+x", 0.2 / 3, 0.5, 1.0, "A"),
]
OURS = [
    ("goal", "attack", 0.3, 0.09 / 0.3, 0.5, "A"),
    ("goal", "other", 0.3, 0.12 / 0.3, 0.375, "B"),
    ("duel", "", 1 / 3, 0.68, 0.32 / 0.68, "BA"),
    ("save", "attack", 0.2 / 3, 0.5, 1.0, "A"),
]


def flat(found):
    return [pytest.approx(value) if isinstance(value, float) else value for row in found for value in row]


def ranked(found):
    must = {m.key: m.must for m in MATCH.sport.moments}
    return sorted(found, key=lambda row: (-row[2] * (2 if must[row[0]] else 1), row[0], row[1]))


@pytest.mark.parametrize(("cover", "expected"), [("both", BOTH), ("ours", OURS)])
def test_moments_are_gathered_over_the_periods_by_their_length(cover, expected):
    found = rows(taken_moments(shown_plan(cover)))
    assert [value for row in found for value in row] == flat(ranked(expected))


def test_moments_of_one_period_and_of_one_camera():
    plan = shown_plan("both")
    second = plan.periods[1].period.key
    assert [(key, end, w) for key, end, w, *_ in rows(taken_moments(plan, [second], camera="A"))] == [
        ("duel", "", pytest.approx(0.8 / 3)), ("goal", "-x", pytest.approx(0.2)),
    ][:: -1 if GOAL.must else 1]  # fmt: skip
    assert {(t.moment.key, t.end) for t in taken_moments(plan, camera="B")} == {
        ("goal", "+x"), ("goal", "-x"), ("duel", ""),
    }  # fmt: skip
    assert taken_moments(plan, []) == []


def test_what_must_not_be_missed_counts_twice_and_nothing_captured_shows_no_face():
    must, may = (Taken(replace(GOAL, must=must), "", 0.3, 0.0, 0.0, ("A",)) for must in (True, False))
    assert (must.rank, may.rank) == pytest.approx((0.6, 0.3))
    assert both_ends(must, may).faces == 0.0
    nothing = SimpleNamespace(match=MATCH, periods=shown_plan("both").periods[:1])
    nothing.periods[0].duties = (duty("goal", "+x", 0.0, 0.5, 0.5, "A"),)
    assert [t.captured for t in taken_moments(nothing)] == [0.0]


@pytest.mark.parametrize(
    ("lens_mm", "used_mm", "words"),
    [
        ((70.0, 200.0), (90.0, 180.0), "L from 90 to 180 mm"),
        ((70.0, 200.0), (90.0, 90.9), "L at 90 mm"),
        ((70.0, 200.0), (90.0, 91.0), "L from 90 to 91 mm"),
        ((70.0, 200.0), (190.0, 190.0), "L at 190 mm"),
        ((300.0, 300.0), (300.0, 300.0), "L mm prime"),
        ((400.5, 600.5), (400.5, 600.5), "L from 400 to 600 mm"),
    ],
)
def test_a_zoom_says_its_range_and_a_prime_none(lens_mm, used_mm, words):
    lens = SimpleNamespace(name="L", focal_mm=lens_mm)
    assert lens_words(SimpleNamespace(lens=lens, focal_mm=used_mm)) == words


def test_shares_are_whole_per_cent_and_best_for_takes_weight_times_share():
    assert [percent(share) for share in (0.0, 0.004, 0.006, 0.555, 1.0)] == ["0 %", "0 %", "1 %", "56 %", "100 %"]
    plural = {m.key: moment_words(MATCH.sport, m).plural for m in MATCH.sport.moments}
    for seen, two in (
        ({"goal": 0.9, "save": 0.8, "duel": 0.0}, ("goal", "save")),
        ({"goal": 0.0, "save": 0.01, "duel": 0.9}, ("duel", "save")),
    ):
        text = why_words(SimpleNamespace(seen_by_moment=seen), MATCH, limit="Weak.")
        assert text == f"Best for {plural[two[0]]} and {plural[two[1]]}. Weak."
        assert why_words(SimpleNamespace(seen_by_moment=seen), MATCH) == text.removesuffix(" Weak.")
