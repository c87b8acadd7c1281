"""Words for places: a person must be able to walk there, at either end and on either hand."""

import pytest

from standmark.cli.words.lines import wrapped
from standmark.cli.words.naming import place_words
from standmark.cli.words.units import distance_words
from standmark.cli.words.where.place import where
from standmark.optimizer.match.read_match import default_match, read_match
from standmark.optimizer.work.assignment import Spot


def words(sport, x, y, z=1.6):
    return place_words(Spot("id", x, y, z, "area"), default_match(sport))


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        (
            56.5,
            12.0,
            "left end, right of the goal: 4 m behind the goal line, 12 m right of the goal's middle, 3 m outs",
        ),
        (56.5, -12.0, "left end, left of the goal: 4 m behind the goal line, 12 m left of the goal's middle"),
        (-56.5, 12.0, "right end, left of the goal: 4 m behind the goal line, 12 m left of the goal's middle"),
        (-56.5, 0.2, "right end, behind the goal: 4 m behind the goal line, in line with the goal's middle"),
        (-57.0, 6.5, "right end, left of the goal: 4.5 m behind the goal line, 3 m past the left-hand post"),
        (
            56.5,
            16.0,
            "left end, right of the goal: 4 m behind the goal line, 16 m right of the goal's middle, 4 m inside",
        ),
        (0.2, -38.0, "far side, at halfway: 4 m outside the touchline, lens"),
        (
            20.0,
            38.0,
            "bench side, toward the left end: 4 m outside the touchline, 20 m from halfway",
        ),
        (
            -40.0,
            38.0,
            "bench side, near the corner of the right end: 4 m outside the touchline, 4 m from the edge of t",
        ),
        (
            55.0,
            37.0,
            "corner of the left end and the bench side: 2.5 m behind the goal line, 3 m outside the touchline",
        ),
    ],
)
def test_place_on_a_football_ground(x, y, expected):
    assert words("football", x, y).startswith(expected)


def test_left_and_right_are_those_of_a_person_looking_at_the_ground():
    # who stands behind the +x end and looks along -x has -y on the left hand
    assert "left of the goal" in words("football", 58.0, -10.0)
    assert "left of the goal" in words("football", -58.0, 10.0)


@pytest.mark.parametrize(
    ("sport", "x", "y", "expected"),
    [
        (
            "netball",
            15.3,
            -12.0,
            "far side, near the corner of the left end: 4.5 m outside the side line, level with the goal line",
        ),
        (
            "football",
            20.0,
            -34.05,
            "far side, toward the left end: at the touchline, 20 m from halfway",
        ),
    ],
)
def test_no_distance_of_nothing_is_told(sport, x, y, expected):
    assert words(sport, x, y).startswith(expected)
    assert " 0 m" not in words(sport, x, y)


def test_spot_on_the_playing_area_is_told_as_such():
    assert words("football", 0.0, 0.0).startswith(
        "on the playing area: level with halfway, 34 m inside the touchline on the far side"
    )


def test_net_in_the_middle_is_not_looked_for_at_the_end():
    assert "1 m right of the middle" in words("volleyball", 12.0, 1.0)
    assert "chair side, at the net" in words("tennis", 0.1, 8.0)


def test_distances_along_an_end_line_say_that_a_wide_goal_is_meant_by_its_middle():
    assert "12 m right of the goal's middle" in words("football", 56.5, 12.0)
    assert "8 m left of the posts' middle" in words("rugby-union", 65.8, -8.0)
    assert "3.5 m right of the basket, " in words("basketball", 16.85, 3.5)


def test_rounded_corner_of_a_rink_is_told_by_the_boards():
    assert words("ice-hockey", 27.4, 14.89).startswith(
        "corner of the left end and the bench side: 2 m outside the boards, 1.5 m from the goal line at the left"
    )


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        (15.19, 27.11, "third-base side: 28 ft outside the third-base line, 8 ft beyond third base"),
        (20.5, -33.0, "first-base side: 29 ft outside the first-base line, 34 ft beyond first base"),
        (-2.0, 15.0, "third-base side: 39 ft outside the third-base line, 30 ft up the line from home plate"),
        (-18.59, -1.5, "behind home plate: 61 ft back, 5 ft right of it"),
        (-18.59, 0.1, "behind home plate: 61 ft back, in line with it"),
        (128.0, 0.0, "beyond the outfield fence: 20 ft back, at its middle"),
        (130.0, 10.0, "beyond the outfield fence: 29 ft back, 29 ft round to the right of its middle"),
        (20.0, 0.0, "on the field of play: 66 ft from home plate"),
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
            "far side, left of its middle: 3 m outside the square boundary, 22 m round from its middle, at deep",
        ),
        (
            "cricket",
            78.0,
            0.0,
            "left end: 3 m outside the straight boundary, at its middle, straight behind the bowler when the",
        ),
        (
            "australian-football",
            87.66,
            10.6,
            "left end, right of the goal posts: 5.5 m outside the boundary line, 9.5 m round from the goal posts'",
        ),
        (
            "australian-football",
            -87.66,
            -10.6,
            "right end, right of the goal posts: 5.5 m outside the boundary line, 9.5 m round from the goal posts'",
        ),
    ],
)
def test_ovals_are_walked_in_metres_along_the_boundary(sport, x, y, expected):
    assert words(sport, x, y).startswith(expected)
    assert "degrees" not in words(sport, x, y)


def test_right_on_an_oval_is_that_of_a_person_looking_at_the_ground():
    assert words("australian-football", 87.66, 10.6).startswith("left end, right of the goal posts: ")
    assert words("australian-football", -87.66, 10.6).startswith("right end, left of the goal posts: ")


def test_areas_are_told_apart_by_the_side_they_lie_on_as_the_ground_calls_it():
    # "left" of an area's name would be that along +x, "right" of the words that of who stands there
    names = {area.key: area.name for area in default_match("football").venue.allowed}
    assert names["goal-line-plus-left"].endswith("(left end, bench side)")
    softball = {area.key: area.name for area in default_match("softball").venue.allowed}
    assert softball["backstop-left"] == "behind the backstop net (third-base side)"
    assert default_match("baseball").venue.side_names["+y"] == "third-base side"


def test_ground_behind_the_goal_line_is_named():
    assert words("rugby-union", 65.0, 8.0).startswith("left end, right of the posts: 5 m behind the dead-ball line")
    assert "left end: 5 m outside the touchline, 5 m beyond the goal line" in words("rugby-union", 55.0, 40.0)


@pytest.mark.parametrize(("value", "text"), [(4.1, "4 m"), (4.3, "4.5 m"), (12.4, "12 m"), (0.0, "0 m")])
def test_metres_are_round(value, text):
    assert distance_words(value) == text


def test_areas_are_called_by_the_names_that_the_ground_gives_its_ends(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text('[match]\nsport = "football"\n[venue]\nside_names = { "+x" = "mill end", "+y" = "road side" }\n')
    names = {area.key: area.name for area in read_match(path).venue.allowed}
    assert names["goal-line-plus-left"].endswith("(mill end, road side)")
    assert names["goal-line-minus-right"].endswith("(right end, far side)")


def test_a_figure_keeps_its_unit_on_its_line():
    text = "covers " + ", ".join(f"moment {i} {i} %" for i in range(30)) + "; 4.1 points at 3.5 m"
    for width in range(20, 60):
        lines = wrapped(text, width, first="  ", rest="    ")
        assert max(map(len, lines)) <= width
        assert " ".join(" ".join(lines).split()) == text
        assert not any(line.lstrip().startswith(("%", "points", "m ")) for line in lines)


@pytest.mark.parametrize(
    ("sport", "x", "y", "expected"),
    [
        ("american-football", 12.0, 29.0, "left end: 5 yd outside the sideline, 2 yd from the 35-yard line"),
        ("canadian-football", 30.0, -33.0, "2 yd from the 20-yard line"),
        ("rugby-union", 26.0, -38.0, "left end: 3 m outside the touchline, 2 m from the 22 m line, toward halfway"),
        ("rugby-league", 33.0, -37.0, "left end: 3 m outside the touchline, 3 m from the 20 m line, toward the corner"),
        ("ice-hockey", 7.0, -16.0, "left end: 1 m outside the side boards, level with the blue line"),
        ("netball", 5.0, -10.0, "level with the transverse line"),
        ("basketball", 16.0, -6.6, "in line with the three-point line"),
        ("cricket", 60.0, -55.0, "at extra cover on the boundary when the bowling is from the left end"),
    ],
)
def test_spots_are_found_from_the_lines_that_the_sport_paints(sport, x, y, expected):
    assert expected in words(sport, x, y)


def test_ways_that_one_walks_are_said_in_paces_where_asked():
    spot, match = Spot("id", 56.5, 16.0, 1.6, "area"), default_match("football")
    assert "16 m (21 paces) right of the goal's middle" in where(spot, match, in_paces=True).detail
    assert "paces" not in where(spot, match).detail


def test_off_side_of_a_right_hander_is_on_the_bowlers_left_hand():
    # a right-hander faces the bowler side on, chest toward the off side: left as the bowler runs in
    from_left_end = words("cricket", 72.0, -30.0)
    assert "long-off when the bowling is from the left end" in from_left_end
    assert "long-on when the bowling is from the left end" in words("cricket", 72.0, 30.0)
    assert "long-on when the bowling is from the right end" in words("cricket", -72.0, -30.0)
