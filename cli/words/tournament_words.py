"""A tournament in words: the answer for a terminal, and everybody's day as a table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from standmark.cli.words.lines import wrapped
from standmark.cli.words.section import Section
from standmark.cli.words.shares import whole_percent
from standmark.cli.words.spots import focal_range
from standmark.cli.words.units import Units
from standmark.cli.words.where.place import where
from standmark.optimizer.day.cautions import DEFER, camera_cautions
from standmark.optimizer.day.outing import Outing
from standmark.optimizer.day.tournament.roster import Duty, Filmed, NotFilmed, PersonDay, Roster
from standmark.optimizer.day.tournament.tournament import Member, Tournament, clock_of
from standmark.optimizer.day.tournament.worth import Mix, Plans
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import PeriodPlan

DUTY_WORDS = {
    "arrive": ("Arrive", "Sign in, set the clock of the camera, look at the first pitch."),
    "break": ("Break", ""),
    "meal": ("Meal", "Change card and battery first."),
    "walk": ("Walk", "Keep off the pitches."),
    "back-up": ("Back up", "Two copies of every card, play a clip of each."),
}
MOST_MISSED = 8  # matches not filmed that the answer names
LEAST_TOLD = 0.0005


def tournament_answer(roster: Roster, *, width: int) -> str:
    """Write what is filmed, who does it, what is not filmed and why, and what one more person adds."""
    return "\n".join(_answer_lines(roster, width)) + "\n"


def _answer_lines(roster: Roster, width: int) -> Iterator[str]:
    day, assignment = roster.tournament, roster.assignment
    n_matches = len(day.fixtures)
    yield from wrapped(
        f"{day.title}, {day.date:%a} {day.date.day} {day.date:%B %Y}: {_people(len(day.members))} "
        f"film{'s' if len(day.members) == 1 else ''} {len(roster.filmed)} of {n_matches} matches.",
        width,
    )
    yield from wrapped(f"{_share_words(roster)} {_proof_words(roster)}", width)
    yield ""
    for person in roster.people:
        yield from wrapped(_person_line(roster, person), width, first="  ", rest="    ")
    if roster.not_filmed:
        yield ""
        yield from wrapped(f"Not filmed: {len(roster.not_filmed)}. First by worth:", width)
        for missed in roster.not_filmed[:MOST_MISSED]:
            yield from wrapped(missed_line(day, missed), width, first="  ", rest="    ")
    yield ""
    for more in roster.one_more:
        gain = more.value / max(assignment.value, 1e-12)
        matches = f"{more.matches} more match{'' if more.matches == 1 else 'es'}, " if more.matches > 0 else ""
        words = f"{matches}{whole_percent(gain)} more" if gain >= LEAST_TOLD else "adds nothing"
        yield from wrapped(f"One more person with {day.kits[more.kit].name}: {words}.", width)
    if any(person.filmed_min for person in roster.people):
        yield from wrapped(DEFER, width)


def _people(n: int) -> str:
    return "1 person" if n == 1 else f"{n} people"


def _share_words(roster: Roster) -> str:
    share = roster.assignment.value / roster.assignment.most
    return f"You'll get {whole_percent(share)} of what's worth filming, finals counting as you said."


def _proof_words(roster: Roster) -> str:
    assignment = roster.assignment
    if assignment.proven:
        return "No other choice of people gets more."
    return f"The best possible is at most {100 * assignment.gap:.1f} % more; the time was over before that was settled."


def _person_line(roster: Roster, person: PersonDay) -> str:
    day = roster.tournament
    films = [duty for duty in person.duties if duty.kind == "film"]
    member = day.members[person.member]
    if not films:
        return f"{member.name}: nothing to film."
    meal = next((f", meal {_clock(day, duty.start_min)}" for duty in person.duties if duty.kind == "meal"), "")
    first = films[0]
    assert first.film is not None
    return (
        f"{member.name}: {len(films)} match{'' if len(films) == 1 else 'es'}, first {_clock(day, first.start_min)} on "
        f"{day.pitches[first.film[1]].name}, done {_clock(day, films[-1].end_min)}{meal}; longest work without a break "
        f"{person.longest_work_min:.0f} minutes."
    )


def missed_line(day: Tournament, missed: NotFilmed) -> str:
    """Say which match is not filmed, and why."""
    fixture = missed.fixture
    reasons = ", ".join(f"{count} {reason}" for reason, count in missed.reasons)
    starts = _clock(day, day.slots[fixture.slot].start_min)
    return f"{starts} {day.pitches[fixture.pitch].name}, {fixture.title}: {reasons}."


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f} minute{'' if round(minutes) == 1 else 's'}"


def _clock(day: Tournament, minutes: float) -> str:
    return f"{clock_of(day, minutes):%H:%M}"


def person_section(roster: Roster, person: PersonDay, plans: Plans, *, units: Units) -> Section:
    """One person's day, line by line."""
    day = roster.tournament
    member = day.members[person.member]
    by_film = {(f.fixture.slot, f.fixture.pitch): f for f in roster.filmed}
    rows = tuple(
        (_clock(day, duty.start_min), _clock(day, duty.end_min), *_duty_words(roster, duty, by_film, plans, units))
        for duty in told_duties(person)
    )
    notes = (
        f"Kit: {day.kits[member.kit].name}. {member.n_cards} cards, {member.n_batteries} batteries: enough for "
        f"{person.budget_min:.0f} minutes, you film {person.filmed_min:.0f}.",
        f"On foot: {_minutes(person.walk_min)}. Longest work without a break: {person.longest_work_min:.0f} minutes.",
        f"A match runs late by more than the slack: finish it if the next one is worth less, and call {_lead(day)}.",
        *_phones(day, member),
    )
    hours = f"{_clock(day, member.from_min)} to {_clock(day, member.to_min)}"
    return Section(
        f"person-{person.member}", f"{member.name}, {hours}", ("from", "to", "what", "where, how"), rows, notes
    )


def _lead(day: Tournament) -> str:
    return next((reach(member) for member in day.members if member.is_lead), "the lead")


def reach(member: Member) -> str:
    """Name and telephone of a person."""
    return ", ".join(filter(None, (member.name, member.phone)))


def _phones(day: Tournament, own: Member) -> tuple[str, ...]:
    others = [f"{member.name} {member.phone}" for member in day.members if member.phone and member is not own]
    return (f"Telephones: {'; '.join(others)}.",) if others else ()


def told_duties(person: PersonDay) -> tuple[Duty, ...]:
    """Duties that are named: those of a minute and more."""
    return tuple(duty for duty in person.duties if duty.end_min - duty.start_min >= 1.0)


def _duty_words(
    roster: Roster, duty: Duty, by_film: dict[tuple[int, int], Filmed], plans: Plans, units: Units
) -> tuple[str, str]:
    day = roster.tournament
    if duty.kind != "film" or duty.film is None:
        walk = f"{_minutes(duty.walk_min)} of it on foot. " if duty.walk_min >= 1.0 else ""
        return DUTY_WORDS[duty.kind][0], f"{walk}{DUTY_WORDS[duty.kind][1]}".strip()
    filmed = by_film[duty.film]
    fixture = filmed.fixture
    others = [day.members[m].name for m in filmed.members if m != filmed.members[duty.camera]]
    beside = f" With {' and '.join(others)}." if others else ""
    plan = plans[plan_key(roster, filmed)]
    place = spot_words(plan, duty.camera, units=units) if duty.camera < len(plan.match.cameras) else ""
    return f"Film {fixture.title}", f"{day.pitches[fixture.pitch].name}. {place}{beside}"


def plan_key(roster: Roster, filmed: Filmed) -> tuple[str, Mix]:
    """Name the plan of a match with the kits of those who film it."""
    kits = tuple(sorted(roster.tournament.members[m].kit for m in filmed.members))
    return filmed.fixture.source, kits[: filmed.fixture.most_cameras]


def spot_words(plan: Plan, camera: int, *, units: Units) -> str:
    """Where a camera of a plan stands, with which focal lengths, and what changes in the breaks."""
    told: dict[str, list[PeriodPlan]] = {}
    for period in plan.periods:
        words = where(period.assignments[camera].spot, plan.match, units=units).words
        told.setdefault(words, []).append(period)
    lines = []
    for words, periods in told.items():
        focal_mm = [length for period in periods for length in period.assignments[camera].focal_mm]
        name = "" if len(told) == 1 else f"{periods[0].period.name}: "
        lines.append(f"{name}{words}, {focal_range(min(focal_mm), max(focal_mm))}.")
    return " ".join(lines)


def caution_rows(
    roster: Roster, person: PersonDay, outings: Mapping[tuple[str, Mix], Outing]
) -> tuple[tuple[str, str], ...]:
    """Hazard and caution of every place where a person films, each once."""
    rows: dict[tuple[str, str], None] = {}
    by_film = {(f.fixture.slot, f.fixture.pitch): f for f in roster.filmed}
    for duty in person.duties:
        if duty.film is None:
            continue
        filmed = by_film[duty.film]
        outing = outings[plan_key(roster, filmed)]
        camera = outing.cameras[min(duty.camera, len(outing.cameras) - 1)]
        rows |= dict.fromkeys((c.hazard, f"{c.text} [{c.source}]") for c in camera_cautions(outing, camera))
    return tuple(rows)


def missed_section(roster: Roster) -> Section:
    """Every match that is not filmed, with the reasons."""
    day = roster.tournament
    rows = tuple(
        (
            _clock(day, day.slots[m.fixture.slot].start_min),
            day.pitches[m.fixture.pitch].name,
            m.fixture.title,
            ", ".join(f"{count} {reason}" for reason, count in m.reasons),
        )
        for m in roster.not_filmed
    )
    return Section("missed", "Not filmed", ("time", "pitch", "match", "why"), rows)
