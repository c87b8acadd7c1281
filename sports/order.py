"""What happens when in a match beside its periods: toss, short pauses, ceremonies, overtime; the clock of its laws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Clock:
    """How long a match is by its laws."""

    unit: Literal["minutes", "overs", "innings", "sets", "points"]
    parts: int  # quarters, halves, innings of a side; sets or points: 1
    each: float  # in the unit: minutes of a quarter, overs of an innings; most sets, points that win
    source: str


@dataclass(frozen=True)
class Toss:
    """The toss, or what the sport has in its place."""

    name: str
    before_min: float  # before the start
    where: str
    source: str


@dataclass(frozen=True)
class Pause:
    """A pause inside a period: at a time by the watch, or again and again."""

    name: str
    minutes: float
    source: str
    period: str = ""  # key; "" for one that comes in all of them
    after_min: float | None = None  # from the start of the period; None: when play brings it about
    how_often: str = ""  # "after every over"


@dataclass(frozen=True)
class Stop:
    """Dead time of play: how long it lasts as a rule."""

    name: str  # "before a corner"
    seconds: float  # median or mean; a limit of the laws where nothing else is published
    source: str


@dataclass(frozen=True)
class Ceremony:
    """Something to film that is no play."""

    name: str
    what: str
    source: str
    before_min: float | None = None  # before the start
    after_min: float | None = None  # after the finish
    is_certain: bool = True  # False: only at some matches


@dataclass(frozen=True)
class Overtime:
    """What follows a draw where somebody has to win."""

    name: str
    what: str
    pause_min: float  # from the finish to its start
    minutes: float  # by the watch
    source: str


@dataclass(frozen=True)
class Order:
    """The order of a match; what a definition leaves out is None or ()."""

    clock: Clock | None = None
    toss: Toss | None = None
    pauses: tuple[Pause, ...] = ()
    stops: tuple[Stop, ...] = ()
    ceremonies: tuple[Ceremony, ...] = ()
    overtime: Overtime | None = None


NO_ORDER = Order()
