"""The running order of a match as an iCalendar file."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Event

from standmark.optimizer.day.call_times import KeyTime
from standmark.optimizer.match.match import Match

LAST_LASTS = timedelta(minutes=30)


def calendar_bytes(match: Match, times: tuple[KeyTime, ...]) -> bytes:
    """Write key times as events, each up to the next one, in UTC.

    The same match gives the same bytes: identifiers come from the match, and the stamp is its start.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//standmark//match day//EN")
    calendar.add("version", "2.0")
    ends = [time.at for time in times[1:]] + [times[-1].at + LAST_LASTS] if times else []
    for time, end in zip(times, ends, strict=True):
        calendar.add_component(_event(match, time, end))
    return bytes(calendar.to_ical())


def _event(match: Match, time: KeyTime, end: datetime) -> Event:
    event = Event()
    event.add("uid", f"{time.key}-{_digest(match)}@standmark")
    event.add("dtstamp", (match.start or time.at).astimezone(UTC))
    event.add("dtstart", time.at.astimezone(UTC))
    event.add("dtend", end.astimezone(UTC))
    event.add("summary", f"{time.name}: {match.title}")
    event.add("description", time.what)
    event.add("location", match.venue.name)
    if match.venue.latitude_deg is not None and match.venue.longitude_deg is not None:
        event.add("geo", (match.venue.latitude_deg, match.venue.longitude_deg))
    return event


def _digest(match: Match) -> str:
    """Tell matches apart: a short digest of sport, title, ground and start."""
    start = "" if match.start is None else match.start.astimezone(UTC).isoformat()
    name = "\n".join((match.sport.key, match.title, match.venue.name, start))
    return hashlib.sha256(name.encode("utf-8")).hexdigest()[:16]
