"""The match day as the lists need it: who films with what, where and in which weather."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standmark.optimizer.match.recorder import USUAL_RECORDER, Recorder
from standmark.optimizer.match.weather import NO_FORECAST, Weather
from standmark.optimizer.work.danger import SpotDanger
from standmark.sports.order import NO_ORDER, Order
from standmark.sports.sport import Period

PARKING_MIN = 10.0  # find a place, unload; common practice, no source
PLATFORM_FROM_M = 2.0  # lens height from which somebody must stand on something


@dataclass(frozen=True)
class CameraDay:
    """One camera on the day."""

    name: str
    lenses: tuple[str, ...]
    longest_mm: float
    support: str
    lens_height_m: float  # highest over the match
    fps: float
    recorder: Recorder = USUAL_RECORDER
    lowest_m: float | None = None  # lowest lens height over the match; None: the same as the highest
    dangers: tuple[SpotDanger, ...] = ()  # at its spots
    filters: tuple[str, ...] = ()  # neutral density that its settings use
    spare: str = ""  # where it goes if its spot is refused; "" where no advice was asked for
    if_lost: str = ""  # what the others do without it


@dataclass(frozen=True)
class Ask:
    """How long before the start permission to film has to be asked for."""

    days: float
    is_working: bool
    source: str


@dataclass(frozen=True)
class Outing:
    """A match as the people who film it live it."""

    sport: str
    ground: str
    start: datetime | None  # aware; None: not known yet
    periods: tuple[Period, ...]
    cameras: tuple[CameraDay, ...]
    weather: Weather = NO_FORECAST
    is_indoor: bool = False
    is_lit: bool = False  # filmed under lamps: floodlights or a hall
    has_minors: bool = True  # until told otherwise
    dangers: tuple[str, ...] = ()  # of the sport, from its brief
    contact: str = ""  # person at the ground, telephone
    move_after: tuple[tuple[str, str], ...] = ()  # period key, what moves in the break after it
    order: Order = NO_ORDER  # of the sport: toss, pauses, ceremonies, overtime
    ask: Ask | None = None  # None: nobody said
    visit: datetime | None = None  # of a training session or of the ground, before the day
    travel_min: float | None = None  # on the road to the ground; None: nobody said
    parking_min: float | None = None
    watch: tuple[str, ...] = ()  # what to look for at a training session, from the brief


def is_raised(camera: CameraDay) -> bool:
    """Whether the camera stands on a platform, a stand, a ladder or a mast."""
    return camera.lens_height_m >= PLATFORM_FROM_M


def is_on_the_ground(camera: CameraDay) -> bool:
    """Whether the camera stands on the ground, beside the play, at least for a part of the match."""
    lowest_m = camera.lens_height_m if camera.lowest_m is None else camera.lowest_m
    return lowest_m < PLATFORM_FROM_M
