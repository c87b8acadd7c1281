"""A lens at a person's eye where it costs next to nothing, and how a camera is held."""

from dataclasses import replace

import pytest
import shapely
from small_match import small_match

from standmark.optimizer.choice.eye_heights import with_eye_heights
from standmark.optimizer.choice.solve import solve_stages
from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.match.presets import SUPPORTS
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.work.assignment import spot_at
from standmark.optimizer.work.hold import hold_at
from standmark.sports.place_kind import POSTURE_EYE_M

LINE = AllowedArea("south", "south touchline", shapely.LineString([(-40, -38), (40, -38)]), (0.5, 2.4))


def height(stage):
    return float(stage.grid.candidates.xyz_m[stage.positions[0], 2])


@pytest.mark.parametrize("postures", [("stand",), ("sit", "kneel"), ("sit", "kneel", "stand")])
def test_the_eye_is_taken_for_less_than_is_given(postures):
    match = small_match(areas=(replace(LINE, postures=postures),), rules={"eye_height_give": 0.2})
    stages = solve_stages(match)
    (held, *_) = with_eye_heights(match, stages)
    assert any(height(held) == pytest.approx(POSTURE_EYE_M[p]) for p in postures)
    assert stages[0].value - 0.2 <= held.value <= stages[0].value
    now, before = (s.grid.candidates.xyz_m[s.positions[0], :2] for s in (held, stages[0]))
    assert tuple(now) == tuple(before)


def test_nothing_is_given_up_where_nothing_may_be():
    match = small_match(areas=(LINE,), rules={"eye_height_give": 0.0})
    stages = solve_stages(match)
    assert with_eye_heights(match, stages)[0].value == stages[0].value


def test_halves_without_a_move_keep_one_height():
    match = small_match(areas=(LINE,), rules={"eye_height_give": 0.2, "moves": "never"})
    stages = with_eye_heights(match, solve_stages(match))
    assert len({s.positions for s in stages}) == 1


def test_sitting_behind_the_end_line_of_basketball_leaves_the_tripod_out():
    match = default_match("basketball")
    camera = match.cameras[0]
    assert camera.support == SUPPORTS["tripod"]
    seat = next(a for a in match.venue.allowed if a.key.startswith("end-line"))
    assert seat.lens_height_m[1] <= 1.0
    hold = hold_at(match, camera, spot_at(seat.key, 17, 3, 0.8))
    assert (hold.posture, hold.support, hold.is_own, hold.carried_by) == ("sit", "hands", False, "")


def test_a_lens_over_reach_names_what_carries_it():
    match = default_match("football")
    camera = match.cameras[0]
    for area in match.venue.asked:
        spot = spot_at(area.key, 0, 0, area.lens_height_m[1])
        assert hold_at(match, camera, spot).carried_by
    assert hold_at(match, camera, spot_at("elsewhere", 0, 0, 1.9)).carried_by == ""
    assert "steps" in hold_at(match, camera, spot_at("elsewhere", 0, 0, 2.2)).carried_by
