"""How a match is going to be filmed beyond where and with which lens: plain data that the settings and the day read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from standmark.geometry.optics.exposure import NeutralDensity
from standmark.optimizer.match.recorder import USUAL_RECORDER, Recorder
from standmark.optimizer.match.weather import NO_FORECAST, Weather

# A variable filter, as most who film in daylight carry one; common practice, no source.
USUAL_FILTERS = NeutralDensity((), (2.0, 5.0))


@dataclass(frozen=True)
class Body:
    """What one camera body can be set to, and what it writes; the defaults are common practice, no source."""

    iso: tuple[float, float, float] = (100.0, 1600.0, 6400.0)  # lowest, highest clean, highest usable
    filters: NeutralDensity = USUAL_FILTERS
    second_base_iso: float | None = None  # of a body with two
    log_base_iso: float | None = None  # lowest in log; None: `iso` holds there too
    readout_s: float | None = None  # rolling shutter, first row to last; 0 global shutter; None not known
    recorder: Recorder = USUAL_RECORDER


USUAL_BODY = Body()


@dataclass(frozen=True)
class Filming:
    """Wishes for the pictures, the light, the weather and the people; None: chosen by standmark."""

    delivery_fps: float | None = None
    least_fps: float | None = None  # frame rate asked of the cameras
    shutter_deg: float | None = None
    shutter_s: float | None = None  # goes before the angle
    f_number: float | None = None
    profile: Literal["standard", "log"] = "standard"
    log_over_stops: float = 1.0  # log is exposed so much over the meter; common practice, no source
    lamp: str = "unknown"  # a key of settings.light.LAMPS
    modulation: float | None = None  # measured percent flicker / 100
    is_lux_horizontal: bool = False  # the venue's lux is for the ground, not for a plane that faces the camera
    weather: Weather = NO_FORECAST
    has_minors: bool = True  # until told otherwise
    leads: tuple[tuple[str, float], ...] = ()  # key of a call time, minutes before the start or after the finish
    ask_days: float | None = None  # before the start, by which permission to film has to be asked for
    visit: datetime | None = None  # aware: of a training session or of the ground
    travel_min: float | None = None  # on the road to this ground
    parking_min: float | None = None


USUAL_FILMING = Filming()
