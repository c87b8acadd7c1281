"""Advice against direct evaluation of the same question, and against cases that symmetry settles."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.handover import zero_segments
from standmark.optimizer.advice.refusal import place_kinds
from standmark.optimizer.match.match import AllowedArea, FixedSpot
from standmark.optimizer.planning import plan
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import Station, period_plan, spot_at


def with_camera_at(found, camera, x_m, y_m, z_m, lens=None, period=0):
    """Coverage of a period with one camera of a plan elsewhere, worked out from the positions alone."""
    match, when = found.match, found.match.sport.periods[period]
    stations = []
    for c, a in zip(match.cameras, found.periods[period].assignments, strict=True):
        at = spot_at("", x_m, y_m, z_m) if c.name == camera else a.spot
        glass = lens if lens is not None and c.name == camera else a.lens
        stations.append(Station(c, next(o for o in camera_outfits(match, c) if o.lens == glass), at))
    targets, around = period_targets(match, when), period_surroundings(match, when)
    return period_plan(match, when, stations, targets=targets, around=around).coverage


@pytest.fixture(scope="module")
def two():
    rules = {"second_angle_give": 0.0}  # so that the plan is the best there is
    return plan(small_match(cameras=2, areas=(SIDE, EAST, WEST, FAR_SIDE), rules=rules), advice="quick")


@pytest.fixture(scope="module")
def ours():
    return plan(small_match(areas=(EAST, WEST), moments=("goal", "shot"), cover="ours"), advice="quick")


def test_every_spot_has_a_value_and_the_plan_has_the_best(two):
    for told in two.advice.stages[0].cameras:
        assert told.spots.coverage.max() == pytest.approx(two.coverage, abs=1e-6)
        assert len(told.spots.coverage) > 60
    told = two.advice.stages[0].cameras[0]
    pick = len(told.spots.coverage) // 3
    best = max(
        with_camera_at(two, told.camera, *told.spots.xyz_m[pick], lens=lens) for lens in two.match.cameras[0].lenses
    )
    assert told.spots.coverage[pick] == pytest.approx(best, abs=1e-6)


def test_fallback_is_far_enough_the_best_there_and_its_loss_is_right(two):
    period = two.periods[0]
    for told, planned in zip(two.advice.stages[0].cameras, period.assignments, strict=True):
        away = told.fallback
        xy = np.array([away.spot.x_m - planned.spot.x_m, away.spot.y_m - planned.spot.y_m])
        assert np.hypot(*xy) >= 8.0 - 1e-9
        again = with_camera_at(two, told.camera, away.spot.x_m, away.spot.y_m, away.spot.z_m, lens=away.lens)
        assert away.coverage == pytest.approx(again, abs=1e-6)
        assert away.loss == pytest.approx(period.coverage - again, abs=1e-6)
        far = np.hypot(*(told.spots.xyz_m[:, :2] - [planned.spot.x_m, planned.spot.y_m]).T) >= 8.0
        assert away.coverage >= told.spots.coverage[far].max() - 1e-6
        assert told.other_area.spot.area != planned.spot.area


def test_drifting_costs_what_it_says(two):
    left_of = {"east": (0, -1), "west": (0, 1), "south": (-1, 0), "north": (1, 0)}  # facing the pitch
    checked = 0
    for told, planned in zip(two.advice.stages[0].cameras, two.periods[0].assignments, strict=True):
        assert {d.direction for d in told.tolerance} <= {"left", "right"}  # a line has no back, and one height
        spot, way = planned.spot, np.array(left_of[planned.spot.area])
        for drift in told.tolerance:
            if drift.one_point_m is not None:
                x, y = way * {"left": 1, "right": -1}[drift.direction] * drift.one_point_m + [spot.x_m, spot.y_m]
                moved = with_camera_at(two, told.camera, x, y, spot.z_m, lens=planned.lens)
                assert two.periods[0].coverage - moved == pytest.approx(0.01, abs=0.002)
                assert drift.three_points_m is None or drift.three_points_m > drift.one_point_m
                checked += 1
    assert checked >= 1


def test_refusing_an_area_costs_what_planning_without_it_costs(two):
    by_area = {r.area: r for r in two.advice.refusals}
    used = {a.spot.area for a in two.periods[0].assignments}
    for area in two.match.venue.allowed:
        if area.key not in used:
            assert by_area[area.key].loss == 0.0
            continue
        left = replace(two.match.venue, allowed=tuple(a for a in two.match.venue.allowed if a is not area))
        without = plan(replace(two.match, venue=left))
        assert by_area[area.key].coverage == pytest.approx(without.coverage, abs=0.003)  # that one is refined anew
        assert by_area[area.key].coverage <= without.coverage + 1e-6


def test_refusing_the_only_area_leaves_no_plan():
    found = plan(small_match(areas=(EAST,)), advice="quick")
    assert found.advice.refusals[0].loss is None
    assert found.advice.stages[0].cameras[0].other_area is None


def test_ends_change_so_the_camera_behind_the_attacked_goal_moves(ours):
    first, second = (p.assignments[0].spot for p in ours.periods)
    assert (first.area, second.area) == ("east", "west")
    interval = ours.advice.intervals[0]
    walk = interval.moves[0].walk  # round the corners of a pitch of 105 x 68 m, not across it
    assert walk.length_m > np.hypot(second.x_m - first.x_m, second.y_m - first.y_m) + 2
    assert not shapely.LineString(walk.points_m).crosses(ours.match.sport.area.outline)
    lenses = ours.match.cameras[0].lenses
    stayed = max(with_camera_at(ours, "A", first.x_m, first.y_m, first.z_m, lens=lens, period=1) for lens in lenses)
    assert interval.gain == pytest.approx(ours.periods[1].coverage - stayed, abs=1e-6)
    assert interval.moves[0].gain == pytest.approx(interval.gain, abs=1e-6)
    assert interval.gain > 0.05


def test_when_both_halves_ask_the_same_moving_gains_nothing(two):
    assert two.advice.intervals[0].gain == pytest.approx(0.0, abs=1e-9)
    assert all(m.walk.length_m == 0.0 for m in two.advice.intervals[0].moves)


def test_toss_unknown_both_outcomes_are_told_with_what_to_switch():
    ends = {"areas": (EAST, WEST), "moments": ("goal", "shot")}
    found = plan(small_match(**ends, cover="ours", first_attack="unknown"), advice="quick")
    plus, minus = found.advice.toss
    assert (plus.first_attack, minus.first_attack) == ("+x", "-x")
    assert plus.best == pytest.approx(minus.best, abs=1e-3)  # the ground is the same from both ends
    for outcome in found.advice.toss:
        assert outcome.best >= outcome.stay - 1e-9
        first = next(s for s in outcome.switches if s.period == "first-half")
        assert first.spot.area == {"+x": "east", "-x": "west"}[outcome.first_attack]
    # halves are as long as each other, so over the match staying is worth the same either way
    assert plus.stay + minus.stay == pytest.approx(2 * found.coverage, abs=1e-6)


def test_toss_does_not_matter_when_both_sides_weigh_the_same():
    assert plan(small_match(first_attack="unknown"), advice="quick").advice.toss == ()


def test_a_short_lens_is_limited_by_size_and_a_longer_one_fixes_it():
    match = small_match(areas=(SIDE,), moments=("goal",))
    short = replace(match.cameras[0], lenses=(Lens("24-70", (24.0, 70.0)),))
    told = plan(replace(match, cameras=(short,)), advice="quick").advice.stages[0].cameras[0].limits
    assert told.factor == "size"
    assert told.remedy.change == "longer lens"
    assert told.remedy.amount == pytest.approx(105.0)
    assert told.remedy.gain > 0.01
    assert all(cost >= -1e-9 for cost in told.cost.values())


def test_more_kit_and_more_cameras_never_lower_coverage():
    hire = (Lens("100-400", (100.0, 400.0), (4.5, 5.6)), Lens("16-35", (16.0, 35.0)))
    found = plan(small_match(moments=("goal", "duel"), hire=hire), advice="full")
    kit = {k.lens.name: k for k in found.advice.kit}
    assert set(kit) == {"100-400", "16-35", "70-200 with 2x"}
    assert all(k.gain >= 0.0 and k.proven for k in kit.values())
    assert kit["100-400"].gain > kit["16-35"].gain
    richer = replace(found.match.cameras[0], lenses=(*found.match.cameras[0].lenses, hire[0]))
    fresh = plan(replace(found.match, cameras=(richer,)))
    assert kit["100-400"].coverage == pytest.approx(fresh.coverage, abs=0.006)  # on the places of the plan as it is
    assert kit["100-400"].coverage <= fresh.coverage + 1e-6
    curve = found.advice.curve
    assert [p.n_cameras for p in curve] == [1, 2, 3, 4]
    assert curve[0].coverage == pytest.approx(found.coverage, abs=1e-6)
    assert all(b.coverage >= a.coverage for a, b in pairwise(curve))
    second = plan(small_match(cameras=2, moments=("goal", "duel")))
    assert curve[1].coverage == pytest.approx(second.coverage, abs=0.006)


def test_next_camera_adds_what_planning_it_there_adds(two):
    addition = two.advice.stages[0].next_camera
    third = replace(
        two.match.cameras[0], name="C", fixed=FixedSpot(addition.spot.x_m, addition.spot.y_m, addition.spot.z_m)
    )
    kept = tuple(
        replace(c, fixed=FixedSpot(a.spot.x_m, a.spot.y_m, a.spot.z_m), lenses=(a.lens,))
        for c, a in zip(two.match.cameras, two.periods[0].assignments, strict=True)
    )
    more = plan(replace(two.match, cameras=(*kept, replace(third, lenses=(addition.lens,)))))
    assert more.periods[0].coverage - two.periods[0].coverage == pytest.approx(addition.gain, abs=1e-5)


def test_zero_line_of_a_plane_is_straight_and_where_it_should_be():
    x, y = np.linspace(-3, 3, 7), np.linspace(0, 2, 3)
    segments = zero_segments(x, y, np.meshgrid(x - 0.3, y, indexing="ij")[0])
    assert segments[:, :, 0] == pytest.approx(0.3)
    length = np.hypot(*(segments[:, 1] - segments[:, 0]).T).sum()
    assert length == pytest.approx(2.0)
    assert zero_segments(x, y, np.ones((7, 3))).shape == (0, 2, 2)


def test_two_cameras_that_mirror_each_other_hand_over_at_halfway():
    rail = AllowedArea("rail", "rail", shapely.LineString([(-57, -8), (57, -8)]), (1.2, 1.2))
    match = small_match(cameras=2, areas=(rail,), moments=("goal", "duel"))
    spots = ((57.0, 0.0, 1.2), (-57.0, 0.0, 1.2))
    cameras = tuple(replace(c, fixed=FixedSpot(*s)) for c, s in zip(match.cameras, spots, strict=True))
    found = plan(replace(match, cameras=cameras), advice="quick")
    lines = found.advice.handovers[0]
    assert lines
    assert lines[0].cameras == ("A", "B")
    assert np.abs(np.array(lines[0].points_m)[:, 0]).max() < 1.5
    assert shapely.LineString(lines[0].points_m).length > 50  # right across the pitch


def test_one_camera_hands_over_to_nobody(ours):
    assert ours.advice.handovers == ((), ())


def test_after_the_toss_cameras_alike_stay_at_their_own_end():
    # a camera behind each goal: whatever the toss, nobody crosses the ground to swap with the other
    ends = {"areas": (EAST, WEST), "moments": ("goal", "shot", "duel")}
    found = plan(small_match(cameras=2, **ends, cover="ours", first_attack="unknown"), advice="quick")
    here = {a.camera: a.spot.area for a in found.periods[0].assignments}
    assert set(here.values()) == {"east", "west"}
    for outcome in found.advice.toss:
        assert {s.camera: s.spot.area for s in outcome.switches if s.period == "first-half"} == here
        assert max(s.walk.length_m for s in outcome.switches) < 24.0  # along its own end at most


def test_a_drift_is_told_to_the_very_edge_of_the_area():
    strip = AllowedArea("strip", "strip", shapely.box(-12.37, -41.0, 40.0, -38.0), (1.6, 2.03))
    match = small_match(areas=(strip,), moments=("goal", "duel"))
    camera = replace(match.cameras[0], areas=("strip",), lens_height_m=(1.6, 2.03))
    found = plan(replace(match, cameras=(camera,)), advice="quick")
    for stage, period in zip(found.advice.stages, found.periods, strict=False):
        spot = period.assignments[0].spot
        edges = {
            "left": spot.x_m + 12.37, "right": 40.0 - spot.x_m, "back": spot.y_m + 41.0, "forward": -38.0 - spot.y_m,
            "up": 2.03 - spot.z_m, "down": spot.z_m - 1.6,
        }  # fmt: skip
        for drift in stage.cameras[0].tolerance:
            longest = 16.0 if drift.direction in ("up", "down") else 40.0
            assert drift.edge_m == pytest.approx(min(edges[drift.direction], longest), abs=0.02), drift.direction


def test_a_fixed_camera_drifts_nowhere():
    match = small_match()
    camera = replace(match.cameras[0], fixed=FixedSpot(-20.0, 41.0, 1.6))
    found = plan(replace(match, cameras=(camera,)), advice="quick")
    assert found.advice.stages[0].cameras[0].tolerance == ()


def test_refusing_a_kind_of_place_takes_all_of_its_pieces(two):
    match = two.match
    kinds = place_kinds(match)
    assert {kind: [match.venue.allowed[i].key for i in own] for kind, own in kinds.items()} == {
        "+y": ["north"], "-y": ["south"], "ends": ["east", "west"]
    }  # fmt: skip
    by_kind = {r.kind: r for r in two.advice.kind_refusals}
    by_area = {r.area: r for r in two.advice.refusals}
    sides = replace(match.venue, allowed=tuple(a for a in match.venue.allowed if a.key in ("north", "south")))
    without = plan(replace(match, venue=sides))
    assert by_kind["ends"].coverage == pytest.approx(without.coverage, abs=0.003)  # that one is refined anew
    assert by_kind["ends"].loss >= max(by_area["east"].loss, by_area["west"].loss) - 1e-9
    assert by_kind["-y"].loss == pytest.approx(by_area["south"].loss, abs=1e-9)


def test_the_best_plan_without_each_camera(two):
    one = plan(small_match(areas=(SIDE, EAST, WEST, FAR_SIDE), rules={"second_angle_give": 0.0}))
    assert [gone.camera for gone in two.advice.lost] == ["A", "B"]
    for gone, kept in zip(two.advice.lost, ("B", "A"), strict=True):
        assert gone.coverage == pytest.approx(one.coverage, abs=0.003)
        assert gone.loss == pytest.approx(two.coverage - gone.coverage, abs=1e-6)
        assert {post.camera for post in gone.posts} == {kept}
        assert [key for post in gone.posts for key in post.periods] == ["first-half", "second-half"]
        post = gone.posts[0]
        there = with_camera_at(one, "A", post.spot.x_m, post.spot.y_m, post.spot.z_m, lens=post.lens)
        assert there == pytest.approx(gone.coverage, abs=1e-5)


def test_one_camera_cannot_be_lost(ours):
    assert ours.advice.lost == ()
