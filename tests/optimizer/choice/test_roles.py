"""Cameras with a role stand where their role asks, and the others serve the film."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from small_match import EAST, SIDE, WEST, small_match

from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.choice.role_problem import ROLE_WORTH, joint_problem, match_wishes, wish_grids
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


def test_all_cameras_are_chosen_together_and_nothing_is_better(crew):
    """Against every pair of rows of the grid that was searched first, for both halves at once."""
    match = crew.match
    wishes = match_wishes(match)
    grids = wish_grids(wishes, match_candidates(match), (), Memory())
    tried, share = -1.0, 1 / len(match.sport.periods)
    joints = [joint_problem(wishes, grids, stage) for stage in range(len(wishes[0].tasks))]
    tight_rows, wide_rows = joints[0].problem.rows_by_camera
    best_of_wide = {}
    for joint in joints:
        problem = joint.problem
        for row in wide_rows.tolist():
            both = np.maximum(problem.quality[row], problem.quality[tight_rows]) @ problem.weight
            near = np.hypot(*(problem.xy_m[tight_rows] - problem.xy_m[row]).T) < match.rules.separation_m
            at = int(joint.place[row])
            best_of_wide.setdefault(at, []).append(both[~near].max())
    n_lenses = len(wide_rows) // len(best_of_wide)
    for values in best_of_wide.values():  # it stays, its lens and the other camera may change
        halves = np.array(values).reshape(len(joints), n_lenses).max(axis=1)
        tried = max(tried, float(halves.sum() * share))
    assert crew.roles.is_proven
    assert tried <= crew.roles.upper_bound + 1e-6
    film = sum(p.coverage * p.period.minutes for p in crew.periods) / sum(p.period.minutes for p in crew.periods)
    wide = np.mean([p.assignments[1].role_share for p in crew.periods])
    together = (film + ROLE_WORTH * wide) / (1 + ROLE_WORTH)
    assert crew.roles.value <= crew.roles.upper_bound
    assert together == pytest.approx(crew.roles.value, abs=match.rules.second_angle_give)
    assert together > tried - 2 * match.rules.move_cost


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
