"""A card in words: lines of the sport's own ground, numbers beside each other, the same in the plan's file."""

import re
from dataclasses import replace
from functools import cache

import pytest

from standmark.cli.exports.follow_json import follow_document
from standmark.cli.words.roam_words import follow_card, follow_lines, follow_section, gain_words
from standmark.optimizer.match.match import Roam
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan


@cache
def walked(sport, **more):
    match = default_match(sport)
    camera = replace(match.cameras[0], roam=Roam())
    return plan(replace(match, cameras=(camera,), **more))


def test_a_card_speaks_of_yard_lines_and_both_sides():
    found = walked("american-football")
    card = follow_card(found.follow[0], found.follow[0].scenes[0], found.match)
    assert len(card.lines) <= 7
    assert card.lines[-1] == ("", "The other side attacks", "the same, the other way round")
    whole = " ".join(f"{when} {where}" for _, when, where in card.lines)
    assert "behind their end line" in whole
    assert " their " in whole
    assert " m " not in whole
    assert any("never across" in note for note in card.notes)


def test_where_walking_adds_nothing_the_card_says_stay():
    found = walked("cricket")
    card = follow_card(found.follow[0], found.follow[0].scenes[0], found.match)
    assert len(card.lines) == 1
    assert re.match("stay (on|at|behind|beyond) ", card.lines[0][2])
    follow = found.follow[0]
    better = tuple(
        replace(m, coverage=m.coverage + 0.04, walked_m=0.0) if m.name == "card" else m for m in follow.methods
    )
    said = gain_words(replace(follow, methods=better))
    assert said.startswith("No need to walk: ")
    assert "km" not in said


def test_lines_name_the_side_where_sides_weigh_differently():
    found = walked("rugby-union", cover="ours")
    follow = found.follow[0]
    said = [line[1] for line in follow_card(follow, follow.scenes[0], found.match).lines]
    assert any(words.startswith("We attack: ") for words in said)
    assert any(words.startswith("They attack: ") for words in said)
    if follow.has_one_card:
        second = follow.scenes[1].card.lines
        assert [line.attack_x for line in second] == [-line.attack_x for line in follow.scenes[0].card.lines]


def test_numbers_stand_beside_each_other():
    found = walked("american-football")
    section = follow_section(found.follow[0])
    assert [row[0] for row in section.rows] == [
        "Standing still",
        "The usual habit",
        "This card",
        "Best possible walk",
        "If you could be everywhere at once",
    ]
    assert section.rows[0][2:] == ("0.0 km", "0 m")
    assert "Walking by this card is worth " in "\n".join(follow_lines(found))


def test_the_file_holds_card_numbers_and_curve():
    found = walked("american-football")
    document = follow_document(found.follow[0], found.match)
    methods = {m["name"]: m["coverage"] for m in document["methods"]}
    assert document["cards"][0]["coverage"] == pytest.approx(methods["card"], abs=1e-6)
    assert methods["policy"] <= document["upper_bound"] <= document["free"]
    assert [line["when"] for line in document["cards"][0]["lines"]] == [
        when for number, when, _ in follow_card(found.follow[0], found.follow[0].scenes[0], found.match).lines if number
    ]
    assert all(set(line["places"]) == {"+x", "-x"} for line in document["cards"][0]["lines"])
