"""Who has which part of the ground, by lines that people can find, and what straight lines cost."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from standmark.cli.words.handover import part_words, straight_cost_words
from standmark.optimizer.advice.straight_handover import StraightHandover
from standmark.optimizer.match.read_match import default_match

MATCH = default_match("football", cameras=3)


@pytest.mark.parametrize(
    ("axis", "cuts_m", "cameras", "told"),
    [
        ("x", (0.0,), "AB", "A has the right end up to halfway, B the rest"),
        ("x", (-6.0,), "AB", "A has the right end up to 6 m short of halfway, B the rest"),
        ("x", (6.0,), "AB", "B has the left end up to 6 m short of halfway, A the rest"),
        ("x", (6.0, 20.0), "CAB",
         "C has the right end up to 6 m past halfway, B the left end up to 16 m past the edge of the penalty "
         "area, A what is between"),
        ("x", (-40.0, -8.0, 6.0), "BCDA",
         "B has the right end up to 4 m short of the edge of the penalty area, C from there up to 8 m short of "
         "halfway, A the left end up to 6 m short of halfway, D what is between"),
        ("y", (0.0,), "BA", "B has the far side up to the middle of the ground, A the rest"),
        (
            "x", (-6.0, 10.0), "CAB",
            "C has the right end up to 6 m short of halfway, B the left end up to 10 m short of halfway, A what is "
            "between",
        ),
    ],
)  # fmt: skip
def test_parts_are_told_from_their_own_end(axis, cuts_m, cameras, told):
    assert part_words(StraightHandover(axis, cuts_m, tuple(cameras), 0.0), MATCH) == told


@pytest.mark.parametrize(
    ("losses", "told"),
    [((0.004, 0.002), "under 1 %"), ((0.03, 0.01), "2 %"), ((0.0, 0.0), "nothing")],
)
def test_what_straightening_costs_is_of_the_whole_match(losses, told):
    halves = tuple(StraightHandover("x", (0.0,), ("A", "B"), loss) for loss in losses)
    periods = tuple(SimpleNamespace(period=period) for period in MATCH.sport.periods)
    plan = SimpleNamespace(periods=periods, advice=SimpleNamespace(straight=halves))
    assert straight_cost_words(plan) == f"Handing over on a straight line costs {told}."
    plan.advice.straight = tuple(replace(half, cuts_m=(), cameras=("A",)) for half in halves)
    assert straight_cost_words(plan) == ""
