"""A tournament's answer as JSON, and what it says of the past when the day is planned anew."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from standmark.cli.words.plain_data import document_bytes
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.day.tournament.roster import Roster
from standmark.optimizer.day.tournament.tournament import Tournament, clock_of
from standmark.sports.toml.regular_file import read_at_most

SCHEMA = "standmark.tournament/1"
MAX_BYTES = 1 << 24


def tournament_document(roster: Roster) -> dict[str, Any]:
    """Return the whole answer as plain data."""
    day, assignment = roster.tournament, roster.assignment
    shares = {(f.fixture.slot, f.fixture.pitch): f for f in roster.filmed}
    missed = {(m.fixture.slot, m.fixture.pitch): m for m in roster.not_filmed}

    def at(minutes: float) -> str:
        """Time as text."""
        return clock_of(day, minutes).isoformat()

    matches = []
    for fixture in day.fixtures:
        key = (fixture.slot, fixture.pitch)
        filmed = shares.get(key)
        slot = day.slots[fixture.slot]
        matches.append(
            {
                "title": fixture.title,
                "pitch": day.pitches[fixture.pitch].name,
                "slot": slot.name,
                "start": at(slot.start_min),
                "end": at(slot.end_min),
                "worth": fixture.worth,
                "source": fixture.source,
                "filmed_by": [] if filmed is None else [day.members[m].name for m in filmed.members],
                "share": 0.0 if filmed is None else filmed.share,
                "why_not": {} if key not in missed else dict(missed[key].reasons),
            }
        )
    people = [
        {
            "name": day.members[person.member].name,
            "kit": day.kits[day.members[person.member].kit].name,
            "filmed_min": person.filmed_min,
            "budget_min": person.budget_min,
            "walk_min": round(person.walk_min, 3),
            "longest_work_min": person.longest_work_min,
            "duties": [
                {
                    "kind": duty.kind,
                    "start": at(duty.start_min),
                    "end": at(duty.end_min),
                    "pitch": None if duty.film is None else day.pitches[duty.film[1]].name,
                    "slot": None if duty.film is None else day.slots[duty.film[0]].name,
                }
                for duty in person.duties
            ],
        }
        for person in roster.people
    ]
    return {
        "schema": SCHEMA,
        "title": day.title,
        "date": day.date.isoformat(),
        "value": assignment.value,
        "upper_bound": assignment.upper_bound,
        "most": assignment.most,
        "gap": assignment.gap,
        "proven": assignment.proven,
        "from": None if day.from_min is None else at(day.from_min),
        "matches": matches,
        "people": people,
        "one_more": [
            {"kit": day.kits[more.kit].name, "value": more.value, "matches": more.matches} for more in roster.one_more
        ],
    }


def tournament_bytes(roster: Roster) -> bytes:
    """Write the whole answer as JSON."""
    return document_bytes(tournament_document(roster))


def with_past(day: Tournament, path: Path, *, from_min: float) -> Tournament:
    """The same day, planned anew from a time: what an earlier answer had before it stays as it was.

    Raises
    ------
    InputError : no such answer, or it speaks of people, pitches or slots that the file has no more
    """
    try:
        document = json.loads(read_at_most(path, most_bytes=MAX_BYTES, size_words="16 MiB"))
    except (ValueError, RecursionError) as error:
        raise InputError(f"{path}: not JSON; give the tournament.json that the first run wrote") from error
    if not isinstance(document, dict) or document.get("schema") != SCHEMA:
        raise InputError(f"{path}: not a tournament.json of standmark ({SCHEMA})")
    slots = {slot.name: index for index, slot in enumerate(day.slots)}
    pitches = {pitch.name: index for index, pitch in enumerate(day.pitches)}
    behind: dict[str, list[tuple[int, int]]] = {}
    try:
        for match in document["matches"]:
            slot, pitch = slots.get(match["slot"]), pitches.get(match["pitch"])
            if not match["filmed_by"]:
                continue
            if slot is None or pitch is None:
                if match["start"] >= clock_of(day, from_min).isoformat():
                    continue
                kind, name = ("slot", match["slot"]) if slot is None else ("pitch", match["pitch"])
                raise InputError(
                    f'{path}: {kind} "{shown(name)}", where somebody has filmed, is not in the file; keep it there'
                )
            if day.slots[slot].start_min < from_min:
                for name in match["filmed_by"]:
                    behind.setdefault(name, []).append((slot, pitch))
    except (KeyError, TypeError, AttributeError) as error:
        raise InputError(f"{path}: not a whole tournament.json of standmark; run the day without --from") from error
    names = {member.name for member in day.members}
    for name in behind:
        if name not in names:
            raise InputError(
                f'{path}: "{shown(name)}" has filmed already but is not in the file; keep them, with an earlier to'
            )
    members = tuple(replace(m, filmed=tuple(sorted(behind.get(m.name, ())))) for m in day.members)
    return replace(day, members=members, from_min=from_min)
