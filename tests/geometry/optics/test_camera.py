import numpy as np
import pytest

from standmark.geometry.optics.camera import (
    RecordingMode,
    angle_of_view_deg,
    delivery_crop,
    pixels_per_metre,
    subject_fraction,
)

FULL_FRAME = RecordingMode("UHD", 36.0, 20.25, 3840, 2160)

# "Angle of View Values for Common Focal Lengths", photonstophotos.net, 2006-11-22, 35 mm columns
# (36 x 24 mm, printed to 0.1 degree; the page rounds a few last digits its own way, hence 0.06).
FULL_FRAME_ANGLES = [
    (10, 121.9, 100.4, 130.4),
    (14, 104.3, 81.2, 114.2),
    (18, 90.0, 67.4, 100.5),
    (24, 73.7, 53.1, 84.1),
    (35, 54.4, 37.8, 63.4),
    (50, 39.6, 27.0, 46.8),
    (70, 28.8, 19.5, 34.3),
    (85, 23.9, 16.1, 28.6),
    (100, 20.4, 13.7, 24.4),
    (135, 15.2, 10.2, 18.2),
    (150, 13.7, 9.1, 16.4),
]


@pytest.mark.parametrize(("focal", "horizontal", "vertical", "diagonal"), FULL_FRAME_ANGLES)
def test_full_frame_angles_match_the_table(focal, horizontal, vertical, diagonal):
    sizes = [36.0, 24.0, np.hypot(36.0, 24.0)]
    assert angle_of_view_deg(sizes, focal) == pytest.approx([horizontal, vertical, diagonal], abs=0.06)


# "Focal length to horizontal angle of view at Super 35 24.9 mm", conversionencyclopedia.com, six decimals.
SUPER_35 = [(14, 83.292476), (24, 54.836054), (50, 27.964611), (85, 16.665787), (135, 10.538080), (200, 7.124132)]


def test_super_35_horizontal_angles_match_the_table():
    focal, angle = np.array(SUPER_35).T
    np.testing.assert_allclose(angle_of_view_deg(24.9, focal), angle, atol=1e-5)


# "Video Camera Lens Fundamentals", a lens maker's training slides: horizontal angle and the focal length that gives
# it on 2/3-inch 4:3 (8.8 mm), 16:9 (9.59 mm) and full frame (36 mm); focal lengths printed to 0.1 mm.
TWO_THIRDS = [(51.2, 9.2, 10.0, 37.5), (27.0, 18.4, 20.0, 75.1), (13.7, 36.7, 40.0, 150.2), (9.1, 55.1, 60.0, 225.2)]


@pytest.mark.parametrize("row", TWO_THIRDS)
def test_two_thirds_inch_angles_match_the_slides(row):
    assert angle_of_view_deg([8.8, 9.59, 36.0], row[1:]) == pytest.approx(row[0], abs=0.2)


# Worked from similar triangles: object [m], distance [m], focal length [mm], height [mm] and pixels of the sensor.
@pytest.mark.parametrize(
    ("object_m", "distance", "focal", "mm", "px", "expected"),
    [
        (1.8, 50.0, 200.0, 20.25, 2160, 768.0),
        (1.8, 60.0, 24.0, 20.25, 1080, 38.4),
        (1.8, 80.0, 60.0, 5.39, 1080, 270.5009),
    ],
)
def test_pixels_on_a_subject(object_m, distance, focal, mm, px, expected):
    mode = RecordingMode("m", mm * 16 / 9, mm, px * 16 // 9, px)
    assert object_m * pixels_per_metre(distance, focal_mm=focal, mode=mode) == pytest.approx(expected, abs=1e-3)
    assert subject_fraction(object_m, distance, focal_mm=focal, mode=mode) * px == pytest.approx(expected, abs=1e-3)


def test_arguments_broadcast():
    shares = subject_fraction([1.8, 2.4], [[10.0], [20.0], [40.0]], focal_mm=50.0, mode=FULL_FRAME)
    assert shares.shape == (3, 2)
    assert shares[0, 0] == pytest.approx(2 * shares[1, 0])


def test_tall_crop_keeps_the_height_and_the_pixel_pitch():
    tall = delivery_crop(FULL_FRAME, aspect=(9, 16))
    assert (tall.width_px, tall.height_px) == (1215, 2160)
    assert tall.height_mm == FULL_FRAME.height_mm
    assert tall.width_mm / tall.width_px == pytest.approx(FULL_FRAME.width_mm / FULL_FRAME.width_px)
    assert pixels_per_metre(10, focal_mm=50, mode=tall) == pixels_per_metre(10, focal_mm=50, mode=FULL_FRAME)


def test_wide_crop_keeps_the_width():
    wide = delivery_crop(RecordingMode("open gate", 36.0, 24.0, 6000, 4000), aspect=(16, 9))
    assert (wide.width_px, wide.height_px) == (6000, 3375)
    assert wide.height_mm == pytest.approx(20.25)


def test_crop_to_the_same_aspect_changes_nothing():
    assert delivery_crop(FULL_FRAME, aspect=(16, 9)) is FULL_FRAME


def test_crop_is_whole_pixels_and_never_larger_than_the_mode():
    crop = delivery_crop(RecordingMode("HD", 13.2, 7.425, 1920, 1080), aspect=(9, 16))
    assert (crop.width_px, crop.height_px) == (607, 1080)
