"""Structure of the plan drawing and the maps: to scale, labels apart, everything on the page, told in words."""

from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from drawn_plans import default_plan, hostile_plan, placed_plan, stretches_of
from small_match import small_match

from standmark.cli.drawing.ground import SCALES, fit_ground
from standmark.cli.drawing.height import height_picture
from standmark.cli.drawing.map_page import maps_picture
from standmark.cli.drawing.maps import cells_shape
from standmark.cli.drawing.marks import Fill, Line, Words, hatch
from standmark.cli.drawing.palette import CAMERAS, STYLES, TONES
from standmark.cli.drawing.plan import ground_panel, panel_height_mm, plan_bounds, plan_picture
from standmark.cli.drawing.playing_area import spread_dots
from standmark.cli.drawing.svg import svg_document
from standmark.cli.drawing.text_size import text_width_mm
from standmark.cli.words.units import Units
from standmark.optimizer.match.match import AllowedArea, FixedSpot
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.picture.stretch import plan_stretches
from standmark.optimizer.planning import plan

PLANS = [placed_plan, hostile_plan, lambda: default_plan("football")]
BOX = (10.0, 10.0, 190.0, 150.0)


def shared_mm2(first, second):
    """Area that two boxes share."""
    across = min(first[0] + first[2], second[0] + second[2]) - max(first[0], second[0])
    down = min(first[1] + first[3], second[1] + second[3]) - max(first[1], second[1])
    return max(0.0, across) * max(0.0, down)


def word_box(words):
    """Box on the page that a line of text takes."""
    width = text_width_mm(words.text, words.size_mm, is_bold=STYLES[words.style].is_bold)
    left = words.x_mm - {"start": 0.0, "middle": width / 2, "end": width}[words.anchor]
    if words.turn_deg:
        return words.x_mm - words.size_mm, words.y_mm - width / 2, words.size_mm, width
    return left, words.y_mm - 0.75 * words.size_mm, width, 0.75 * words.size_mm


@pytest.mark.parametrize("make", PLANS)
def test_no_text_runs_into_another_or_off_the_page(make):
    plan = make()
    for picture in (plan_picture(plan, stretches_of(plan)), maps_picture(plan, stretches_of(plan))):
        texts = [mark for mark in picture.marks if isinstance(mark, Words)]
        boxes = [word_box(words) for words in texts]
        for (first, a), (second, b) in combinations(zip(texts, boxes, strict=True), 2):
            assert shared_mm2(a, b) < 0.3, (first.text, second.text)
        for words, (left, top, width, height) in zip(texts, boxes, strict=True):
            assert 0 <= left <= picture.width_mm - width, words.text
            assert 0 <= top <= picture.height_mm - height, words.text


@pytest.mark.parametrize("sport", ["football", "tennis"])
def test_playing_area_is_to_scale(sport):
    plan = placed_plan() if sport == "tennis" else default_plan(sport)
    ground, marks = ground_panel(plan, stretches_of(plan)[0], BOX, units=Units.METRIC)
    ring = next(mark for mark in marks if mark.style == "ground").rings[0]
    area = plan.match.sport.area
    assert np.ptp(ring[:, 0]) == pytest.approx(1000 * area.length_m / ground.scale)
    assert np.ptp(ring[:, 1]) == pytest.approx(1000 * area.width_m / ground.scale)
    assert ground.scale in SCALES


def test_camera_stands_where_the_plan_puts_it():
    plan = placed_plan()
    ground, marks = ground_panel(plan, stretches_of(plan)[0], BOX, units=Units.METRIC)
    for index, assignment in enumerate(stretches_of(plan)[0].first.assignments):
        body = next(mark for mark in marks if mark.style == f"camera-{index}").rings[0]
        x, y = ground.point(assignment.spot.x_m, assignment.spot.y_m)
        assert shapely.Polygon(body).contains(shapely.Point(x, y))
        assert any(isinstance(m, Words) and m.style == f"name-{index}" for m in marks)


def test_everything_on_the_ground_stays_in_its_window():
    plan = default_plan("football")
    _, marks = ground_panel(plan, stretches_of(plan)[0], BOX, units=Units.METRIC)
    window = shapely.box(BOX[0], BOX[1], BOX[0] + BOX[2], BOX[1] + BOX[3]).buffer(1e-6)
    for mark in marks:
        parts = mark.rings if isinstance(mark, Fill) else mark.parts if isinstance(mark, Line) else ()
        for part in parts:
            assert window.covers(shapely.MultiPoint(part)), mark.style


def test_dots_stand_for_equal_shares_of_what_matters():
    mesh = stretches_of(default_plan("football"))[0].coverage_map.mesh
    dots = spread_dots(mesh, n=400)
    for low, high in ((-60.0, -36.0), (-36.0, 36.0), (36.0, 60.0)):
        worth = mesh.worth[(mesh.xy_m[:, 0] > low) & (mesh.xy_m[:, 0] < high)].sum()
        share = ((dots[:, 0] > low) & (dots[:, 0] < high)).mean()
        assert share == pytest.approx(worth, abs=0.02)
    np.testing.assert_array_equal(dots, spread_dots(mesh, n=400))


def test_maps_cover_the_ground_on_which_anything_happens():
    plan = placed_plan()
    found = stretches_of(plan)[0].coverage_map
    whole = cells_shape(found.mesh, np.ones(len(found.mesh.worth), bool))
    assert whole.symmetric_difference(found.mesh.extent).area < 1e-6 * found.mesh.extent.area


@pytest.mark.parametrize("make", PLANS)
def test_svg_is_well_formed_told_in_words_and_free_of_markup(make):
    plan = make()
    picture = plan_picture(plan, stretches_of(plan))
    root = ElementTree.fromstring(svg_document(picture))
    names = [element.tag.split("}")[1] for element in root.iter()]
    assert "script" not in names
    assert root.find("{*}desc").text == picture.description
    assert plan.periods[0].assignments[0].lens.name in picture.description
    texts = ["".join(e.itertext()) for e in root.iter() if e.tag.endswith("}text")]
    assert any(plan.match.sport.name in text for text in texts)


def test_feet_are_shown_in_round_feet():
    plan = default_plan("football")
    texts = [m.text for m in plan_picture(plan, stretches_of(plan), units=Units.IMPERIAL).marks if isinstance(m, Words)]
    assert any(text.endswith(" ft") for text in texts)
    assert not any(text.endswith(" m") or " m up" in text for text in texts)


def test_largest_usual_scale_that_fits_is_chosen():
    bounds = (-60.0, -40.0, 60.0, 40.0)
    assert fit_ground(bounds, (0.0, 0.0, 190.0, 150.0)).scale == 750
    ground = fit_ground(plan_bounds(placed_plan()), BOX)
    assert ground.window == BOX


def test_hatch_lines_are_evenly_spaced_and_inside():
    shape = shapely.box(0, 0, 30, 20).difference(shapely.box(10, 5, 20, 15))
    lines = hatch(shape, spacing_mm=2.0, turn_deg=45)
    assert all(shape.buffer(1e-9).covers(shapely.LineString(line)) for line in lines)
    offs = sorted({round(float(line[0] @ (np.sqrt(0.5), np.sqrt(0.5))), 6) for line in lines})
    assert np.allclose(np.diff(offs), 2.0)


def grey(colour):
    """Lightness of a colour in print without colour (CIE L*)."""
    parts = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return 116 * np.cbrt(linear @ (0.2126, 0.7152, 0.0722)) - 16


def test_tones_are_told_apart_in_grey_by_equal_steps():
    steps = np.diff([grey(tone) for tone in TONES])
    assert (steps < -8).all()
    assert np.ptp(steps) < 1


def test_cameras_differ_by_more_than_colour():
    assert len({STYLES[f"ray-{i}"].dash_mm for i in range(len(CAMERAS))}) == len(CAMERAS)


@pytest.mark.parametrize("width_mm", [190.0, 90.0])
@pytest.mark.parametrize(("sport", "cameras"), [("netball", 1), ("netball", 2), ("tennis", 1), ("futsal", 2)])
def test_labels_of_cameras_leave_areas_and_drifts_to_be_seen(sport, cameras, width_mm):
    plan = default_plan(sport, cameras)
    stretch = stretches_of(plan)[0]
    box = (10.0, 10.0, width_mm, panel_height_mm(plan, width_mm, most_mm=190.0))
    ground, marks = ground_panel(plan, stretch, box, units=Units.METRIC)
    plates = [shapely.Polygon(mark.rings[0]) for mark in marks if mark.style == "plate"]
    assert len(plates) >= cameras  # and moments with cameras on opposite sides
    for area in plan.match.venue.allowed:
        assert sum(plate.intersection(ground.shape(area.shape)).area for plate in plates) < 1.0, area.key
    drifts = [
        shapely.LineString(part) for mark in marks if mark.style[:6] in ("drift-", "strip-") for part in mark.parts
    ]
    assert drifts
    assert not any(plate.intersects(drift) for plate in plates for drift in drifts)


def test_there_is_room_under_the_ground_for_the_label_of_a_camera_at_its_edge():
    match = default_match("football", preset="7v7")
    rope = AllowedArea("rope", "parents' rope", shapely.box(-25.0, -22.29, 25.0, -21.29), (1.2, 1.2))
    camera = replace(match.cameras[0], areas=("rope",), lens_height_m=(1.2, 1.2))
    found = plan(replace(match, venue=replace(match.venue, allowed=(rope,)), cameras=(camera,), cover="ours"))
    box = (0.0, 0.0, 90.0, panel_height_mm(found, 90.0, most_mm=96.0))
    ground, marks = ground_panel(found, plan_stretches(found)[0], box, units=Units.METRIC)
    (plate,) = (shapely.Polygon(mark.rings[0]) for mark in marks if mark.style == "plate")
    assert not plate.intersects(ground.shape(match.sport.area.outline))


@pytest.mark.parametrize("found", [placed_plan, lambda: default_plan("netball", 2)])
def test_all_words_of_plan_maps_and_heights_are_nine_points_on_paper(found):
    plan = found()
    pictures = [draw(plan, stretches_of(plan)) for draw in (plan_picture, maps_picture)]
    for picture in (*pictures, height_picture(plan)):
        assert picture.width_mm <= 210.0
        for mark in picture.marks:
            is_letter = isinstance(mark, Words) and len(mark.text) == 1  # of a camera, the sign of a danger
            assert not isinstance(mark, Words) or is_letter or mark.size_mm >= 9 * 25.4 / 72, mark.text
            if isinstance(mark, Words) and not mark.turn_deg:
                wide = text_width_mm(mark.text, mark.size_mm, is_bold=STYLES[mark.style].is_bold)
                left = mark.x_mm - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor] * wide
                assert 0 <= left <= left + wide <= picture.width_mm, mark.text


def test_legend_tells_only_what_is_drawn():
    match = default_match("football")
    camera = replace(match.cameras[0], fixed=FixedSpot(-20.0, 38.0, 1.6))
    fixed = plan(replace(match, cameras=(camera,)), advice="quick")
    free = default_plan("football", 2)
    told = [
        {mark.text for mark in plan_picture(p, stretches_of(p)).marks if isinstance(mark, Words)} for p in (fixed, free)
    ]
    assert "keep clear" in told[0]
    assert not {"if refused", "shift that costs under 1 %, under 3 %", "handover line"} & told[0]
    assert {"if refused", "shift that costs under 1 %, under 3 %", "handover line"} <= told[1]


def test_shade_of_stands_is_drawn_and_told_where_there_is_any():
    sunny = placed_plan()
    match = replace(sunny.match, venue=replace(sunny.match.venue, stand_height_m={"-x": 9.0}))
    for shaded, is_told in ((replace(sunny, match=match), True), (sunny, False)):
        marks = plan_picture(shaded, stretches_of(sunny)).marks
        assert any(mark.style == "shade" for mark in marks) == is_told
        told = any(isinstance(mark, Words) and "shade of stands" in mark.text for mark in marks)
        assert told == is_told


@pytest.mark.parametrize("width_mm", [190.0, 90.0])
def test_signs_of_danger_lie_over_labels_and_are_covered_by_none(width_mm):
    match = small_match(moments=("goal",))
    behind = tuple(replace(camera, fixed=FixedSpot(-57.0, 0.0, 1.2)) for camera in match.cameras)
    found = plan(replace(match, cameras=behind))
    box = (0.0, 0.0, width_mm, panel_height_mm(found, width_mm, most_mm=150.0))
    _, marks = ground_panel(found, plan_stretches(found)[0], box, units=Units.METRIC)
    styles = [mark.style for mark in marks]
    sign = marks[styles.index("danger")]
    assert styles.index("danger") > max(i for i, style in enumerate(styles) if style == "plate")
    plates = [shapely.Polygon(mark.rings[0]) for mark in marks if mark.style == "plate"]
    assert not any(plate.intersection(shapely.Polygon(sign.rings[0])).area > 1e-6 for plate in plates)
