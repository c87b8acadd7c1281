"""Cameras with a role stand where their role asks, and the others serve the film."""

from dataclasses import replace

import pytest
import shapely
from small_match import EAST, SIDE, WEST, small_match

from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.match.role import role_wish, shape_wish
from standmark.optimizer.planning import plan

GANTRY = AllowedArea("gantry", "gantry", shapely.LineString([(-4, -44), (4, -44)]), (8.0, 8.0))
AREAS = (SIDE, EAST, WEST, GANTRY)


def with_roles(*roles):
    match = small_match(cameras=len(roles), areas=AREAS, moments=("goal", "save", "duel"))
    return replace(match, cameras=tuple(replace(c, role=r) for c, r in zip(match.cameras, roles, strict=True)))


@pytest.fixture(scope="module")
def crew():
    return plan(with_roles("tight", "wide"))


def test_the_wide_camera_stands_high_where_it_holds_the_shape_best_and_stays(crew):
    spots = [p.assignments[1].spot for p in crew.periods]
    assert {spot.area for spot in spots} == {"gantry"}
    assert len(set(spots)) == 1
    match = crew.match
    alone = plan(replace(match, cameras=(replace(match.cameras[1], role=None),), deliverable=shape_wish(match),
                         rules=replace(match.rules, moves="never", eye_height_give=0.0)))  # fmt: skip
    assert alone.periods[0].assignments[0].spot.area == "gantry"
    assert crew.periods[0].assignments[1].role_share is not None
    assert crew.periods[0].assignments[1].lens == alone.periods[0].assignments[0].lens


def test_the_tight_camera_serves_the_film_and_the_duty_table_knows_who_is_wide(crew):
    assert crew.periods[0].assignments[0].role == "tight"
    assert crew.periods[0].assignments[0].role_share is None
    for duty in crew.periods[0].duties:
        assert (duty.wide, duty.tight) == ("B", "A")
    free = plan(with_roles(None, None))
    assert crew.coverage <= free.upper_bound + 1e-6
    assert crew.proven


def test_a_camera_for_faces_shows_more_of_them_than_one_for_the_film():
    film = plan(with_roles(None))
    faces = plan(with_roles("faces"))
    assert faces.faces >= film.faces - 1e-9
    wish = role_wish(faces.match, faces.match.cameras[0])
    assert wish.faces == 1.0
    assert wish.wanted_share < faces.match.deliverable.wanted_share


def test_cameras_without_roles_say_which_could_hold_wide(crew):
    assert crew.shape == ()
    found = plan(with_roles(None, None))
    assert [name for name, _ in found.shape] == ["A", "B"]
    assert all(0.0 <= share <= 1.0 for _, share in found.shape)
