"""Words for places: a person must be able to walk there, at either end and on either hand."""

import pytest

from standmark.cli.words.lines import wrapped
from standmark.cli.words.naming import place_words
from standmark.cli.words.units import distance_words
from standmark.optimizer.match.read_match import default_match, read_match
from standmark.optimizer.work.assignment import Spot


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


@pytest.mark.parametrize(
    ("sport", "x", "y", "expected"),
    [
        (
            "netball",
            15.3,
            -12.0,
            "outside the side line on the -y side, 4.5 m back, level with the goal line at the +x end",
        ),
        ("football", 20.0, -34.05, "at the touchline on the -y side, 20 m from halfway toward the +x end"),
    ],
)
def test_no_distance_of_nothing_is_told(sport, x, y, expected):
    assert words(sport, x, y).startswith(expected)
    assert " 0 m" not in words(sport, x, y)


def test_spot_on_the_playing_area_is_told_as_such():
    assert words("football", 0.0, 0.0).startswith(
        "on the playing area, level with halfway, 34 m inside the touchline on the -y side"
    )


def test_net_in_the_middle_is_not_looked_for_at_the_end():
    assert "1 m to the right of the middle" in words("volleyball", 12.0, 1.0)
    assert "level with the net" in words("tennis", 0.1, 8.0)


def test_distances_along_an_end_line_say_that_a_wide_goal_is_meant_by_its_middle():
    assert "12 m to the right of the goal's middle" in words("football", 56.5, 12.0)
    assert "2.5 m to the left of the posts' middle" in words("rugby-union", 65.8, -2.5)
    assert "3.5 m to the right of the basket, " in words("basketball", 16.85, 3.5)


def test_rounded_corner_of_a_rink_is_told_by_the_boards():
    assert words("ice-hockey", 27.4, 14.89).startswith(
        "off the corner of the +x end and the +y side, 1.75 m outside the boards, 2.5 m short of the end boards"
    )


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        (15.19, 27.11, "outside the third-base line, 8.5 m back, 2.5 m beyond third base"),
        (20.5, -33.0, "outside the first-base line, 8.75 m back, 10 m beyond first base"),
        (-2.0, 15.0, "outside the third-base line, 12 m back, 9.25 m up the line from home plate"),
        (-18.59, -1.5, "behind home plate, 19 m back, 1.5 m to the right of it"),
        (-18.59, 0.1, "behind home plate, 19 m back, in line with it"),
        (128.0, 0.0, "beyond the outfield fence, 6 m back, at its middle"),
        (130.0, 10.0, "beyond the outfield fence, 8.75 m back, 9 m round to the right of its middle"),
        (20.0, 0.0, "on the field of play, 20 m from home plate"),
    ],
)
def test_baseball_ground_is_told_by_its_bases_not_by_ends(x, y, expected):
    assert words("baseball", x, y).startswith(expected)


@pytest.mark.parametrize(
    ("sport", "x", "y", "expected"),
    [
        (
            "cricket",
            -22.08,
            -69.99,
            "outside the square boundary on the -y side, 3 m back, 22 m round to the left of its",
        ),
        ("cricket", 78.0, 0.0, "outside the straight boundary at the +x end, 3 m back, at its middle"),
        (
            "australian-football",
            87.66,
            10.6,
            "outside the boundary line at the +x end, 5.25 m back, 9.75 m round to the",
        ),
        (
            "australian-football",
            -87.66,
            -10.6,
            "outside the boundary line at the -x end, 5.25 m back, 9.75 m round to the",
        ),
    ],
)
def test_ovals_are_walked_in_metres_along_the_boundary(sport, x, y, expected):
    assert words(sport, x, y).startswith(expected)
    assert "degrees" not in words(sport, x, y)


def test_right_on_an_oval_is_that_of_a_person_looking_at_the_ground():
    assert "round to the right of the goal posts' middle" in words("australian-football", 87.66, 10.6)
    assert "round to the left of the goal posts' middle" in words("australian-football", -87.66, 10.6)


def test_areas_are_told_apart_by_the_side_they_lie_on_as_the_ground_calls_it():
    # "left" of an area's name would be that along +x, "right" of the words that of who stands there
    names = {area.key: area.name for area in default_match("football").venue.allowed}
    assert names["goal-line-plus-left"].endswith("(+x end, +y side)")
    softball = {area.key: area.name for area in default_match("softball").venue.allowed}
    assert softball["backstop-left"] == "behind the backstop net (third-base side)"
    assert default_match("baseball").venue.side_names["+y"] == "third-base side"


def test_ground_behind_the_goal_line_is_named():
    assert words("rugby-union", 65.0, 8.0).startswith("behind the dead-ball line at the +x end, 5 m back")
    assert "5 m beyond the goal line at the +x end" in words("rugby-union", 55.0, 40.0)


@pytest.mark.parametrize(("value", "text"), [(4.1, "4 m"), (4.3, "4.25 m"), (12.4, "12 m"), (0.0, "0 m")])
def test_metres_are_round(value, text):
    assert distance_words(value) == text


def test_areas_are_called_by_the_names_that_the_ground_gives_its_ends(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text('[match]\nsport = "football"\n[venue]\nside_names = { "+x" = "mill end", "+y" = "road side" }\n')
    names = {area.key: area.name for area in read_match(path).venue.allowed}
    assert names["goal-line-plus-left"].endswith("(mill end, road side)")
    assert names["goal-line-minus-right"].endswith("(-x end, -y side)")


def test_a_figure_keeps_its_unit_on_its_line():
    text = "covers " + ", ".join(f"moment {i} {i} %" for i in range(30)) + "; 4.1 points at 3.5 m"
    for width in range(20, 60):
        lines = wrapped(text, width, first="  ", rest="    ")
        assert max(map(len, lines)) <= width
        assert " ".join(" ".join(lines).split()) == text
        assert not any(line.lstrip().startswith(("%", "points", "m ")) for line in lines)
