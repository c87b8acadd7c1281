"""A tournament as a chart of pitches by time: who films what, and what nobody films."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, box_ring
from standmark.cli.drawing.palette import CAMERAS
from standmark.cli.drawing.text_size import cut_mm, text_width_mm
from standmark.optimizer.day.tournament.roster import Roster
from standmark.optimizer.day.tournament.tournament import clock_of

WIDTH_MM, MARGIN_MM, ROW_MM, TOP_MM = 287.0, 8.0, 12.0, 24.0
TEXT_MM, KEY_MM, TITLE_MM = 2.7, 2.4, 4.2
NAMES_MM = 30.0  # at most, for the names of the pitches


def tournament_chart(roster: Roster) -> Picture:
    """Draw a row for each pitch and a box for each match: with names in it, dashed where nobody films."""
    day = roster.tournament
    longest = max(text_width_mm(pitch.name, TEXT_MM, is_bold=True) for pitch in day.pitches)
    left = MARGIN_MM + min(longest, NAMES_MM) + 2.5
    begins = min(slot.start_min for slot in day.slots)
    ends = max(slot.end_min for slot in day.slots)
    across = (WIDTH_MM - MARGIN_MM - left) / (ends - begins)
    people_top = TOP_MM + ROW_MM * len(day.pitches) + 10.0
    height = people_top + 5.0 * len(day.members) + MARGIN_MM
    title = f"{day.title}: who films what"

    def x_of(minutes: float) -> float:
        """Where a time lies."""
        return left + (minutes - begins) * across

    marks: list[Mark] = [
        Fill("paper", (box_ring(0, 0, WIDTH_MM, height),)),
        Words("strong", MARGIN_MM, 9.0, title, TITLE_MM),
        Words("quiet", MARGIN_MM, 14.0, f"{day.date:%A} {day.date.day} {day.date:%B %Y}; dashed: not filmed", KEY_MM),
    ]
    for slot in day.slots:
        x = x_of(slot.start_min)
        words = f"{clock_of(day, slot.start_min):%H:%M}"
        marks.append(Words("quiet", x, TOP_MM - 2.0, words, KEY_MM))
        marks.append(Line("rule", (np.array([[x, TOP_MM - 1.0], [x, TOP_MM + ROW_MM * len(day.pitches)]]),)))
    for index, pitch in enumerate(day.pitches):
        y = TOP_MM + ROW_MM * index
        name = cut_mm(pitch.name, TEXT_MM, width_mm=left - MARGIN_MM - 2.0, is_bold=True)
        marks.append(Words("strong", MARGIN_MM, y + ROW_MM / 2 + 1.0, name, TEXT_MM))
    marks += _boxes(roster, x_of(0.0), across)
    marks += _people(roster, people_top)
    told = "; ".join(
        f"{day.pitches[f.fixture.pitch].name} {clock_of(day, day.slots[f.fixture.slot].start_min):%H:%M}: "
        + " and ".join(day.members[m].name for m in f.members)
        for f in roster.filmed
    )
    return Picture(WIDTH_MM, height, tuple(marks), title, told)


def _boxes(roster: Roster, zero_x: float, across: float) -> Iterator[Mark]:
    day = roster.tournament
    filmed = {(f.fixture.slot, f.fixture.pitch): f for f in roster.filmed}
    for fixture in day.fixtures:
        slot = day.slots[fixture.slot]
        x, width = zero_x + slot.start_min * across + 0.3, slot.minutes * across - 0.6
        y = TOP_MM + ROW_MM * fixture.pitch + 0.6
        ring = box_ring(x, y, width, ROW_MM - 1.2)
        own = filmed.get((fixture.slot, fixture.pitch))
        if own is None:
            yield Line("pitch-dashed", (ring,))
        else:
            yield Fill("ground", (ring,))
            for place, member in enumerate(own.members):
                part = box_ring(
                    x, y + place * (ROW_MM - 1.2) / len(own.members), 1.2, (ROW_MM - 1.2) / len(own.members)
                )
                yield Fill(f"camera-{member % len(CAMERAS)}", (part,))
            yield Line("line", (ring,))
        room = width - 2.2
        style = "text" if own is not None else "quiet"
        yield Words(style, x + 1.8, y + 3.6, cut_mm(fixture.title, KEY_MM, width_mm=room), KEY_MM)
        if own is not None:
            names = ", ".join(day.members[m].name for m in own.members)
            names = cut_mm(names, TEXT_MM, width_mm=room, is_bold=True)
            yield Words("strong", x + 1.8, y + 7.8, names, TEXT_MM)


def _people(roster: Roster, top_mm: float) -> Iterator[Mark]:
    day = roster.tournament
    for row, person in enumerate(roster.people):
        member = day.members[person.member]
        y = top_mm + 5.0 * row
        yield Fill(f"camera-{person.member % len(CAMERAS)}", (box_ring(MARGIN_MM, y - 2.2, 2.2, 2.2),))
        films = sum(duty.kind == "film" for duty in person.duties)
        meal = next((d for d in person.duties if d.kind == "meal"), None)
        eats = "" if meal is None else f", meal {clock_of(day, meal.start_min):%H:%M}"
        words = f"{member.name}: {films} match{'' if films == 1 else 'es'} with {day.kits[member.kit].name}{eats}"
        yield Words("text", MARGIN_MM + 4.0, y, words, TEXT_MM)
