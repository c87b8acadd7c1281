"""Frames against points projected by OpenCV, and against what the numbers beside them say."""

import cv2
import numpy as np
import pytest
import shapely

from standmark.cli.drawing.frame import figure_panels, frame_lines, frame_marks, frame_picture
from standmark.cli.drawing.ground import cut
from standmark.cli.drawing.marks import Fill, Line, Words
from standmark.cli.drawing.scene import figure_ring, match_scene
from standmark.cli.drawing.text_size import text_width_mm
from standmark.cli.words.units import Units
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.picture.frame import Frame, likeliest_moment, take_frame
from standmark.optimizer.picture.people import people_at

BOX = (0.0, 0.0, 160.0, 90.0)


def penalty_frame(sport: str = "football") -> Frame:
    match = default_match(sport)
    moment = next(m for m in match.sport.moments if m.key == "penalty-kick")
    return take_frame((57.5, 12.0, 1.6), (41.5, 0.0), moment=moment, lens=Lens("70-200", (70, 200)),
                      mode=match.cameras[0].mode, deliverable=match.deliverable)  # fmt: skip


def opencv_page_mm(frame: Frame, xyz_m: np.ndarray) -> np.ndarray:
    """Places on a page of 160 x 90 mm, projected by OpenCV from the position and the point looked at alone."""
    lens = np.array(frame.view.xyz_m)
    ahead = np.array([*frame.at_m, sum(frame.moment.action_height_m) / 2]) - lens
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, (0, 0, 1))
    right /= np.linalg.norm(right)
    axes = np.array([right, np.cross(ahead, right), ahead])
    per_mm = 160.0 / frame.view.mode.width_mm * frame.view.focal_mm
    matrix = np.array([[per_mm, 0, 80.0], [0, per_mm, 45.0], [0, 0, 1]])
    turn, _ = cv2.Rodrigues(axes)
    return cv2.projectPoints(xyz_m, turn, -axes @ lens, matrix, None)[0].reshape(-1, 2)


def test_subject_stands_where_opencv_projects_it() -> None:
    match, frame = default_match("football"), penalty_frame()
    people = people_at(match.sport, frame.moment, frame.at_m)
    marks = frame_marks(frame.view, match_scene(match), people, BOX)
    ring = next(m.rings[0] for m in marks if isinstance(m, Fill) and m.style == "subject")
    expected = opencv_page_mm(frame, np.array([[41.5, 0.0, 1.8], [41.5, 0.0, 0.0]]))
    assert ring[:, 1].min() == pytest.approx(expected[0, 1], abs=0.02)
    assert ring[:, 1].max() == pytest.approx(expected[1, 1], abs=0.02)
    assert ring[:, 0].mean() == pytest.approx(expected[0, 0], abs=0.1)


def test_goal_frame_is_drawn_where_opencv_projects_it() -> None:
    match = default_match("football")
    moment = next(m for m in match.sport.moments if m.key == "save")
    frame = take_frame((30.0, -36.0, 1.6), (52.5, 0.0), moment=moment, lens=Lens("24-70", (24, 70)),
                       mode=match.cameras[0].mode, deliverable=match.deliverable)  # fmt: skip
    bar = next(b for t in match.sport.area.targets for b in t.bars if b[0][0] > 0)
    expected = opencv_page_mm(frame, np.array(bar, float))
    people = people_at(match.sport, moment, frame.at_m)
    drawn = [p for m in frame_marks(frame.view, match_scene(match), people, BOX)
             if isinstance(m, Line) and m.style == "bar" for p in m.parts]  # fmt: skip
    assert any(p.shape == expected.shape and np.allclose(p, expected, atol=1e-6) for p in drawn)


def test_numbers_say_what_is_drawn() -> None:
    frame = penalty_frame()
    expected = opencv_page_mm(frame, np.array([[41.5, 0.0, 1.8], [41.5, 0.0, 0.0]]))
    drawn_share = float(expected[1, 1] - expected[0, 1]) / 90.0
    assert frame.subject_share == pytest.approx(drawn_share, rel=0.002)  # the lens looks a little down
    assert frame.subject_px == pytest.approx(frame.px_per_m * 1.8)
    assert frame.covers_m[0] / frame.covers_m[1] == pytest.approx(16 / 9)
    metric, imperial = (" ".join(frame_lines(frame, units)) for units in (Units.METRIC, Units.IMPERIAL))
    assert f"{100 * frame.subject_share:.0f} % of the frame height" in metric
    assert "20 m away" in metric
    assert "66 ft away" in imperial


def test_people_are_as_tall_as_they_should_be_and_face_the_lens() -> None:
    match, frame = default_match("football"), penalty_frame()
    people = people_at(match.sport, frame.moment, frame.at_m)
    for panel, place in zip(figure_panels(frame.view, people), people.xy_m, strict=True):
        ring = panel.xyz_m
        assert np.ptp(ring[:, 2]) == pytest.approx(1.8)
        assert ring[:, 2].min() == pytest.approx(0.0)
        np.testing.assert_allclose(ring[:, :2].mean(axis=0), place, atol=1e-9)
    assert np.ptp(figure_ring(1.0)[:, 0]) == pytest.approx(0.28, abs=0.02)


@pytest.mark.parametrize("sport", ["football", "tennis", "basketball", "netball"])
def test_everybody_is_on_the_ground_once(sport: str) -> None:
    match = default_match(sport)
    for moment in match.sport.moments:
        at_m = tuple(moment.zones[0].shape.representative_point().coords[0])
        people = people_at(match.sport, moment, at_m, lens_m=(0.0, -40.0))
        if moment.is_play:
            assert len(people.xy_m) <= 2 * match.sport.players_per_side
        assert tuple(people.xy_m[0]) == at_m


def test_nobody_stands_between_lens_and_subject() -> None:
    match = default_match("football")
    moment = next(m for m in match.sport.moments if m.key == "corner-contest")
    lens, at_m = np.array([57.5, 12.0]), (46.0, 0.0)
    people = people_at(match.sport, moment, at_m, lens_m=tuple(lens))
    ahead = (np.array(at_m) - lens) / np.hypot(*(np.array(at_m) - lens))
    rest = people.xy_m[1:] - lens
    between = (rest @ ahead > 0) & (rest @ ahead < np.hypot(*(np.array(at_m) - lens)))
    off = np.abs(rest @ np.array([-ahead[1], ahead[0]]))
    assert (off[between] > 0.79).all()


def test_nothing_is_drawn_outside_the_frame() -> None:
    match, frame = default_match("football"), penalty_frame()
    people = people_at(match.sport, frame.moment, frame.at_m)
    for mark in frame_marks(frame.view, match_scene(match), people, BOX):
        for part in mark.rings if isinstance(mark, Fill) else mark.parts:
            assert part.min() >= -1e-9
            assert part[:, 0].max() <= 160 + 1e-9
            assert part[:, 1].max() <= 90 + 1e-9


def test_picture_says_the_numbers_to_those_who_cannot_see_it() -> None:
    match, frame = default_match("football"), penalty_frame()
    picture = frame_picture(frame, match_scene(match), people_at(match.sport, frame.moment, frame.at_m), title="t")
    assert "of the frame height" in picture.description


def test_likeliest_moment_at_a_place() -> None:
    match = default_match("football")
    assert likeliest_moment(match, (0.0, 0.0)).key in ("kick-off", "duel")
    assert likeliest_moment(match, (-51.0, 0.0)).key in ("goal", "save")


def test_a_long_title_takes_as_many_lines_as_it_needs() -> None:
    match, frame = default_match("football"), penalty_frame()
    title = "County final of the under-fifteens, Marl Hill v Sedge Vale: 70-200 mm from 57.5, 12, 1.6 m"
    picture = frame_picture(frame, match_scene(match), people_at(match.sport, frame.moment, frame.at_m), title=title)
    rows = [m for m in picture.marks if isinstance(m, Words) and m.style == "strong"]
    assert len(rows) > 1
    assert " ".join(m.text for m in rows).replace("\u00a0", " ") == title
    assert all(m.x_mm + text_width_mm(m.text, m.size_mm, is_bold=True) <= picture.width_mm for m in rows)
    top = next(m.rings[0][:, 1].min() for m in picture.marks if isinstance(m, Fill) and m.style == "sky")
    assert max(m.y_mm for m in rows) < top


def test_a_corner_that_reaches_into_the_frame_by_less_than_rounding_is_drawn_or_left_out():
    """GEOS 3.13 fails on these two, which real plans drew."""
    for ring in (
        [(49.62985513234705, 67.03729016384419), (51.556262792673685, 46.63937353811647),
         (52.88323599972831, 32.588615020324156), (50.95156345670091, 53.04227926405931)],
        [(56.720056933966944, -0.8109883124813354), (55.53589027275112, 0.9051837609146445),
         (57.286264010823835, -1.6315727971644134), (58.48105993522018, -3.3631495258848236)],
    ):  # fmt: skip
        shape = shapely.Polygon(ring)
        part = cut(shape, (0.0, 0.0, 58.0, 32.625))
        assert part.area == pytest.approx(shape.intersection(shapely.box(0, 0, 58, 32.625)).area, abs=1e-9)
