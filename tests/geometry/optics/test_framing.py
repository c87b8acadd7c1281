import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.optics.framing import fitting_focal_mm, framed_share

FULL_FRAME = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)
metres = st.floats(0.5, 100.0)


# Covered width and height at a distance, d s / f: 36 x 20.25 m at 50 m with 50 mm, 7.2 x 4.05 m at 40 m with 200 mm.
@pytest.mark.parametrize(("focal", "distance", "width", "height"), [(50, 50, 36.0, 20.25), (200, 40, 7.2, 4.05)])
def test_the_whole_frame_fits_without_room(focal, distance, width, height):
    fit = fitting_focal_mm(distance, (width, height), mode=FULL_FRAME, head_room=0.0, lead_room=0.0)
    assert fit == pytest.approx(focal)


def test_room_shortens_the_focal_length_by_its_share():
    tall, wide = (0.1, 2.0), (8.0, 0.1)
    assert fitting_focal_mm(20.0, tall, mode=FULL_FRAME, head_room=0.2) == pytest.approx(0.8 * 20.25 * 10.0)
    assert fitting_focal_mm(20.0, wide, mode=FULL_FRAME, lead_room=0.25) == pytest.approx(0.75 * 36.0 * 2.5)


def test_shapes_broadcast():
    extent = np.array([[6.0, 2.5], [20.0, 4.0]])
    distance = np.array([[10.0, 20.0], [30.0, 40.0], [50.0, 60.0]])
    fit = fitting_focal_mm(distance, extent, mode=FULL_FRAME)
    assert fit.shape == (3, 2)
    assert framed_share(extent, reach_m_mm=distance / fit, mode=FULL_FRAME) == pytest.approx(1.0)


@given(metres, metres, metres, st.floats(1.0, 4.0))
@settings(deadline=None)
def test_framed_share_is_the_area_inside_the_frame(distance, width, height, too_long):
    focal = too_long * fitting_focal_mm(distance, (width, height), mode=FULL_FRAME, head_room=0.0, lead_room=0.0)
    frame = distance * np.array([36.0, 20.25]) / focal
    inside = min(width, frame[0]) * min(height, frame[1]) / (width * height)
    framed = framed_share((width, height), reach_m_mm=distance / focal, mode=FULL_FRAME)
    assert framed == pytest.approx(inside)
    assert framed >= 1.0 / too_long**2 - 1e-12
