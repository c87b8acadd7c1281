"""Checks before two or more cameras record together: what must be the same, and how they are lined up later."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.optimizer.settings.frame_rate import SAME_RATE_SHARE
from standmark.optimizer.settings.notation import number_text, time_text

SAME_TIME_SHARE = 0.02  # exposure times nearer than this count as the same


@dataclass(frozen=True)
class Setting:
    """What one camera is going to be set to."""

    camera: str
    fps: float
    time_s: float


@dataclass(frozen=True)
class Check:
    """One line to tick; `is_met` is None when only a person at the cameras can tell."""

    name: str
    is_met: bool | None
    text: str


def joint_checks(cameras: tuple[Setting, ...]) -> tuple[Check, ...]:
    """List the checks for cameras that record together; none for a single camera.

    Common practice; on sync: overviews of syncing methods and of camera and audio time code, 2025.
    """
    if len(cameras) < 2:
        return ()
    return (_same_rate(cameras), _same_shutter(cameras), *_BY_HAND)


def _same_rate(cameras: tuple[Setting, ...]) -> Check:
    rates = [camera.fps for camera in cameras]
    listed = ", ".join(f"{camera.camera} {number_text(camera.fps, decimals=3)}" for camera in cameras)
    if max(rates) / min(rates) - 1.0 < 1e-9:
        return Check("frame rate", True, f"Same on all: {number_text(rates[0], decimals=3)}.")
    if max(rates) / min(rates) - 1.0 < SAME_RATE_SHARE:
        return Check("frame rate", False, f"{listed}: nearly the same isn't the same: sound drifts by seconds an hour.")
    return Check("frame rate", False, f"{listed}: set them all the same, or use the faster one for slow motion only.")


def _same_shutter(cameras: tuple[Setting, ...]) -> Check:
    times = [camera.time_s for camera in cameras]
    if max(times) / min(times) - 1.0 < SAME_TIME_SHARE:
        return Check("shutter", True, f"Same on all: {time_text(times[0])}.")
    listed = ", ".join(f"{camera.camera} {time_text(camera.time_s)}" for camera in cameras)
    return Check("shutter", False, f"{listed}: motion will look different from cut to cut.")


_BY_HAND = (
    Check("time of day", None, "Set the clock of every camera from one phone, to the second; same zone, same date."),
    Check("white balance", None, "Same card, same place, same minute; then the same number in kelvin on all."),
    Check("look", None, "Same picture profile and range; compare exposure on one white shirt."),
    Check("sound", None, "Record sound on every camera, even if nobody will hear it: you need it to line them up."),
    Check(
        "clap",
        None,
        "Start all recordings, then clap once where all can see it; again after each break. The whistle works too.",
    ),
    Check("run on", None, "Don't stop on your own. If you must, say so, and clap again."),
    Check("drift", None, "Compare clocks in the break: if they're a second apart, set them again."),
)
