"""Lines of action on the plan and on the lead's page."""

from dataclasses import replace

import numpy as np
import pytest
from small_match import FAR_SIDE, SIDE, small_match

from standmark.cli.drawing.action_lines import REACH_SHARE, action_labels, action_marks
from standmark.cli.drawing.ground import fit_ground
from standmark.optimizer.match.match import FixedSpot, Rules
from standmark.optimizer.planning import plan

GROUND = fit_ground((-60.0, -40.0, 60.0, 40.0), (0.0, 0.0, 200.0, 150.0))


@pytest.fixture(scope="module")
def across():
    """Two cameras at halfway, one on each side, for goals and duels."""
    match = small_match(cameras=2, areas=(SIDE, FAR_SIDE), moments=("goal", "duel"), rules={"same_side": "warn"})
    spots = (FixedSpot(0.0, -38.0, 1.6), FixedSpot(0.0, 38.0, 1.6))
    return plan(replace(match, cameras=tuple(replace(c, fixed=s) for c, s in zip(match.cameras, spots, strict=True))))


def drawn(found, rule="warn"):
    match = replace(found.match, rules=Rules(same_side=rule))
    return list(action_marks(found.periods[0], match, GROUND)), action_labels(found.periods[0], match, GROUND)


def test_lines_that_cameras_cross_stand_out_and_are_named(across):
    marks, labels = drawn(across)
    long_line, *own = marks
    low, high = GROUND.point(-52.5, 0.0), GROUND.point(52.5, 0.0)
    assert long_line.style == "action"
    assert np.allclose(long_line.parts[0], [low, high])
    assert own
    crossed = [line for line in across.periods[0].lines if line.crossed_by]
    assert sum(mark.style == "crossed" for mark in own) == sum(len(line.courses) for line in crossed) > 0
    for mark in own:
        length_mm = float(np.hypot(*np.diff(mark.parts[0], axis=0)[0]))
        assert length_mm == pytest.approx(2 * REACH_SHARE * 105.0 * GROUND.mm_per_m)
    names = {"goal": "goals", "duel": "tackles and headers"}
    assert {label.rows[0][1] for label in labels} == {f"{names[line.moment]}: A, B" for line in crossed}


def test_lines_of_goals_fan_toward_the_goal(across):
    (goal,) = [line for line in across.periods[0].lines if line.moment == "goal" and line.attack == 1]
    turns = [np.sin(course.way_rad) * np.cos(course.way_rad) * np.sign(course.middle_m[1]) for course in goal.courses]
    assert len(turns) == 3
    assert turns[0] < -0.1  # the line of a shot from the right wing leads in toward the goal
    assert turns[2] < -0.1


def test_nothing_is_drawn_where_nobody_asked_or_one_camera_films(across):
    assert drawn(across, "off") == ([], [])
    alone = replace(across, match=replace(across.match, cameras=across.match.cameras[:1]))
    assert drawn(alone) == ([], [])
