"""Projection against OpenCV on random cameras, worked cases, and its own inverse."""

import math

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from standmark.geometry.optics.camera import RecordingMode, angle_of_view_deg
from standmark.geometry.optics.frame_shapes import (
    ACTION_SAFE,
    GRAPHICS_SAFE,
    clip_polygon,
    clip_polyline,
    ground_footprint,
    horizon,
    safe_rectangle,
)
from standmark.geometry.optics.projection import (
    View,
    camera_coordinates,
    focal_px,
    project,
    ray_through,
    rotation,
    view_toward,
)

UHD = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
FOUR_THIRDS = RecordingMode("four thirds", 17.3, 13.0, 4000, 3000)
VIEWS = st.builds(
    View,
    xyz_m=st.tuples(st.floats(-80, 80), st.floats(-80, 80), st.floats(0.3, 40)),
    pan_deg=st.floats(-180, 180), tilt_deg=st.floats(-60, 30), focal_mm=st.floats(8, 800),
    mode=st.sampled_from([UHD, FOUR_THIRDS]), roll_deg=st.floats(-20, 20),
)  # fmt: skip


def opencv_pixels(view, points):
    """OpenCV's projectPoints with a rotation that scipy builds: an independent path."""
    # camera axes at pan 0, tilt 0: right is -y, down is -z, forward is +x; then tilt, pan; roll about forward
    base = np.array([[0, -1, 0], [0, 0, -1], [1, 0, 0]], float)
    turn = Rotation.from_euler("ZY", [view.pan_deg, -view.tilt_deg], degrees=True).as_matrix()
    roll = Rotation.from_rotvec([0, 0, -view.roll_deg], degrees=True).as_matrix()
    matrix = roll @ base @ turn.T
    f_x, f_y = focal_px(view)
    intrinsic = np.array([[f_x, 0, view.mode.width_px / 2], [0, f_y, view.mode.height_px / 2], [0, 0, 1]])
    vector, _ = cv2.Rodrigues(matrix)
    uv, _ = cv2.projectPoints(points, vector, -matrix @ np.array(view.xyz_m), intrinsic, None)
    return uv[:, 0]


@settings(max_examples=150, deadline=None)
@given(view=VIEWS, seed=st.integers(0, 2**32 - 1))
def test_pixels_agree_with_opencv(view, seed):
    rng = np.random.default_rng(seed)
    depth = rng.uniform(2, 150, 20)
    spread = rng.uniform(-0.6, 0.6, (20, 2)) * depth[:, None]
    points = np.array(view.xyz_m) + np.column_stack([spread, depth]) @ rotation(view)
    ours, reference = project(view, points), opencv_pixels(view, points)
    assert np.abs(ours - reference).max() < 1e-6 * max(1.0, np.abs(reference).max() / 1e4)


@settings(max_examples=100, deadline=None)
@given(view=VIEWS, u=st.floats(0, 1), v=st.floats(0, 1), depth=st.floats(1, 200))
def test_a_ray_leads_back_to_its_pixel(view, u, v, depth):
    pixel = np.array([u * view.mode.width_px, v * view.mode.height_px])
    ray = ray_through(view, pixel)
    assert np.linalg.norm(ray) == pytest.approx(1.0, abs=1e-12)
    point = np.array(view.xyz_m) + ray * (depth + 1.0)
    assert project(view, point) == pytest.approx(pixel, abs=1e-6 * view.mode.width_px)


@given(view=VIEWS)
def test_camera_axes_are_square_and_right_handed(view):
    turn = rotation(view)
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("point", "u", "v"),
    [
        # worked once with OpenCV 5.0 projectPoints: 24 mm on 36 mm, 14 m up on the halfway line, tilted 12 degrees down
        ((0.0, 0.0, 0.0), 1920.0, 1242.9567),
        ((-52.5, 34.0, 0.0), 340.2205, 966.5413),
        ((52.5, 0.0, 2.44), 4539.3296, 1125.4916),
    ],
)
def test_stand_camera_case(point, u, v):
    view = View((0.0, -50.0, 14.0), 90.0, -12.0, 24.0, UHD)
    assert project(view, point) == pytest.approx([u, v], abs=0.5e-4)


def test_a_point_behind_the_lens_has_no_place():
    view = View((56.5, 0.0, 0.6), 180.0, 4.0, 10.0, UHD)
    assert np.isnan(project(view, (60.0, 0.0, 1.0))).all()


@settings(max_examples=60, deadline=None)
@given(view=VIEWS, x=st.floats(-60, 60), y=st.floats(-60, 60))
def test_a_view_toward_a_point_has_it_on_the_axis(view, x, y):
    if math.dist((x, y), view.xyz_m[:2]) < 1:
        return
    aimed = view_toward(view.xyz_m, (x, y, 0.0), focal_mm=view.focal_mm, mode=view.mode, roll_deg=view.roll_deg)
    assert project(aimed, (x, y, 0.0)) == pytest.approx([view.mode.width_px / 2, view.mode.height_px / 2], abs=1e-4)


def test_frame_edge_is_half_the_angle_of_view():
    view = View((0.0, 0.0, 2.0), 0.0, 0.0, 50.0, UHD)
    ray = ray_through(view, (0.0, 1080.0))
    assert math.degrees(math.atan2(ray[1], ray[0])) == pytest.approx(float(angle_of_view_deg(36.0, 50.0)) / 2)


@settings(max_examples=80, deadline=None)
@given(view=VIEWS)
def test_rays_on_the_horizon_are_level(view):
    line = horizon(view)
    if line is not None:
        for point in line:
            assert ray_through(view, point)[2] == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(view=VIEWS)
def test_footprint_is_what_the_frame_covers(view):
    corners = ground_footprint(view, reach_m=500.0)
    if len(corners):
        near = corners[np.hypot(*(corners - np.array(view.xyz_m[:2])).T) < 499.0]
        uv = project(view, np.column_stack([near, np.zeros(len(near))]))
        size = np.array([view.mode.width_px, view.mode.height_px])
        assert (np.abs(uv / size - 0.5).max(axis=1) == pytest.approx(0.5, abs=1e-6)) if len(near) else True


@settings(max_examples=80, deadline=None)
@given(view=VIEWS, seed=st.integers(0, 2**32 - 1))
def test_lines_are_cut_where_they_pass_the_lens(view, seed):
    points = np.random.default_rng(seed).uniform(-60, 60, (6, 3))
    pieces = clip_polyline(view, points, is_closed=True)
    assert all(np.isfinite(piece).all() for piece in pieces)
    ahead = camera_coordinates(view, points)[:, 2] >= 0.05
    drawn = np.concatenate(pieces) if pieces else np.empty((0, 2))
    for uv in project(view, points[ahead]):
        assert np.abs(drawn - uv).max(axis=1).min() < 1e-6 * max(1, np.abs(uv).max())
    if not ahead.any():
        assert pieces == []


def test_polygon_round_the_camera_is_cut_at_the_lens():
    view = View((0.0, 0.0, 2.0), 0.0, -20.0, 24.0, UHD)
    cut = clip_polygon(view, np.array([(-10, -10, 0), (10, -10, 0), (10, 10, 0), (-10, 10, 0)], float))
    assert len(cut) >= 4
    assert np.isfinite(cut).all()
    assert len(clip_polygon(view, np.array([(-10, 0, 0), (-12, 0, 0), (-12, 3, 0)], float))) == 0


def test_safe_areas():
    # 93 % for action and 90 % for titles: BKSTS Illustrated Dictionary of Moving Image Technology, 4th ed., appendix B
    view = View((0, 0, 1), 0, 0, 50, UHD)
    assert safe_rectangle(view, ACTION_SAFE) == pytest.approx((134.4, 75.6, 3705.6, 2084.4))
    assert safe_rectangle(view, GRAPHICS_SAFE) == pytest.approx((192, 108, 3648, 2052))
