"""Cameras of an earlier plan stay where they stood, unless leaving pays."""

import math
from dataclasses import replace

import pytest
import shapely
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.optimizer.choice.kept import LEAVES_FOR, Kept
from standmark.optimizer.match.match import ForbiddenArea
from standmark.optimizer.planning import plan

AREAS = (SIDE, FAR_SIDE, EAST, WEST)


def places(found):
    return tuple(
        Kept(a.camera, p.period.key, (a.spot.x_m, a.spot.y_m, a.spot.z_m)) for p in found.periods for a in p.assignments
    )


@pytest.fixture(scope="module")
def two():
    return plan(small_match(cameras=2, areas=AREAS))


def test_a_third_camera_does_not_move_the_first_two(two):
    more = small_match(cameras=3, areas=AREAS)
    free, kept = plan(more), plan(more, keep=places(two))
    for before, after in zip(two.periods, kept.periods, strict=True):
        for i, name in enumerate(("A", "B")):
            if name in dict(kept.held)[after.period.key]:
                assert after.assignments[i].spot == before.assignments[i].spot
    n_left = sum(2 - len(names) for _, names in kept.held)
    assert free.coverage - kept.coverage <= LEAVES_FOR * 2 + more.rules.second_angle_give + 1e-6
    if free.upper_bound - kept.coverage < LEAVES_FOR:
        assert n_left == 0
    assert kept.given_up.kept <= 2 * LEAVES_FOR + 1e-9


def test_names_swapped_in_the_earlier_plan_stay_swapped(two):
    other = {"A": "B", "B": "A"}
    swapped = tuple(replace(k, camera=other[k.camera]) for k in places(two))
    kept = plan(two.match, keep=swapped)
    assert all(set(names) == {"A", "B"} for _, names in kept.held)
    for before, after in zip(two.periods, kept.periods, strict=True):
        assert [a.spot for a in after.assignments] == [a.spot for a in reversed(before.assignments)]
    assert kept.coverage == pytest.approx(two.coverage, abs=1e-6)


def test_a_camera_leaves_a_poor_place_and_one_that_is_closed(two):
    spot = two.periods[0].assignments[1].spot
    on_side = abs(spot.y_m) > 37
    x_m = spot.x_m - math.copysign(3.0, spot.x_m) if on_side else spot.x_m
    y_m = spot.y_m if on_side else spot.y_m + 3.0 if spot.y_m < -15 else spot.y_m - 3.0
    poor = tuple(replace(k, xyz_m=(x_m, y_m, spot.z_m)) if k.camera == "A" else k for k in places(two))  # beside B
    left = plan(two.match, keep=poor)
    assert all("A" not in names for _, names in left.held)
    assert left.coverage >= two.coverage - LEAVES_FOR - two.match.rules.second_angle_give - 1e-6
    closed = ForbiddenArea("closed", shapely.Point(spot.x_m, spot.y_m).buffer(3.0))
    venue = replace(two.match.venue, forbidden=(closed,))
    moved = plan(replace(two.match, venue=venue), keep=places(two))
    assert all("B" not in names for _, names in moved.held)
