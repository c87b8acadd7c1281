"""Places to try lie where a camera may stand, at heights the kit reaches."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from standmark.geometry.errors import InputError
from standmark.optimizer.choice.candidates import (
    camera_positions,
    lens_heights_m,
    match_candidates,
    neighbour_places,
    sample_places,
    standing_shape,
)
from standmark.optimizer.match.match import AllowedArea, FixedSpot, ForbiddenArea
from standmark.optimizer.match.read_match import default_match

MATCH = default_match("football")
STRIP = AllowedArea("strip", "strip", shapely.box(56, -20, 60, -6), (0.6, 1.8))


def at_ground(*areas, forbidden=(), cameras=MATCH.cameras):
    venue = replace(MATCH.venue, allowed=areas, forbidden=forbidden)
    return replace(MATCH, venue=venue, cameras=cameras)


def test_every_place_stands_in_its_area_and_off_everything_forbidden():
    hole = shapely.box(57, -14, 59, -10)
    match = at_ground(STRIP, forbidden=(ForbiddenArea("hole", hole),))
    candidates = match_candidates(match)
    points = shapely.points(candidates.xyz_m[:, :2])
    assert len(points) > 20
    assert shapely.covers(STRIP.shape, points).all()
    assert not shapely.contains(hole, points).any()
    assert not shapely.contains(match.sport.area.outline, points).any()
    assert set(candidates.xyz_m[:, 2].round(3)) == {0.6, 1.2, 1.8}


def test_nothing_left_says_what_covers_it():
    with pytest.raises(InputError, match=r'"inside" is covered by .*playing area.*respect_keep_clear'):
        match_candidates(at_ground(AllowedArea("inside", "inside", shapely.box(0, 0, 5, 5), (1, 2))))


def test_nothing_left_says_from_where_there_is_room():
    rope = AllowedArea("rope", "parents' rope", shapely.box(-10, -36.5, 10, -35), (1, 2))
    with pytest.raises(InputError, match=r"outward, there 3 m or more from the line") as refused:
        match_candidates(at_ground(rope))
    moved = replace(rope, shape=shapely.box(-10, -38, 10, -37.05))
    assert len(match_candidates(at_ground(moved)).xyz_m)
    assert "smaller" not in str(refused.value)


def test_areas_under_the_same_forbidden_ground_are_told_together():
    areas = [AllowedArea(f"a{i}", f"area {i}", shapely.box(56, -30 + 5 * i, 60, -26 + 5 * i), (1, 2)) for i in range(4)]
    everything = ForbiddenArea("building site", shapely.box(-200, -200, 200, 200))
    with pytest.raises(InputError) as refused:
        match_candidates(at_ground(*areas, forbidden=(everything,)))
    message = str(refused.value)
    assert '"area 0", like 3 more, is covered by building site' in message
    assert "make venue.forbidden" in message
    assert "outward" not in message


def test_keep_clear_can_be_released():
    area = AllowedArea("near", "near", shapely.box(-10, 34.2, 10, 36), (1, 2))  # inside the run-off
    assert standing_shape(at_ground(area), area).is_empty
    released = at_ground(area)
    released = replace(released, venue=replace(released.venue, respect_keep_clear=False))
    assert standing_shape(released, area).area == pytest.approx(area.shape.area)


def test_heights_are_those_of_area_and_support():
    camera = replace(MATCH.cameras[0], lens_height_m=(1.4, 1.6))
    assert lens_heights_m(STRIP, camera) == (1.4, 1.6)
    assert lens_heights_m(STRIP, replace(camera, lens_height_m=(3, 4))) == ()
    assert lens_heights_m(STRIP, replace(camera, areas=("other",))) == ()


def test_camera_without_a_place_is_told():
    tall = replace(MATCH.cameras[0], name="B", lens_height_m=(3.0, 4.0))
    match = at_ground(STRIP, cameras=(MATCH.cameras[0], tall))
    with pytest.raises(InputError, match=r'camera "B": no allowed area'):
        camera_positions(match, match_candidates(match), tall)


def test_fixed_camera_has_its_spot_only():
    fixed = replace(MATCH.cameras[0], fixed=FixedSpot(57.25, -8.5, 1.45))
    match = at_ground(STRIP, cameras=(fixed,))
    candidates = match_candidates(match)
    assert candidates.xyz_m[camera_positions(match, candidates, fixed)].tolist() == [[57.25, -8.5, 1.45]]


def test_line_is_sampled_along_itself_and_refined_on_itself():
    line = AllowedArea("rail", "rail", shapely.LineString([(-20, -40), (20, -40)]), (1.5, 1.5))
    assert set(sample_places(line.shape, spacing_m=2.0)[:, 1]) == {-40.0}
    match = at_ground(line)
    shape = standing_shape(match, line)
    near = neighbour_places(np.array([0.0, -40.0, 1.5]), shape, heights_m=(1.5, 1.5), step_m=0.25)
    assert sorted(near[:, 0].tolist()) == [-0.25, 0.25]
    assert set(near[:, 1]) == {-40.0}


def test_a_place_above_an_obstacle_is_not_blocked_by_it():
    from standmark.geometry.sightlines.occluder import Occluder

    block = Occluder("stand", ((-30, -50), (30, -50), (30, -40), (-30, -40)), 0.0, 4.0, 0.0, True)
    low = AllowedArea("low", "low", shapely.box(-5, -45, 5, -42), (1.2, 1.8))
    high = replace(low, key="high", lens_height_m=(5.0, 6.0))
    match = at_ground(low, high)
    match = replace(match, venue=replace(match.venue, obstacles=(block,)))
    assert standing_shape(match, low).is_empty
    assert standing_shape(match, high).area == pytest.approx(30)
