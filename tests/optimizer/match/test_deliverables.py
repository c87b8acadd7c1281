"""What the trade expects of each deliverable, asked of the plan on one ground with every kind of place.

Expectations are common practice unless a source is named beside them.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
import shapely
from small_match import small_match

from standmark.geometry.view.line_of_sight import lines_of_sight
from standmark.optimizer.match.match import AllowedArea, FixedSpot
from standmark.optimizer.match.presets import deliverable_for, lens_from_words
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan
from standmark.optimizer.value.size import look_down_share


def line(key, first, last, height_m):
    return AllowedArea(key, key, shapely.LineString([first, last]), (height_m, height_m))


# a 105 x 68 m pitch: pitch side all round, a stand along one side, a stand behind each goal
PLACES = (
    line("end-low-plus", (57, -30), (57, 30), 1.0),
    line("end-low-minus", (-57, -30), (-57, 30), 1.0),
    line("touchline", (-50, -38.5), (50, -38.5), 1.6),
    line("stand", (-50, -54), (50, -54), 12.0),
    line("stand-plus", (68, -20), (68, 20), 8.0),
    line("stand-minus", (-68, -20), (-68, 20), 8.0),
)


@lru_cache
def planned(deliverable, cover="ours"):
    match = default_match("football")
    venue = replace(match.venue, allowed=PLACES, respect_keep_clear=False)
    lenses = ("24-70", "70-200", "100-400") if deliverable == "slow-motion" else ("16-35", "24-70", "70-200")
    camera = replace(match.cameras[0], lenses=tuple(map(lens_from_words, lenses)))
    return plan(
        replace(
            match,
            venue=venue,
            cameras=(camera,),
            cover=cover,
            deliverable=deliverable_for(deliverable, match.sport.area),
        )
    )


def spot(deliverable, cover="ours", period=0):
    return planned(deliverable, cover).periods[period].assignments[0].spot


def test_highlights_of_one_side_are_filmed_from_the_end_it_attacks():
    # "staying a half at the attacked end beats rotating": Shooting live football from the touchline, 2026
    first, second = spot("highlights"), spot("highlights", period=1)
    assert first.x_m > 52.5
    assert second.x_m < -52.5  # ends are changed


def test_highlights_of_both_sides_are_filmed_from_near_halfway():
    # one camera for both goals stands near halfway (common practice)
    assert abs(spot("highlights", "both").x_m) < 15
    assert spot("highlights", "both").y_m < -34


def test_analysis_is_filmed_wide_from_high_up_near_halfway():
    # coaches want the whole team shape from an elevated spot, wider than television: reference practice of coach's
    # film; "raised, near halfway": German fistball league, streaming guide
    for cover in ("ours", "both"):
        found = planned("analysis", cover).periods[0].assignments[0]
        assert found.spot.area == "stand"
        assert abs(found.spot.x_m) < 25
    together = planned("analysis", "both").periods[0].assignments[0]
    assert abs(together.spot.x_m) < 5
    assert together.focal_mm[1] < planned("highlights", "both").periods[0].assignments[0].focal_mm[1]


def test_analysis_holds_a_slice_of_the_pitch_and_ignores_cutaways():
    wish = deliverable_for("analysis", default_match("football").sport.area)
    assert wish.least_width_m == pytest.approx(42.0)  # two fifths of 105 m
    assert not {"celebration", "warm-up", "line-up"} & set(planned("analysis").periods[0].by_moment)


def test_slow_motion_is_filmed_low_and_tight_from_the_attacked_end():
    # low tight end cameras and those level with the penalty area feed most replays (common practice)
    low = spot("slow-motion")
    assert low.z_m < 2
    assert low.x_m > 52.5 - 20


def test_vertical_clips_are_filmed_nearer_the_attacked_end_with_a_shorter_lens_from_the_same_spot():
    # the narrow frame holds play that runs at the lens, not across it (common practice); yet what jumps to a shot
    # comes across the goal at 15 m/s and along the field at 8, as measured, so the goal line itself holds less
    assert spot("vertical").x_m > spot("highlights", "both").x_m + 20
    match = small_match(areas=(PLACES[2],), moments=("goal", "shot"))
    camera = replace(match.cameras[0], fixed=FixedSpot(30.0, -38.5, 1.6))
    focal = {
        key: plan(replace(match, cameras=(camera,), deliverable=deliverable_for(key, match.sport.area)))
        .periods[0].assignments[0].focal_mm
        for key in ("highlights", "vertical")
    }  # fmt: skip
    assert focal["vertical"][0] < focal["highlights"][0]


def test_looking_down_is_worth_what_the_deliverable_says():
    away = np.array([[100.0, 0.0, 0.0], [100.0, 0.0, -100 * np.tan(np.radians(12))], [100.0, 0.0, -1e6]])
    sight = lines_of_sight([(0.0, 0.0, 0.0)], away)
    area = default_match("football").sport.area
    assert look_down_share(sight, deliverable_for("analysis", area))[0] == pytest.approx([0.25, 1.0, 1.0], abs=1e-3)
    assert look_down_share(sight, deliverable_for("highlights", area)) is None  # any angle will do
    level, down, straight = look_down_share(sight, deliverable_for("slow-motion", area))[0]
    assert level == 1.0
    assert 0.8 < down < 1.0
    assert straight < 0.01
