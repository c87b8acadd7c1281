"""What a camera writes and how long a battery lasts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Recorder:
    """What a camera writes and draws."""

    bit_rate_mbit_s: float = 100.0
    bit_rate_fps: float | None = None  # frame rate that the bit rate was stated for; None: for the one in use
    card_gb: float = 128.0
    battery_min: float = 90.0  # run time of one battery in mild weather


USUAL_RECORDER = Recorder()
