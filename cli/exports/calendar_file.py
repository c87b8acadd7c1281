"""The running order of a match as an iCalendar file."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import count

from icalendar import Alarm, Calendar, Event

from standmark.cli.words.crew_words import call_words
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.match.match import Match

LAST_LASTS = timedelta(minutes=30)


def calendar_bytes(match: Match, times: tuple[KeyTime, ...], *, before: bytes | None = None) -> bytes:
    """Write the key times of a match as events, each up to the next one, in UTC: see `entries_calendar`."""
    return entries_calendar([(match, time) for time in times], before=before)


def entries_calendar(entries: Sequence[tuple[Match, KeyTime]], *, before: bytes | None = None) -> bytes:
    """Write key times of one match or several as events, each up to the next one, in UTC; only those that are certain.

    The same match gives the same bytes: identifiers come from its sport, title and ground, so that an entry keeps
    its own when the start moves (RFC 5545, 3.8.4.7), and the stamp is its start.

    Parameters
    ----------
    before : the file that this one replaces; where times have moved since, its sequence is raised by one
    """
    entries = [(match, time) for match, time in entries if time.is_certain]
    times = tuple(time for _, time in entries)
    sequence = _sequence(times, before)
    calendar = Calendar()
    calendar.add("prodid", "-//standmark//match day//EN")
    calendar.add("version", "2.0")
    ends = [time.at for time in times[1:]] + [times[-1].at + LAST_LASTS] if times else []
    taken: set[str] = set()
    for (match, time), end in zip(entries, ends, strict=True):
        name = _free_name(f"{time.key}-{_digest(match)}", taken)
        calendar.add_component(_event(match, time, end, sequence, name))
    return bytes(calendar.to_ical())


def _free_name(name: str, taken: set[str]) -> str:
    """Name of an entry that no other of the file has: matches that share title and ground are numbered."""
    numbered = (name if i == 1 else f"{name}-{i}" for i in count(1))
    free = next(n for n in numbered if n not in taken)
    taken.add(free)
    return free


def _event(match: Match, time: KeyTime, end: datetime, sequence: int, name: str) -> Event:
    event = Event()
    event.add("uid", f"{name}@standmark")
    event.add("sequence", sequence)
    event.add("dtstamp", (match.start or time.at).astimezone(UTC))
    event.add("dtstart", time.at.astimezone(UTC))
    event.add("dtend", end.astimezone(UTC))
    event.add("summary", f"{time.name}: {match.title}")
    call = call_words(match)
    event.add("description", f"{time.what} {call}".strip() if time.key == "arrive" else time.what)
    if call:
        event.add("contact", call)
    event.add("location", match.venue.name)
    if match.venue.latitude_deg is not None and match.venue.longitude_deg is not None:
        event.add("geo", (match.venue.latitude_deg, match.venue.longitude_deg))
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", timedelta(0))
    alarm.add("description", f"{time.name}: {time.what}")
    event.add_component(alarm)
    return event


def _sequence(times: tuple[KeyTime, ...], before: bytes | None) -> int:
    """Count how often the times of a match have moved, from the file that is there already."""
    if before is None:
        return 0
    try:
        events = list(Calendar.from_ical(before).walk("VEVENT"))
        starts = {event.decoded("dtstart") for event in events}
        known = max((int(event.get("sequence", 0)) for event in events), default=0)
    except (ValueError, KeyError, AttributeError):
        return 0
    return known if starts == {time.at.astimezone(UTC) for time in times} else known + 1


def _digest(match: Match) -> str:
    """Tell matches apart: a short digest of sport, title and ground."""
    name = "\n".join((match.sport.key, match.title, match.venue.name))
    return hashlib.sha256(name.encode("utf-8")).hexdigest()[:16]
