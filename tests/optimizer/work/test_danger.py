"""What can hurt the person at a spot, on grounds of invented size and for every sport's own places."""

from dataclasses import replace

import pytest
import shapely

from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.work.assignment import spot_at
from standmark.optimizer.work.danger import RELEASED, spot_dangers
from standmark.sports.library import sport_keys


def names(match, x_m, y_m, z_m):
    return [danger.name for danger in spot_dangers(match, spot_at("", x_m, y_m, z_m))]


def test_behind_the_goal_is_the_line_of_shots_and_beside_it_is_not():
    football = default_match("football")
    assert names(football, 57.0, 2.0, 1.0) == [RELEASED, "line of shots", "players who run out"]
    assert names(football, -60.0, -2.0, 1.0)[-1] == "line of shots"
    assert names(football, 60.0, 20.0, 1.0) == []
    assert names(football, 0.0, -37.2, 1.6) == ["players who run out"]
    assert names(football, 60.0, 2.0, 12.0) == []  # from a stand behind the goal


def test_released_ground_says_why_it_is_usually_kept_clear():
    match = default_match("football")
    free = replace(match, venue=replace(match.venue, respect_keep_clear=False))
    found = spot_dangers(free, spot_at("", 54.0, 15.0, 1.2))
    assert found[0].name == RELEASED
    assert "Players run out over the lines" in found[0].text


def test_kicks_at_posts_reach_a_low_stand_and_not_a_high_one():
    rugby = default_match("rugby-union")
    assert "flight of kicks at the posts" in names(rugby, 75.0, 3.0, 6.0)
    assert names(rugby, 75.0, 3.0, 20.0) == []


@pytest.mark.parametrize("key", sport_keys())
def test_every_sport_says_where_play_can_hurt(key):
    area = default_match(key).sport.area
    assert area.dangers
    near = area.run_off.buffer(30.0)
    for danger in area.dangers:
        assert danger.shape.intersects(near)
        assert shapely.difference(danger.shape, area.outline).area > 1.0
        assert danger.up_to_m > 0
        assert danger.text.endswith(".")
