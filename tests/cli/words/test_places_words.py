"""What a plan says of raised places, of how a camera is held and of the rules of competitions."""

from dataclasses import replace

import pytest

from standmark.cli.drawing.height import height_picture
from standmark.cli.drawing.marks import Words
from standmark.cli.words.ask_words import ask_gain, ask_name, ask_notes, hopeless_words
from standmark.cli.words.hold_words import hold_words
from standmark.cli.words.match_warnings import replaced_words
from standmark.cli.words.naming import place_words
from standmark.cli.words.rules_words import brief_rules, rules_lines
from standmark.cli.words.summary import plan_summary
from standmark.cli.words.units import Units
from standmark.optimizer.match.competition_rules import under_profile
from standmark.optimizer.match.presets import deliverable_for
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.work.assignment import spot_at
from standmark.optimizer.work.hold import Hold
from standmark.sports.competition import OWN_WORD, load_profile
from standmark.sports.library import load_sport


def few(match, *keys):
    moments = tuple(m for m in match.sport.moments if m.key in keys)
    return replace(match, sport=replace(match.sport, moments=moments, periods=match.sport.periods[:2]))


@pytest.fixture(scope="module")
def hall():
    return plan(few(default_match("volleyball"), "attack", "dig"), advice="quick")


def test_the_answer_names_the_place_to_ask_for(hall):
    best = hall.advice.ask[0]
    assert best.gain > 0.03
    said = f"{ask_name(best, hall.match)} adds {100 * best.gain:.0f} %"
    assert f"To get more: {said}." in " ".join(plan_summary(hall).split())
    (note,) = ask_notes(hall, units=Units.IMPERIAL)
    assert note.startswith(f"Worth asking the ground for: {ask_name(best, hall.match)}, about ")
    assert " ft up" in note


def test_nothing_is_said_of_a_place_that_adds_little(hall):
    small = tuple(replace(ask, gain=0.03) for ask in hall.advice.ask)
    assert ask_gain(replace(hall, advice=replace(hall.advice, ask=small))) is None


def test_analysis_says_that_the_ground_is_too_low():
    match = few(default_match("football"), "wing-attack", "goal")
    found = plan(replace(match, deliverable=deliverable_for("analysis", match.sport.area)), advice="quick")
    line = hopeless_words(found)
    assert line.startswith("This can't be done from the ground. Ask for ")
    assert f"worth {100 * found.advice.ask[0].gain:.0f} % more." in line
    bare = hopeless_words(replace(found, advice=replace(found.advice, ask=())))
    highest = max(p.coverage for p in found.advice.height)
    assert f"you'd get {100 * found.seen:.0f} % here, and {100 * highest:.0f} % from about" in bare


def test_the_curve_is_drawn_with_all_its_points(hall):
    picture = height_picture(hall)
    said = [mark.text for mark in picture.marks if isinstance(mark, Words)]
    assert any("halfway" in text for text in said)
    assert any("behind" in text for text in said)
    best = max(hall.advice.height, key=lambda p: p.seen)
    assert best.seen > best.coverage + 0.05
    assert f"{100 * best.seen:.0f} % at {best.height_m:g} m" in picture.description
    assert height_picture(replace(hall, advice=None)) is None


@pytest.mark.parametrize(
    ("hold", "words"),
    [
        (Hold("stand", "tripod", True, ""), ""),
        (Hold("sit", "hands", False, ""), "Sit. No tripod or monopod here: hold the camera by hand."),
        (Hold("stand", "tripod", True, "steps"), "A lens this high needs steps."),
        (Hold("stand", "tripod", True, "a balcony", is_raised=True), ""),
    ],
)
def test_how_a_camera_is_held(hold, words):
    assert hold_words(hold) == words


def test_a_raised_place_is_called_by_what_it_is():
    match = default_match("football")
    answered = replace(match, venue=replace(match.venue, allowed=(*match.venue.allowed, *match.venue.asked), asked=()))
    high = spot_at("stand-row-halfway", 0.0, 45.0, 8.0)
    for ground in (match, answered):
        assert (
            place_words(high, ground)
            == "seat in the stand at halfway: bench side, 11 m outside the touchline, lens 8 m up"
        )
    end = place_words(spot_at("stand-row-end-plus", 63.0, 10.0, 9.0), match)
    assert end.startswith("seat in the stand behind the goal line (left end): left end, ")
    assert place_words(spot_at("touchline-plus", 0.0, 36.0, 1.6), match).startswith("bench side, at halfway: ")


def test_a_plan_without_rules_names_those_that_contradict_it():
    match = few(default_match("basketball"), "drive", "three-point")
    side = tuple(a for a in match.venue.allowed if a.key == "sideline")
    found = plan(replace(match, venue=replace(match.venue, allowed=side)), advice="quick")
    keys = {said.profile for said in found.advice.objections}
    assert {"basketball-fiba-2023", "basketball-college-final"} <= keys
    first, others, own = rules_lines(found)
    assert "don't allow this: only the photo" in first
    assert others == "Nor do those of one other competition: standmark rules lists them."
    assert own == OWN_WORD


def test_a_plan_under_rules_says_what_they_close_and_what_to_wear():
    match = few(default_match("basketball"), "drive", "three-point")
    kept = under_profile(match, load_profile("basketball-fiba-2023", match.sport))
    found = plan(kept, advice="quick")
    words = " ".join(rules_lines(found))
    assert "sideline opposite the table" in words
    assert "Wear the bib, always." in words
    assert OWN_WORD in words
    assert found.advice.objections == ()


def test_a_brief_names_the_places_that_rules_close():
    told = dict(brief_rules(load_sport("basketball")))
    assert "Closes: sideline opposite the table." in told["FIBA continental club league, 2023/24"]


def test_own_areas_that_replace_usual_ones_are_told():
    match = default_match("football")
    words = replaced_words(replace(match, venue=replace(match.venue, replaced=match.venue.allowed)))
    assert 'goal-line-plus-left = "yes"' in words or "halfway" in words
    assert replaced_words(match) == ""
