"""A person's day of a tournament as an iCalendar file."""

from __future__ import annotations

import hashlib

from standmark.cli.exports.calendar_file import Entry, entries_calendar
from standmark.cli.words.section import Section
from standmark.cli.words.tournament_words import told_duties
from standmark.optimizer.day.tournament.roster import PersonDay, Roster
from standmark.optimizer.day.tournament.tournament import clock_of


def person_calendar(roster: Roster, person: PersonDay, section: Section, *, before: bytes | None = None) -> bytes:
    """Write the day of a person; an entry keeps its identifier while it stays in its slot or its place of the day.

    Parameters
    ----------
    section : the day in words, a row for each stretch, as `person_section`
    before : the file that this one replaces
    """
    day = roster.tournament
    key = hashlib.sha256(f"{day.title}\n{day.date}\n{day.members[person.member].name}".encode()).hexdigest()[:16]
    entries = []
    for number, (duty, row) in enumerate(zip(told_duties(person), section.rows, strict=True)):
        place = f"slot-{duty.film[0]}" if duty.film is not None else f"{duty.kind}-{number}"
        entries.append(
            Entry(
                name=f"{place}-{key}",
                at=clock_of(day, duty.start_min),
                until=clock_of(day, duty.end_min),
                stamp=clock_of(day, day.slots[0].start_min),
                summary=row[2] if duty.film is not None else f"{row[2]}: {day.title}",
                description=row[3],
                location=day.title if duty.film is None else day.pitches[duty.film[1]].name,
            )
        )
    return entries_calendar(entries, before=before)
