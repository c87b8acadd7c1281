"""Pictures of scores, comparisons and zones: everything is there, at its place, and only what is there."""

import json
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from small_match import SIDE, small_match, station_at

from standmark.cli.drawing.chart import Bar, bar_marks, letter_marks, letter_row_mm
from standmark.cli.drawing.compare import compare_picture
from standmark.cli.drawing.marks import Fill, Line, Words
from standmark.cli.drawing.score import panels, score_picture
from standmark.cli.drawing.svg import svg_document
from standmark.cli.drawing.zones import zones_picture
from standmark.cli.exports.plan_json import plan_document
from standmark.cli.input.plan_file import PlanFile, plan_outline
from standmark.cli.input.zone_events import added, no_counts, zone_estimates
from standmark.optimizer.comparison import compare
from standmark.optimizer.planning import plan
from standmark.optimizer.scoring.events import UNKNOWN, Events
from standmark.optimizer.scoring.verdict import judge
from standmark.sports.library import load_sport


def words(picture):
    return [mark.text for mark in picture.marks if isinstance(mark, Words)]


def styles(picture):
    return [mark.style for mark in picture.marks]


def inside(picture):
    for mark in picture.marks:
        parts = mark.rings if isinstance(mark, Fill) else mark.parts if isinstance(mark, Line) else ()
        for xy in parts:
            assert xy.min() >= -1e-6
            assert (xy.max(axis=0) <= (picture.width_mm + 1e-6, picture.height_mm + 1e-6)).all()
    return True


@pytest.fixture(scope="module")
def verdict():
    match = small_match(areas=(SIDE,), moments=("goal", "shot"))
    return judge(match, [(station_at(match, 38, -38),)] * 2)


def test_a_score_shows_choice_best_habits_and_the_change(verdict):
    picture = score_picture(verdict)
    shown = words(picture)
    assert inside(picture)
    assert panels(verdict) == [[0, 1]]
    assert styles(picture).count("camera-0") == 1 + 1 + 5  # on the ground, its bar, five factors
    assert styles(picture).count("best") == 1
    assert "these positions" in shown
    assert "best plan" in shown
    assert f"worth {100 * verdict.changes[0].gain:.1f} % more" in shown
    for number, habit in enumerate(verdict.habits, start=1):
        assert str(number) in shown
        assert f"{number} {habit.name}"[:30] in " ".join(shown)
    mine = verdict.score
    assert f"{100 * mine.seen:.0f} %, {100 * mine.faces:.0f} % with faces" in shown
    assert round(100 * mine.seen) != round(100 * mine.coverage)
    ElementTree.fromstring(svg_document(picture))


def test_bars_are_as_long_as_their_shares():
    bars = [Bar("half", 0.5, "camera-0"), Bar("all", 1.0, "obstacle", mark=0.25, interval=(0.2, 0.3))]
    marks = list(bar_marks(bars, 10, 20, names_mm=30, width_mm=100))
    widths = [np.ptp(m.rings[0][:, 0]) for m in marks if isinstance(m, Fill) and m.style in ("camera-0", "obstacle")]
    assert widths == pytest.approx([50, 100])
    (interval,) = (m for m in marks if isinstance(m, Line) and m.style == "strip-1")
    assert interval.parts[0][:, 0] == pytest.approx([60, 70])
    (diamond,) = (m for m in marks if isinstance(m, Fill) and m.style == "subject")
    assert diamond.rings[0][:, 0].mean() == pytest.approx(65, abs=1)


def test_letters_of_cameras_do_not_hide_each_other():
    rows = [("size", [("A", 0.8), ("B", 0.8), ("C", 0.8)])]
    marks = [m for m in letter_marks(rows, 0, 0, names_mm=20, width_mm=100) if m.style.startswith("camera-")]
    middles = [m.rings[0].mean(axis=0) for m in marks]
    assert all(np.hypot(*(a - b)) > 3 for i, a in enumerate(middles) for b in middles[:i])
    assert letter_row_mm(3) > letter_row_mm(1)


def test_a_comparison_shows_both_plans_and_every_moment():
    one, two = (small_match(areas=(SIDE,), moments=("goal", "shot"), cameras=n) for n in (1, 2))
    difference = compare(plan(one), plan(two))
    picture = compare_picture(difference, load_sport("football"))
    assert inside(picture)
    shown = words(picture)
    assert {"Goal", "Shot"} <= set(shown)
    seen = [plan(match).periods[0].seen_by_moment for match in (one, two)]
    assert difference.seen_by_moment == {key: pytest.approx((seen[0][key], seen[1][key])) for key in ("goal", "shot")}
    assert styles(picture).count("camera-0") == 1 + 1 + 2  # key, disc on the ground, a disc a moment
    assert styles(picture).count("fallback-1") == 1 + 2 + 2
    without = compare_picture(difference, None)
    assert {"goal", "shot"} <= set(words(without))
    assert "ground" not in styles(without)


def test_a_comparison_keeps_the_share_of_plans_with_long_names():
    found = plan(
        replace(
            small_match(moments=("goal",)),
            title="A title that is far too long to stand beside a ground, as titles of finals are",
        )
    )
    file = PlanFile.model_validate(json.loads(json.dumps(plan_document(found))))
    picture = compare_picture(compare(plan_outline(file), plan_outline(file)), found.match.sport)
    for label in ("first", "second"):
        (told,) = [text for text in words(picture) if text.startswith(f"{label}: ")]
        assert told.endswith("…")
        assert f"you get {100 * found.seen:.0f} %" in told


def test_zones_show_events_old_and_new():
    sport = load_sport("football")
    n, rng = 400, np.random.default_rng(1)
    index = [m.key for m in sport.moments].index("goal")
    xy_m = np.column_stack([rng.normal(45, 3, n).clip(0, 52), rng.normal(0, 4, n)])
    events = Events(xy_m, np.full(n, index), np.full(n, UNKNOWN), np.ones(n), np.arange(n) % 20)
    counts = added(no_counts(sport), events)
    estimates = zone_estimates(counts, most=8)
    assert set(estimates) == {"goal"}
    picture = zones_picture(sport, counts, estimates)
    assert inside(picture)
    assert next(t for t in words(picture) if "events" in t) == "Goal: 400 events"
    assert styles(picture).count("ground") == 3
    assert any(style == "heat-5" for style in styles(picture))
