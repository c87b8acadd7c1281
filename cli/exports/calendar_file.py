"""The running order of a match as an iCalendar file."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count

from icalendar import Alarm, Calendar, Event

from standmark.cli.words.crew_words import call_words
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.match.match import Match
from standmark.sports.timeline import later

LAST_LASTS_MIN = 30.0
LONGEST_S = 6 * 3600.0
MOST_SEQUENCE = 2**31 - 1  # RFC 5545, 3.3.8


@dataclass(frozen=True)
class Entry:
    """One entry of a calendar."""

    name: str  # unique within the file, and the same whenever the file is written again
    at: datetime  # aware
    until: datetime
    stamp: datetime
    summary: str
    description: str
    location: str
    place_deg: tuple[float, float] | None = None  # latitude and longitude
    contact: str = ""


def calendar_bytes(match: Match, times: tuple[KeyTime, ...], *, before: bytes | None = None) -> bytes:
    """Write the key times of a match as events, each up to the next one, in UTC: see `times_calendar`."""
    return times_calendar([(match, time) for time in times], before=before)


def times_calendar(told: Sequence[tuple[Match, KeyTime]], *, before: bytes | None = None) -> bytes:
    """Write key times of one match or several as events, each up to the next one, in UTC; only those that are certain.

    The same match gives the same bytes: identifiers come from its sport, title and ground, so that an entry keeps
    its own when the start moves (RFC 5545, 3.8.4.7), and the stamp is its start.

    Parameters
    ----------
    before : the file that this one replaces; where times have moved since, its sequence is raised by one
    """
    told = [(match, time) for match, time in told if time.is_certain]
    times = [time.at for _, time in told]
    ends = [_end(at, after) for at, after in zip(times, [*times[1:], None], strict=True)]
    taken: set[str] = set()
    entries = [
        _entry(match, time, end, _free_name(f"{time.key}-{_digest(match)}", taken))
        for (match, time), end in zip(told, ends, strict=True)
    ]
    return entries_calendar(entries, before=before)


def _end(at: datetime, after: datetime | None) -> datetime:
    """Entries last up to the next one, but what comes days before does not fill them."""
    if after is None or after.timestamp() - at.timestamp() > LONGEST_S:
        return later(at, LAST_LASTS_MIN)
    return after


def entries_calendar(entries: Sequence[Entry], *, before: bytes | None = None) -> bytes:
    """Write entries as a calendar, each with an alarm at its beginning.

    Parameters
    ----------
    before : as `times_calendar`
    """
    sequence = _sequence([entry.at for entry in entries], before)
    calendar = Calendar()
    calendar.add("prodid", "-//standmark//match day//EN")
    calendar.add("version", "2.0")
    for entry in entries:
        calendar.add_component(_event(entry, sequence))
    return bytes(calendar.to_ical())


def _free_name(name: str, taken: set[str]) -> str:
    """Name of an entry that no other of the file has: matches that share title and ground are numbered."""
    numbered = (name if i == 1 else f"{name}-{i}" for i in count(1))
    free = next(n for n in numbered if n not in taken)
    taken.add(free)
    return free


def _entry(match: Match, time: KeyTime, end: datetime, name: str) -> Entry:
    call = call_words(match)
    latitude, longitude = match.venue.latitude_deg, match.venue.longitude_deg
    return Entry(
        name=name,
        at=time.at,
        until=end,
        stamp=match.start or time.at,
        summary=f"{time.name}: {match.title}",
        description=f"{time.what} {call}".strip() if time.key == "arrive" else time.what,
        location=match.venue.name,
        place_deg=None if latitude is None or longitude is None else (latitude, longitude),
        contact=call,
    )


def _event(entry: Entry, sequence: int) -> Event:
    event = Event()
    event.add("uid", f"{entry.name}@standmark")
    event.add("sequence", sequence)
    event.add("dtstamp", entry.stamp.astimezone(UTC))
    event.add("dtstart", entry.at.astimezone(UTC))
    event.add("dtend", entry.until.astimezone(UTC))
    event.add("summary", entry.summary)
    event.add("description", entry.description)
    if entry.contact:
        event.add("contact", entry.contact)
    event.add("location", entry.location)
    if entry.place_deg is not None:
        event.add("geo", entry.place_deg)
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", timedelta(0))
    alarm.add("description", f"{entry.summary.partition(':')[0]}: {entry.description}")
    event.add_component(alarm)
    return event


def _sequence(times: Sequence[datetime], before: bytes | None) -> int:
    """Count how often times have moved, from the file that is there already."""
    if before is None:
        return 0
    try:
        events = list(Calendar.from_ical(before).walk("VEVENT"))
        starts = {event.decoded("dtstart") for event in events}
        known = max((int(event.get("sequence", 0)) for event in events), default=0)
    except Exception:  # a broken file may fail in many ways inside its parser
        return 0
    if not 0 <= known < MOST_SEQUENCE:
        return 0
    return known if starts == {time.astimezone(UTC) for time in times} else known + 1


def _digest(match: Match) -> str:
    """Tell matches apart: a short digest of sport, title and ground."""
    name = "\n".join((match.sport.key, match.title, match.venue.name))
    return hashlib.sha256(name.encode("utf-8")).hexdigest()[:16]
