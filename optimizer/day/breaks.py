"""Free time on a long day: when to rest, when to eat, and how long anybody works without a break."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time

from standmark.sports.timeline import later

LAW = "Working Time Regulations 1998 (Great Britain), regulation 12; Directive 2003/88/EC, article 4, for the six hours"
REST_MIN = 20.0  # what counts as a break: the law above
LONGEST_WORK_MIN = 360.0  # work longer than this needs a break: the law above
MEAL_MIN = 30.0  # common practice, no source
MEAL_WINDOWS = (("midday meal", time(11, 0), time(14, 30)), ("evening meal", time(17, 0), time(20, 30)))  # as above


@dataclass(frozen=True)
class Stretch:
    """A stretch of time, work or rest."""

    start: datetime
    end: datetime

    @property
    def minutes(self) -> float:
        """Length of the stretch."""
        return (self.end.timestamp() - self.start.timestamp()) / 60.0  # clocks may change between them


@dataclass(frozen=True)
class Meal:
    """A meal of the day; `at` is None where no break is long enough."""

    name: str
    window: Stretch
    at: Stretch | None


def rests_of(free: Sequence[Stretch], *, least_min: float = REST_MIN) -> tuple[Stretch, ...]:
    """Stretches of free time that are long enough to count as a break, in order of time."""
    return tuple(sorted((f for f in free if f.minutes >= least_min), key=lambda f: f.start))


def work_between(day: Stretch, rests: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Stretches of a day without a break.

    >>> at = lambda hour: datetime(2027, 5, 8, hour)
    >>> [w.minutes for w in work_between(Stretch(at(9), at(18)), [Stretch(at(12), at(13))])]
    [180.0, 300.0]
    """
    begins = [day.start, *(rest.end for rest in rests)]
    ends = [*(rest.start for rest in rests), day.end]
    return tuple(Stretch(begin, end) for begin, end in zip(begins, ends, strict=True) if end > begin)


def meals_of(day: Stretch, rests: Sequence[Stretch]) -> tuple[Meal, ...]:
    """Find time for every meal whose usual hours lie wholly within the day: as much of them as one break has."""
    meals = []
    for name, opens, closes in MEAL_WINDOWS:
        window = Stretch(_at(day, opens), _at(day, closes))
        if window.start >= day.start and window.end <= day.end:
            meals.append(Meal(name, window, _best_break(window, rests)))
    return tuple(meals)


def _at(day: Stretch, clock: time) -> datetime:
    return datetime.combine(day.start.date(), clock, tzinfo=day.start.tzinfo)


def _best_break(window: Stretch, rests: Sequence[Stretch]) -> Stretch | None:
    """Longest part of a break inside the window, if it does for a meal; at most an hour of it is named."""
    parts = [Stretch(max(rest.start, window.start), min(rest.end, window.end)) for rest in rests]
    longest = max(parts, key=lambda part: part.minutes, default=None)
    if longest is None or longest.minutes < MEAL_MIN:
        return None
    return Stretch(longest.start, min(longest.end, later(longest.start, 60.0)))
