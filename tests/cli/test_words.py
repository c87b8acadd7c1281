"""Words for places: a person must be able to walk there, at either end and on either hand."""

import pytest

from standmark.cli.match_file import default_match
from standmark.cli.units import distance_words
from standmark.cli.words import place_words
from standmark.optimizer.assignment import Spot


def words(sport, x, y, z=1.6):
    return place_words(Spot("id", x, y, z, "area"), default_match(sport))


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        (56.5, 12.0, "behind the goal line at the +x end, 4 m back, 12 m to the right of the goal"),
        (56.5, -12.0, "behind the goal line at the +x end, 4 m back, 12 m to the left of the goal"),
        (-56.5, 12.0, "behind the goal line at the -x end, 4 m back, 12 m to the left of the goal"),
        (-56.5, 0.2, "behind the goal line at the -x end, 4 m back, in line with the goal"),
        (0.2, -38.0, "outside the touchline on the -y side, 4 m back, level with halfway"),
        (20.0, 38.0, "outside the touchline on the +y side, 4 m back, 20 m from halfway toward the +x end"),
        (-40.0, 38.0, "outside the touchline on the +y side, 4 m back, 12 m short of the goal line at the -x end"),
        (55.0, 37.0, "off the corner of the +x end and the +y side, 2.5 m behind the goal line"),
    ],
)
def test_place_on_a_football_ground(x, y, expected):
    assert words("football", x, y).startswith(expected)


def test_left_and_right_are_those_of_a_person_looking_at_the_ground():
    # who stands behind the +x end and looks along -x has -y on the left hand
    assert "left" in words("football", 58.0, -10.0)
    assert "left" in words("football", -58.0, 10.0)


def test_ground_behind_the_goal_line_is_named():
    assert words("rugby-union", 65.0, 8.0).startswith("behind the dead-ball line at the +x end, 5 m back")
    assert "5 m beyond the goal line at the +x end" in words("rugby-union", 55.0, 40.0)


@pytest.mark.parametrize(("value", "text"), [(4.1, "4 m"), (4.3, "4.25 m"), (12.4, "12 m"), (0.0, "0 m")])
def test_metres_are_round(value, text):
    assert distance_words(value) == text
