"""A tournament to be filmed: pitches, slots, matches, crew with kit, and the rules for people; plain checked data.

Times are minutes from midnight of the day, local time.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.optimizer.day.breaks import LONGEST_WORK_MIN, MEAL_MIN, REST_MIN
from standmark.optimizer.day.media import BATTERY_FILL, CARD_FILL
from standmark.optimizer.day.stop import DETOUR
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.work.walk import WALK_M_S


@dataclass(frozen=True)
class Pitch:
    """One pitch and where it lies on the site: metres east and north of any fixed point."""

    name: str
    at_m: tuple[float, float]


@dataclass(frozen=True)
class Slot:
    """A stretch of time in which every pitch may have one match."""

    name: str
    start_min: float
    end_min: float

    @property
    def minutes(self) -> float:
        """Length of the slot."""
        return self.end_min - self.start_min


@dataclass(frozen=True)
class Fixture:
    """One match of the tournament."""

    title: str
    pitch: int
    slot: int
    source: str  # what it is planned from: a match file, or a sport and preset; the same source has the same plan
    match: Match
    minutes: float  # by the watch, start to finish
    worth: float = 1.0  # against the other matches
    most_cameras: int = 2


@dataclass(frozen=True)
class Kit:
    """Camera and lenses of one kind; several people may have the same."""

    name: str
    camera: Camera


@dataclass(frozen=True)
class Member:
    """One person who films."""

    name: str
    kit: int
    from_min: float
    to_min: float
    n_cards: int = 4
    n_batteries: int = 4
    phone: str = ""
    is_lead: bool = False
    filmed: tuple[tuple[int, int], ...] = ()  # slot and pitch of what lies behind, when the day is planned anew


@dataclass(frozen=True)
class PeopleRules:
    """What people need; the defaults are common practice where breaks.py names no law."""

    changeover_min: float = 3.0  # pack and set up when one goes to another pitch; common practice, no source
    overrun_min: float = 2.0  # slack after every slot; common practice, no source
    longest_work_min: float = LONGEST_WORK_MIN
    rest_min: float = REST_MIN
    meal_min: float = MEAL_MIN
    meal_window_min: tuple[float, float] = (660.0, 870.0)  # 11:00 to 14:30, as breaks.MEAL_WINDOWS


@dataclass(frozen=True)
class Tournament:
    """A whole day."""

    title: str
    date: date
    zone: ZoneInfo
    pitches: tuple[Pitch, ...]
    slots: tuple[Slot, ...]  # in order of time, none overlaps another
    fixtures: tuple[Fixture, ...]
    kits: tuple[Kit, ...]
    members: tuple[Member, ...]
    rules: PeopleRules = PeopleRules()
    base_at_m: tuple[float, float] | None = None  # where people rest and eat; None: the middle of the pitches
    ways_min: Mapping[tuple[int, int], float] = field(default_factory=dict)  # walks that somebody timed
    from_min: float | None = None  # the day is planned anew from here; None: from its beginning


def clock_of(tournament: Tournament, minutes: float) -> datetime:
    """Time of day as an aware datetime."""
    midnight = datetime.combine(tournament.date, datetime.min.time(), tzinfo=tournament.zone)
    return midnight + timedelta(minutes=minutes)


def walks_min(tournament: Tournament) -> Floats:
    """Minutes on foot between pitches, the last row and column being the place where people rest.

    Straight lines times the detour of ways on foot, at the pace of people with kit; a timed walk goes first.

    Returns
    -------
    shape (n_pitches + 1, n_pitches + 1)
    """
    places = np.array([pitch.at_m for pitch in tournament.pitches], float)
    base = places.mean(axis=0) if tournament.base_at_m is None else np.array(tournament.base_at_m)
    places = np.vstack([places, base])
    apart_m = np.hypot(*(places[:, None, :] - places[None, :, :]).transpose(2, 0, 1))
    walks: Floats = DETOUR * apart_m / WALK_M_S / 60.0
    for (one, other), minutes in tournament.ways_min.items():
        walks[one, other] = walks[other, one] = minutes
    return walks


def budget_min(tournament: Tournament, member: Member) -> float:
    """Minutes that a person can film with the cards and batteries in the bag, one battery kept in reserve."""
    camera = tournament.kits[member.kit].camera
    recorder, fps = camera.body.recorder, max(camera.mode.fps)
    rate_mbit_s = recorder.bit_rate_mbit_s * fps / (recorder.bit_rate_fps or fps)
    card_min = recorder.card_gb * CARD_FILL / (rate_mbit_s * 60.0 / 8000.0)
    battery_min = recorder.battery_min * BATTERY_FILL
    return min(member.n_cards * card_min, max(member.n_batteries - 1, 1) * battery_min)


def needs_meal(tournament: Tournament, member: Member) -> bool:
    """Whether a person is at work over all hours of the meal."""
    opens, closes = tournament.rules.meal_window_min
    return member.from_min <= opens and member.to_min >= closes
