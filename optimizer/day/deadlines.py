"""What has a date before the match: permission to film, ground and start checked twice, a visit, setting off."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.day.outing import PARKING_MIN, Outing
from standmark.optimizer.match.leads import COMMON
from standmark.sports.timeline import clock_words, later

FIRST_CHECK_DAYS = 7  # common practice, no source
SECOND_CHECK_HOUR = 18  # of the evening before; common practice, no source


def deadlines(outing: Outing) -> tuple[KeyTime, ...]:
    """List what has to be done on a date before the match, in order of time; () while the start is not known."""
    if outing.start is None:
        return ()
    return tuple(sorted(_dates(outing, outing.start), key=lambda time: time.at))


def _dates(outing: Outing, start: datetime) -> Iterator[KeyTime]:
    asked = f"{outing.ground}, {start:%A} {start.day} {start:%B}, {clock_words(start)}"
    if outing.ask is not None:
        days = f"{outing.ask.days:g} {'working day' if outing.ask.is_working else 'day'}{_s(outing.ask.days)}"
        what = f"Ask for permission to film by now: {days} before the start."
        yield KeyTime("ask", "Ask for permission", _days_before(start, outing.ask.days, outing.ask.is_working), what,
                      outing.ask.source)  # fmt: skip
    first = start - timedelta(days=FIRST_CHECK_DAYS)
    yield KeyTime("check-first", "Check ground and start", first, f"Ask somebody who is there: {asked}.", COMMON)
    evening = (start - timedelta(days=1)).replace(hour=SECOND_CHECK_HOUR, minute=0, second=0, microsecond=0)
    again = f"Ask once more: {asked}. Pitch, colours, weather, and is it still on?"
    yield KeyTime("check-second", "Check ground and start again", evening, again, COMMON)
    if outing.visit is not None:
        yield KeyTime(
            "visit", "Visit", outing.visit, "Training session or a look at the ground: take its list.", COMMON
        )


def setting_off(outing: Outing, arrive: datetime) -> KeyTime | None:
    """When to leave home or base so that the crew arrives in time; None where nobody gave the time on the road."""
    if outing.travel_min is None:
        return None
    parking_min = PARKING_MIN if outing.parking_min is None else outing.parking_min
    what = f"{outing.travel_min:.0f} minutes on the road, {parking_min:.0f} to park and unload."
    return KeyTime("leave-home", "Leave", later(arrive, -outing.travel_min - parking_min), what, COMMON)


def _days_before(start: datetime, days: float, is_working: bool) -> datetime:
    """Count days back from the start, Saturdays and Sundays left out for working days; holidays are not known.

    >>> _days_before(datetime(2027, 4, 17, 15), 3, True).strftime("%A %d %H:%M")
    'Wednesday 14 15:00'
    """
    if not is_working:
        return start - timedelta(days=days)
    at, left = start, days
    while left > 0:
        at -= timedelta(days=1)
        left -= at.weekday() < 5
    return at


def _s(number: float) -> str:
    return "" if number == 1 else "s"
