"""Furniture and raised places of the definitions: where the laws put them, and what they hide."""

import numpy as np
import pytest
import shapely
from shapely.geometry import box

from standmark.geometry.sightlines.sightline import visible_share
from standmark.sports.furniture import furniture_occluders
from standmark.sports.library import load_sport, sport_keys
from standmark.sports.place_kind import KINDS
from standmark.sports.sport import Furniture

FIELD = box(-50, -30, 50, 30)


def thing(*, is_open=False, see_through=0.0):
    """A block 4 m wide and 2 m deep behind the upper side line, 2.2 m high."""
    return Furniture("shed", "shed", box(-2, 32, 2, 34), 0.0, 2.2, see_through, is_open, True, "estimate")


def seen(furniture, lens_m, person_m):
    walls = furniture_occluders(furniture, FIELD)
    return float(visible_share([lens_m], [person_m], subject_m=1.8, occluders=walls)[0, 0])


@pytest.mark.parametrize("share", [0.0, 0.3, 0.64])
def test_a_thing_lets_through_its_share_from_every_side(share):
    for away_m in ((0, 60), (40, 33), (-40, 33)):
        behind_m = 2 * np.array([0, 33]) - away_m
        found = seen(thing(see_through=share), (*away_m, 0.9), (*behind_m, 0.9))
        assert found == pytest.approx(share, abs=1e-6)


def test_who_sits_in_a_dugout_is_seen_from_the_field_and_not_from_behind():
    dugout = thing(is_open=True)
    inside = (0.0, 33.0, 0.9)
    assert seen(dugout, (0, 0, 1.5), inside) == 1.0
    assert seen(dugout, (0, 60, 1.5), inside) == 0.0
    assert seen(dugout, (30, 33, 1.5), inside) == 0.0


def test_a_flag_staff_hides_nothing():
    flag = Furniture("flag", "flag", box(50, 30, 50.1, 30.1), 0.0, 1.5, 0.9, False, True, "estimate")
    assert furniture_occluders(flag, FIELD) == ()


@pytest.mark.parametrize("key", sport_keys())
def test_every_sport_has_raised_places_beside_its_field(key):
    area = load_sport(key).area
    assert any(place.lens_height_m[1] >= 3.0 for place in area.raised)
    for place in area.raised:
        assert place.kind in KINDS
        assert place.lens_height_m[0] >= 1.8
        assert place.lens_height_m[0] < place.lens_height_m[1]
        assert place.shape.distance(area.outline) >= 1.0


@pytest.mark.parametrize("key", sport_keys())
def test_furniture_leaves_room_on_every_usual_place(key):
    area = load_sport(key).area
    there = shapely.union_all([t.shape for t in area.furniture if t.is_usual])
    for place in area.places:
        assert place.shape.difference(there).area > 0.6 * place.shape.area


def furniture_of(key, what):
    return next(t for t in load_sport(key).area.furniture if t.key == what)


def test_first_referee_of_volleyball():
    # FIVB Official Volleyball Rules 2021-2024, 23.1: eyes about 0.5 m above the net (2.43 m for men), at one end of
    # it, opposite the scorer.
    stand, table = furniture_of("volleyball", "first-referee"), furniture_of("volleyball", "table")
    assert stand.top_m > 2.43 + 0.5
    assert abs(stand.shape.centroid.x) < 0.01
    assert stand.shape.centroid.y * table.shape.centroid.y < 0


def test_umpires_chair_of_tennis():
    # WTA Official Rulebook 2022, XVIII: chair 1.82 to 2.44 m high, 0.9 m from the post, on the net's line.
    # The post stands 0.914 m outside the doubles sideline (ITF Rules of Tennis).
    chair = furniture_of("tennis", "umpire-chair")
    from_sideline_m = chair.shape.bounds[1] - 10.97 / 2
    assert from_sideline_m == pytest.approx(0.914 + 0.9, abs=0.05)
    assert 1.82 < chair.top_m - 0.9 <= 2.44


def test_team_areas_of_college_football():
    # NCAA 2021 Football Rules, 1-2-4: between the 20-yard lines, behind the 12 ft limit line.
    teams = furniture_of("american-football", "team-area-college")
    low_x, low_y, high_x, high_y = teams.shape.bounds
    assert (low_x, high_x) == pytest.approx((-27.4, 27.4), abs=0.05)
    inner_m = teams.shape.distance(load_sport("american-football").area.outline)
    assert inner_m == pytest.approx(12 * 0.3048, abs=0.01)
    assert low_y == pytest.approx(-high_y)
