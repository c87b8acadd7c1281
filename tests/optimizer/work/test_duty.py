"""Second angle, duties and the line of action, against cases worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest
from small_match import EAST, SIDE, WEST, small_match

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import FixedSpot
from standmark.optimizer.planning import plan
from standmark.optimizer.work.line_of_action import sides_of_line
from standmark.optimizer.work.second_angle import pair_views, second_angle_share, view_angle_deg


def test_angle_between_views():
    target = np.array([[0.0, 0.0, 1.0], [10.0, 0.0, 1.0]])
    angle = view_angle_deg(np.array([10.0, 0.0, 1.0]), np.array([0.0, 10.0, 1.0]), target)
    assert angle[0] == pytest.approx(90.0)
    assert view_angle_deg(np.array([20.0, 0, 1]), np.array([0.0, 0, 1]), target)[1] == pytest.approx(180.0)


@pytest.mark.parametrize(
    ("second_deg", "sizes", "expected"),
    [
        (90.0, (0.4, 0.4), 0.5),  # another direction: the worse of 0.8 and 0.5
        (29.0, (0.4, 0.4), 0.0),  # neither another direction nor another size
        (31.0, (0.4, 0.4), 0.5),
        (5.0, (0.4, 0.8), 0.5),  # twice the size
        (5.0, (0.4, 0.7), 0.0),
    ],
)
def test_second_angle_of_a_pair(second_deg, sizes, expected):
    turn = np.radians(second_deg)
    positions = np.array([[20.0, 0.0, 0.0], [20.0 * np.cos(turn), 20.0 * np.sin(turn), 0.0]])
    share = second_angle_share(
        np.array([[0.8], [0.5]]), pair_views(positions, np.array(sizes)[:, None], np.zeros((1, 3)))
    )
    assert share == pytest.approx([expected])


def test_second_angle_needs_a_second_camera():
    assert second_angle_share(
        np.ones((1, 2)), pair_views(np.zeros((1, 3)), np.ones((1, 2)), np.ones((2, 3)))
    ).tolist() == [0, 0]


def test_third_camera_can_only_add_second_angles():
    rng = np.random.default_rng(3)
    positions, targets = rng.normal(0, 30, (3, 3)), rng.normal(0, 10, (40, 3))
    quality, size = rng.random((3, 40)), rng.random((3, 40))
    two = second_angle_share(quality[:2], pair_views(positions[:2], size[:2], targets))
    assert (second_angle_share(quality, pair_views(positions, size, targets)) >= two).all()


def test_side_of_the_line_of_action():
    toward_goal = np.zeros(3)
    targets = np.zeros((3, 3))
    spots = np.array([[0.0, 30.0, 1.6], [0.0, -30.0, 1.6], [50.0, 5.0, 1.6], [50.0, 15.0, 1.6]])  # 6 and 17 degrees off
    assert sides_of_line(spots, targets, toward_goal).tolist() == [[1] * 3, [-1] * 3, [0] * 3, [1] * 3]
    across = np.full(3, np.pi / 2)  # people who look along +y: the far side of the ground lies ahead of them
    assert sides_of_line(spots, targets, across).tolist() == [[0] * 3, [0] * 3, [-1] * 3, [-1] * 3]


def fixed_match(*spots, **more):
    match = small_match(cameras=len(spots), areas=(SIDE, EAST, WEST), **more)
    cameras = tuple(replace(c, fixed=FixedSpot(*s)) for c, s in zip(match.cameras, spots, strict=True))
    return replace(match, cameras=cameras)


def duty(found, moment, attack):
    return next(d for d in found.periods[0].duties if (d.moment, d.attack) == (moment, attack))


def test_each_end_belongs_to_the_camera_behind_it():
    found = plan(fixed_match((57, -10, 1.2), (-57, -10, 1.2), moments=("goal", "kick-off")))
    assert duty(found, "goal", "+x").primary == "A"
    assert duty(found, "goal", "-x").primary == "B"
    assert duty(found, "goal", "+x").second == "B"
    assert duty(found, "kick-off", None).primary_share == pytest.approx(0.5, abs=0.05)  # neither side's, halfway
    weights = sum(d.weight for d in found.periods[0].duties)
    assert weights == pytest.approx(1.0)
    covered = sum(d.weight * d.coverage for d in found.periods[0].duties)
    assert covered == pytest.approx(found.periods[0].coverage)


def test_two_touchlines_cross_the_line_and_one_does_not():
    across = plan(fixed_match((0, -38, 1.6), (0, 38, 1.6), moments=("kick-off",)))
    along = plan(fixed_match((-20, -38, 1.6), (20, -38, 1.6), moments=("kick-off",)))
    assert duty(across, "kick-off", None).crosses_line
    assert not duty(along, "kick-off", None).crosses_line
    # 76 m apart across the pitch: nearly head on to each other from the middle of the pitch
    assert duty(across, "kick-off", None).angle_deg > duty(along, "kick-off", None).angle_deg > 30


def test_the_longer_lens_goes_tight_and_of_two_alike_the_nearer_holds_wide():
    match = fixed_match((-2, -38, 1.6), (2, -38, 1.6), moments=("goal",))
    short, long = match.cameras
    short = replace(short, lenses=(Lens("24-70", (24.0, 70.0)),))
    long = replace(long, lenses=(Lens("300", (300.0, 300.0)),))
    unlike = duty(plan(replace(match, cameras=(short, long))), "goal", "+x")
    assert (unlike.wide, unlike.tight) == ("A", "B")
    zooms = plan(fixed_match((-4, -38, 1.6), (4, -38, 1.6), moments=("goal",)))  # subjects 7 % larger from B
    toward = duty(zooms, "goal", "+x")
    assert (toward.wide, toward.tight) == ("B", "A")  # B is the nearer one


def test_one_camera_has_no_second_angle():
    found = plan(small_match(moments=("goal",), areas=(EAST,)))
    only = found.periods[0].duties[0]
    assert (only.primary, only.second, only.wide, only.second_angle) == ("A", None, None, 0.0)
    assert found.periods[0].second_angle == 0.0
