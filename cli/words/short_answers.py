"""Settings and day in a few lines for a terminal; the reasons and the lists come only when asked for."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from standmark.cli.words.crew_words import call_words, contact_of
from standmark.cli.words.dial import camera_dials, dial_notes
from standmark.cli.words.lines import wrapped
from standmark.cli.words.spots import short_period
from standmark.optimizer.day.crew_day import CrewDay
from standmark.optimizer.day.day import Day
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.match.crew import GROUND
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.planned import PlannedCard
from standmark.sports.timeline import later, period_starts_min

SHORT = ("rate", "shutter", "aperture", "ND", "ISO", "white balance", "focus")
GAP = 3
COLUMNS_FROM = 72  # letters in a line from which call times stand in two columns
MOST_PACKED = 8
SKIPPED = ("set-up", "rest", "team-talk", "reactions")
DOES = {
    "leave-home": "set off",
    "arrive": "arrive, sign in, see places",
    "test": "test: record, play back",
    "warm-up": "film the warm-up",
    "line-up": "teams walk out",
    "roll": "in place, record",
    "finish": "film on: faces, thanks",
    "back-up": "two copies, check both",
}


def settings_answer(plan: Plan, cards: tuple[PlannedCard, ...], *, width: int) -> str:
    """Write the dial of every camera on a line, what changes with the light, and every warning."""
    match, dials = plan.match, camera_dials(plan, cards)
    light = cards[0].card.light.name.split(",")[0].split(" (")[0]
    lines = [*wrapped(f"{_when(match)}, {light}. Set once, leave it.", width), ""]
    rows = [("", *SHORT), *((name, *dial.cells) for name, dial in dials.items())]
    wide = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    room = GAP if 2 + sum(wide) + GAP * (len(wide) - 1) <= width else 2
    for row in rows:
        cells = [f"{cell:<{w}}" if i in (0, len(row) - 1) else f"{cell:>{w}}" for i, (cell, w) in _numbered(row, wide)]
        line = (" " * room).join(cells).rstrip()
        lines += [line] if len(line) <= width else wrapped(" ".join(line.split()), width, rest="    ")
    lines.append("")
    notes: dict[str, list[str]] = {}
    for name, dial in dials.items():
        for note in dial_notes(dial):
            notes.setdefault(note, []).append(name)
    for note, names in notes.items():
        lines += wrapped(_with_names(note, names, dials), width, first="  ", rest="    ")
    warnings: dict[str, list[str]] = {}
    for name, dial in dials.items():
        for warning in dict.fromkeys(dial.warnings):
            warnings.setdefault(warning, []).append(name)
    for warning, names in warnings.items():
        lines += wrapped(_with_names(warning, names, dials), width, first="! ", rest="  ")
    lines += wrapped("Reasons, blur and depth of field: add --more.", width, first="  ", rest="    ")
    return "\n".join(lines) + "\n"


def _with_names(words: str, names: Sequence[str], every: Collection[str]) -> str:
    """Say for which cameras something holds, where it isn't all of them: "Slow motion (B): ...", "B: ..."."""
    who = ", ".join(names)
    if len(names) == len(every):
        return words
    lead, colon, rest = words.partition(": ")
    return f"{lead} ({who}): {rest}" if colon and "." not in lead else f"{who}: {words[:1].lower()}{words[1:]}"


def _numbered(row: Sequence[str], wide: Sequence[int]) -> Iterator[tuple[int, tuple[str, int]]]:
    return enumerate(zip(row, wide, strict=True))


def _when(match: Match) -> str:
    if match.start is None:
        return match.venue.name
    starts = period_starts_min(match.sport.periods)
    end = later(match.start, starts[-1] + match.sport.periods[-1].minutes)
    return f"{match.venue.name}, {match.start:%H:%M} to {end:%H:%M}"


def day_answer(match: Match, day: Day, *, width: int) -> str:
    """Write when to be there, what happens when, what is still open, what to pack, and the first caution."""
    return "\n".join(_day_lines(match, day, width)) + "\n"


def _day_lines(match: Match, day: Day, width: int) -> Iterator[str]:
    if not day.times:
        yield f"{match.venue.name}."
        yield from wrapped("No start in the match file, so no times: add start and timezone.", width)
    else:
        first = next((time.at for time in day.times if time.key == "arrive"), day.times[0].at)
        yield from wrapped(
            f"{match.venue.name}, {first:%a} {first.day} {first:%B %Y}. Be there at {first:%H:%M}.", width
        )
        yield from wrapped(_before_words(day), width)
        yield ""
        yield from _time_lines([t for t in day.times if is_told(t)], width)
    yield ""
    call = call_words(match)
    if call:
        yield from wrapped(f"Call: {call[:1].lower()}{call[1:]}", width, first="  ", rest="    ")
    still = [] if contact_of(match, GROUND).known else ["name and phone at the ground"]
    still += ["who must not be shown"] if _has_consent(day) else []
    if still:
        yield from wrapped(f"Still open: {', '.join(still)}.", width, first="  ", rest="    ")
    yield from closing_lines(day, "All cautions and lists: add --more.", width)


def closing_lines(day: Day | CrewDay, more: str, width: int) -> Iterator[str]:
    """Say what to pack, the first caution, whose word goes first, and where the rest is."""
    quantity: dict[str, int] = {}
    for item in day.kit:
        quantity[item.name] = quantity.get(item.name, 0) + item.quantity
    packed = [_counted(name, n) for name, n in quantity.items()]
    rest = f", and {len(packed) - MOST_PACKED} more" if len(packed) > MOST_PACKED else ""
    yield from wrapped(f"Pack: {', '.join(packed[:MOST_PACKED])}{rest}.", width, first="  ", rest="    ")
    yield from wrapped(f"Care: {day.cautions[0].text}", width, first="  ", rest="    ")
    yield from wrapped(f"{day.defer} {more}", width, first="  ", rest="    ")


def _counted(name: str, n: int) -> str:
    """So many of a thing: "2 cards of 128 GB", "4 batteries", "2 x 24-70 mm", "tripod"."""
    plain = name.removeprefix("lens ")
    if n == 1:
        return plain
    first, of, rest = plain.partition(" of ")
    if not first.isalpha():
        return f"{n} x {plain}"
    return f"{n} {first[:-1] + 'ies' if first.endswith('y') else first + 's'}{of}{rest}"


def _before_words(day: Day) -> str:
    """Say in a line what has a date before the day."""
    dates = {time.key: f"{time.at:%a} {time.at.day} {time.at:%B}" for time in day.deadlines}
    asked = f"ask for permission to film by {dates['ask']}; " if "ask" in dates else ""
    return f"Before: {asked}confirm ground and start on {dates['check-first']} and again on {dates['check-second']}."


def _has_consent(day: Day) -> bool:
    return any("consent" in caution.text for caution in day.cautions)


def _time_lines(times: Sequence[KeyTime], width: int) -> Iterator[str]:
    told = [f"{time.at:%H:%M}  {does_words(time)}" for time in times]
    if width < COLUMNS_FROM:
        for line in told:
            yield from wrapped(line, width, first="  ", rest="         ")
        return
    half, room = (len(told) + 1) // 2, width // 2 - 2
    left = [wrapped(line, room - 2, rest="       ") for line in told[:half]]
    right = [wrapped(line, room - 2, rest="       ") for line in told[half:]]
    for i in range(half):
        pair = (left[i], right[i] if i < len(right) else [])
        for k in range(max(len(pair[0]), len(pair[1]))):
            a = pair[0][k] if k < len(pair[0]) else ""
            b = pair[1][k] if k < len(pair[1]) else ""
            yield f"  {a:<{room}}{b}".rstrip()


def is_told(time: KeyTime) -> bool:
    """Whether a short answer names a time: not what is a habit, and not what happens only at some matches."""
    return time.is_certain and time.key not in SKIPPED and not time.key.startswith("ceremony-")


def does_words(time: KeyTime) -> str:
    """Say in a few words what to do at a call time."""
    if time.key in DOES:
        return DOES[time.key]
    if time.key.startswith("break-"):
        walks = "moves" in time.what or "walk" in time.what
        if walks:
            return "walk over, new battery"
        return "break: new battery and card" if "Fresh battery" in time.what else "short break: a drink"
    if time.key == "toss":
        return f"{time.name.lower()}: {time.what[:1].lower()}{time.what[1:].partition(',')[0].rstrip('.')}"
    if time.key.startswith("pause-"):
        return f"{time.name.lower()}: a drink"
    if time.key.startswith("back-"):
        return "in place, record"
    return "start" if time.name == "Start" else short_period(time.name.removesuffix(" starts")).lower()
