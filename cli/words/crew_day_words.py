"""A day with several matches in words: the answer for a terminal, the lists in full, and the JSON document."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.cli.words.day_sections import caution_row, date_row, kit_rows, mishap_sections, zone_words
from standmark.cli.words.lines import wrapped
from standmark.cli.words.plain_data import document_text, plain
from standmark.cli.words.section import Section
from standmark.cli.words.short_answers import closing_lines, does_words, is_told
from standmark.optimizer.day.breaks import Stretch
from standmark.optimizer.day.crew_day import CrewDay, StopTime
from standmark.optimizer.day.stop import Changeover, Stop, stop_finish
from standmark.sports.timeline import clock_words, clocks_change

SCHEMA = "standmark.days/1"
SKIPPED = ("warm-up", "line-up", "test", "toss")  # in the short answer, beside what one match leaves out


def crew_day_answer(day: CrewDay, *, width: int) -> str:
    """Write what clashes, the matches, the times in short, breaks and meals, and what to pack."""
    return "\n".join(_answer_lines(day, width)) + "\n"


def _answer_lines(day: CrewDay, width: int) -> Iterator[str]:
    first = day.times[0].time.at
    head = f"{first:%a} {first.day} {first:%B %Y}, {len(day.stops)} matches. Be there at {first:%H:%M}."
    yield from wrapped(head, width)
    for words in (*day.clashes, *(w.partition(" [")[0] for w in day.warnings)):
        yield from wrapped(words, width, first="! ", rest="  ")
    yield ""
    for entry in day.times:
        if is_told(entry.time) and entry.time.key not in SKIPPED and not _is_in_match(entry):
            line = f"{entry.time.at:%H:%M}  {_line_words(day, entry)}"
            yield from wrapped(line, width, first="  ", rest="         ")
    yield ""
    yield from wrapped(_break_words(day), width, first="  ", rest="    ")
    contacts = dict.fromkeys((s.outing.ground, s.outing.contact) for s in day.stops if s.outing.contact)
    for ground, contact in contacts:
        yield from wrapped(f"At {ground}: {contact}.", width, first="  ", rest="    ")
    yield from closing_lines(day, "All times, cautions and lists: add --more.", width)


def _is_in_match(entry: StopTime) -> bool:
    """Whether a line tells of a break or a later period: the sheet of each match has those."""
    key = entry.time.key
    return (key.startswith(("break-", "back-", "pause-")) and key != "back-up") or (
        key.startswith("start-") and entry.time.name != "Start"
    )


def _line_words(day: CrewDay, entry: StopTime) -> str:
    time, stop = entry.time, day.stops[entry.stop]
    if time.key == "arrive":
        return f"arrive at {stop.outing.ground}, sign in, ask for the places"
    if time.key.startswith("start-"):
        return f"{stop.title} starts, {stop.outing.ground}"
    if time.key == "finish":
        return f"{stop.title} ends: film on, faces, thanks"
    if time.key == "leave":
        way = time.what.partition(". ")[0]
        return "change over" if time.name == "Change" else f"{time.name.lower()} {way[:1].lower()}{way[1:]}"
    return does_words(time)


def _break_words(day: CrewDay) -> str:
    meals = [f"{meal.name} {_span(meal.at)}" for meal in day.meals if meal.at is not None]
    rests = [_span(rest) for rest in day.rests]
    said = f"Breaks: {', '.join(rests)}." if rests else "No break of 20 minutes all day."
    eaten = f" Eat: {', '.join(meals)}." if meals else ""
    hours = day.longest_work.minutes / 60.0
    return f"{said}{eaten} Longest work without a break: {hours:.1f} hours, {_span(day.longest_work)}."


def _span(stretch: Stretch) -> str:
    return f"{clock_words(stretch.start)} to {clock_words(stretch.end)}"


def crew_day_sections(day: CrewDay) -> tuple[Section, ...]:
    """Tell the whole day: clashes and times first, then breaks, power, kit, cautions and lists."""
    is_changed = clocks_change(entry.time.at for entry in day.times)
    first = day.times[0].time.at
    sections = (
        Section(
            "matches",
            f"Matches, {first:%A} {first.day} {first:%B %Y} ({zone_words(first)})",
            ("", "start", "end", "match", "ground"),
            tuple((str(n), *_stop_row(stop)) for n, stop in enumerate(day.stops, start=1)),
            notes=tuple(_change_words(change) for change in day.changeovers),
            warnings=day.clashes,
        ),
        Section(
            "times",
            "Times",
            ("time", "match", "what", "do"),
            tuple(
                (clock_words(e.time.at, with_offset=is_changed), str(e.stop + 1), e.time.name, e.time.what)
                for e in day.times
            ),
        ),
        Section("breaks", "Breaks and meals", notes=(_break_words(day),), warnings=day.warnings),
        Section("cautions", "Cautions", ("hazard", "caution"), tuple(map(caution_row, day.cautions)), (), (day.defer,)),
        Section("kit", "Pack, once for all matches", ("for", "number", "what", "why"), kit_rows(day.kit)),
        Section(
            "dates",
            "Dates before the day",
            ("match", "when", "what", "do"),
            tuple((str(entry.stop + 1), *date_row(entry.time)) for entry in day.deadlines),
        ),
        Section("before", "Before the day", notes=day.preparation),
        *mishap_sections(
            [
                (f"{name} in match {number}", own)
                for number, stop in enumerate(day.stops, start=1)
                for name, own in stop.day.mishaps
            ]
        ),
        Section("access", "Getting in", notes=day.access),
        Section("welfare", "Staying fit", notes=day.welfare),
    )
    return tuple(section for section in sections if section.rows or section.notes or section.warnings)


def _stop_row(stop: Stop) -> tuple[str, ...]:
    return clock_words(stop.start), clock_words(stop_finish(stop)), stop.title, stop.outing.ground


def _change_words(change: Changeover) -> str:
    way = {
        "same ground": "on the same ground",
        "unknown": "way not known",
        "foot": f"{change.way.minutes:.0f} minutes on foot",
        "road": f"{change.way.minutes:.0f} minutes by road and parking",
    }[change.way.kind]
    return (
        f"{change.before} to {change.after}: {way}; {change.needed_min:.0f} minutes needed, "
        f"{max(change.free_min, 0.0):.0f} there."
    )


def crew_day_document(day: CrewDay) -> str:
    """Write a day with several matches as one JSON document."""
    told = plain(day)
    for stop in told["stops"]:
        del stop["day"]  # its times, kit and cautions stand in the lists of the whole day
        del stop["outing"]["contact"]  # names and telephones stay out of data files
    return document_text({"schema": SCHEMA, **told})
