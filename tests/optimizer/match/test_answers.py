"""Answers of the ground: what may be planned on, what has to be asked for, what is out."""

import pytest

from standmark.geometry.errors import InputError
from standmark.optimizer.choice.candidates import standing_shape
from standmark.optimizer.match.read_match import default_match, match_of
from standmark.sports.toml.file import parse_toml

OWN = '[[venue.allowed]]\nname = "mill bank"\nside = "-y"\noffset_m = [6, 8]\n'


def read(text, tmp_path):
    return match_of(parse_toml('[match]\nsport = "football"\n' + text, name="m.toml"), folder=tmp_path, cameras=None)


def keys(areas):
    return {area.key for area in areas}


def test_usual_places_are_a_yes_and_raised_ones_an_ask(tmp_path):
    venue = read("", tmp_path).venue
    assert "goal-line-plus-left" in keys(venue.allowed)
    assert "stand-row-halfway" in keys(venue.asked)
    assert keys(venue.asked) == keys(default_match("football").venue.asked)
    assert not keys(venue.allowed) & keys(venue.asked)


def test_each_answer_moves_a_place(tmp_path):
    text = '[venue.answers]\nstand-row-halfway = "yes"\ngoal-line = "no"\nhalfway = "ask"\ngantry-halfway = "no"\n'
    venue = read(text, tmp_path).venue
    assert "stand-row-halfway" in keys(venue.allowed)
    assert "halfway" in keys(venue.asked)
    assert not any(key.startswith("goal-line") for key in keys(venue.allowed) | keys(venue.asked))
    assert "gantry-halfway" not in keys(venue.allowed) | keys(venue.asked)


def test_own_areas_replace_usual_places_and_an_answer_keeps_one(tmp_path):
    venue = read(OWN, tmp_path).venue
    assert keys(venue.allowed) == {"mill-bank"}
    assert "halfway" in keys(venue.replaced)
    kept = read('[venue.answers]\nhalfway = "yes"\n' + OWN, tmp_path).venue
    assert keys(kept.allowed) == {"halfway", "mill-bank"}
    assert "halfway" not in keys(kept.replaced)
    assert read('[venue]\nusual_places = ["halfway"]\n' + OWN, tmp_path).venue.replaced == ()


def test_a_place_of_the_sport_that_stands_elsewhere_is_moved_and_not_doubled(tmp_path):
    raised = (
        '[[venue.allowed]]\nname = "tower"\nwhat = "scaffold-halfway"\n'
        'side = "-y"\nspan_m = [10, 12]\noffset_m = [6, 8]\n'
    )
    usual = (
        '[[venue.allowed]]\nname = "by the hut"\nwhat = "halfway"\nside = "-y"\nspan_m = [2, 4]\noffset_m = [3, 4]\n'
    )
    venue = read('[venue]\nusual_places = ["halfway", "touchline-plus"]\n' + raised + usual, tmp_path).venue
    assert keys(venue.allowed) == {"touchline-plus", "tower", "by-the-hut"}
    assert "scaffold-halfway" not in keys(venue.asked)
    before = next(area for area in default_match("football").venue.asked if area.key == "scaffold-halfway")
    tower = next(area for area in venue.allowed if area.key == "tower")
    assert (tower.kind, tower.lens_height_m, tower.floor_m) == (before.kind, before.lens_height_m, before.floor_m)
    assert tower.shape.bounds == (10, -42, 12, -40)
    lower = read(raised + "lens_height_m = [4, 4.4]\n", tmp_path).venue.allowed[-1]
    assert lower.floor_m < before.floor_m
    with pytest.raises(InputError, match="no such place"):
        read(raised.replace("scaffold-halfway", "scafold-halfway"), tmp_path)


def test_an_own_area_can_be_asked_for_by_its_name(tmp_path):
    text = '[venue]\nusual_places = ["halfway"]\n[venue.answers]\n"mill bank" = "ask"\n'
    assert "mill-bank" in keys(read(text + OWN, tmp_path).venue.asked)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[venue.answers]\nstand-row-halway = "yes"\n', 'did you mean "stand-row-halfway"'),
        ('[venue.answers]\nhalfway = "maybe"\n', "halfway"),
        ('[venue]\nusual_places = ["halfway"]\n[venue.answers]\nhalfway = "no"\n', "nowhere to stand"),
    ],
)
def test_mistakes(text, words, tmp_path):
    with pytest.raises(InputError, match=r"m.toml:\d") as caught:
        read(text, tmp_path)
    assert words in str(caught.value)


def test_a_high_floor_lies_above_what_is_kept_clear():
    match = default_match("volleyball")
    balcony = next(a for a in match.venue.asked if a.kind == "balcony")
    step = next(a for a in match.venue.asked if a.kind == "step")
    assert balcony.floor_m > 2.3
    assert standing_shape(match, balcony).area == pytest.approx(balcony.shape.area)
    clear = next(k for k in match.sport.area.keep_clear if k.name.startswith("court"))
    assert standing_shape(match, step).intersection(clear.shape).area < 1e-9
