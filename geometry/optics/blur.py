"""Shutter and motion blur: how long the shutter is open and how far things move meanwhile."""

from __future__ import annotations


def shutter_time_s(angle_deg: float, fps: float) -> float:
    """Exposure time of a shutter angle: t = angle / (360 fps) [s].

    References
    ----------
    [1] Shutter speed, cinematographic shutter formula: 180 degrees at 24 frames a second are 1/48 s.

    >>> round(1 / shutter_time_s(172.8, 24.0), 9)
    50.0
    """
    return angle_deg / (360.0 * fps)


def shutter_angle_deg(time_s: float, fps: float) -> float:
    """Shutter angle of an exposure time: 360 fps t; above 360 the time does not fit the frame rate [deg].

    >>> shutter_angle_deg(0.01, 50.0)
    180.0
    """
    return 360.0 * fps * time_s


def slow_down(capture_fps: float, delivery_fps: float) -> float:
    """How many times slower the action runs when every captured frame is shown at the delivery rate.

    >>> slow_down(100.0, 25.0)
    4.0
    """
    return capture_fps / delivery_fps


def blur_px(across_m_s: float, time_s: float, *, px_per_m: float) -> float:
    """Length of the smear that a moving thing leaves in the picture: v t density [px].

    >>> blur_px(0.5, 0.0001, px_per_m=1 / 0.00005)
    1.0
    """
    return across_m_s * time_s * px_per_m


def blur_share(across_m_s: float, time_s: float, *, subject_m: float) -> float:
    """Smear as a share of the subject's own size, whatever the lens: v t / size.

    >>> round(blur_share(30.0, 0.005, subject_m=0.22), 2)
    0.68
    """
    return across_m_s * time_s / subject_m


def skew_px(across_m_s: float, readout_s: float, *, px_per_m: float, frame_share: float) -> float:
    """How far a thing that crosses leans as rows are read one after the other: v t_read share density [px].

    Parameters
    ----------
    readout_s : first row to last; 0 for a global shutter
    frame_share : share of the frame height that it fills, so of the readout that passes from its top to its foot

    >>> skew_px(8.0, 0.02, px_per_m=500.0, frame_share=0.5)
    40.0
    """
    return across_m_s * readout_s * frame_share * px_per_m
