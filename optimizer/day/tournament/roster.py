"""What the choice means for people: everybody's day, what is not filmed and why, and what one more person adds."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standmark.geometry.arrays import Floats
from standmark.optimizer.day.tournament.assign import Assignment, WorthTable, assign, crews, with_one_more
from standmark.optimizer.day.tournament.network import Film
from standmark.optimizer.day.tournament.tournament import Fixture, Tournament, budget_min, walks_min
from standmark.optimizer.day.tournament.way import REASONS, Gap, breach, gaps, meal_at, work_stretches

ELSEWHERE = "filming elsewhere"
LEAST_TIME_S = 1.0  # for the question what one more person adds


@dataclass(frozen=True)
class Duty:
    """One stretch of somebody's day."""

    kind: str  # "arrive", "film", "walk", "break", "meal", "back-up"
    start_min: float
    end_min: float
    film: Film | None = None
    camera: int = 0  # place among the cameras of the match
    walk_min: float = 0.0  # on foot within the stretch


@dataclass(frozen=True)
class PersonDay:
    """One person's day."""

    member: int
    duties: tuple[Duty, ...]
    filmed_min: float
    budget_min: float  # that cards and batteries allow
    walk_min: float
    longest_work_min: float  # without a break


@dataclass(frozen=True)
class Filmed:
    """A match that is filmed, and by whom."""

    fixture: Fixture
    members: tuple[int, ...]
    share: float  # of what the match has to offer


@dataclass(frozen=True)
class NotFilmed:
    """A match that nobody films, and why: how many people for each reason."""

    fixture: Fixture
    reasons: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class OneMore:
    """What one more person of a kit adds."""

    kit: int
    value: float  # added worth
    matches: int  # more matches filmed


@dataclass(frozen=True)
class Roster:
    """The whole answer for a tournament."""

    tournament: Tournament
    assignment: Assignment
    people: tuple[PersonDay, ...]
    filmed: tuple[Filmed, ...]
    not_filmed: tuple[NotFilmed, ...]  # the worthiest first
    one_more: tuple[OneMore, ...]  # the best kit first; () where there was no time to find out


def make_roster(tournament: Tournament, worth: WorthTable, *, time_limit_s: float | None = None) -> Roster:
    """Choose who films what, and say what it means.

    Parameters
    ----------
    time_limit_s : for the choice and the question of one more person together
    """
    began = time.monotonic()
    assignment = assign(tournament, worth, time_limit_s=time_limit_s)
    walks = walks_min(tournament)
    at = crews(tournament, assignment.films)
    filmed = tuple(_filmed(tournament, at, worth))
    return Roster(
        tournament=tournament,
        assignment=assignment,
        people=tuple(_person(tournament, index, films, at, walks) for index, films in enumerate(assignment.films)),
        filmed=filmed,
        not_filmed=tuple(_not_filmed(tournament, assignment, at, walks)),
        one_more=_one_more(tournament, worth, assignment, len(filmed), began, time_limit_s),
    )


def _filmed(tournament: Tournament, at: dict[Film, tuple[int, ...]], worth: WorthTable) -> Iterator[Filmed]:
    for fixture in tournament.fixtures:
        own = at.get((fixture.slot, fixture.pitch), ())
        if own:
            mix = tuple(sorted(tournament.members[m].kit for m in own))[: fixture.most_cameras]
            yield Filmed(fixture, own, worth[fixture.source, mix])


def _person(
    tournament: Tournament, index: int, films: Sequence[Film], at: dict[Film, tuple[int, ...]], walks: Floats
) -> PersonDay:
    member = tournament.members[index]
    spaces = gaps(tournament, member, films, walks)
    eats = meal_at(tournament, spaces)
    duties: list[Duty] = []
    for place, space in enumerate(spaces):
        if space.is_break and space.end_min > space.start_min:
            rest = "break" if not films or 0 < place < len(films) else "back-up" if place else "arrive"
            duties += _break(space, eats, tournament.rules.meal_min, rest)
        elif space.walk_min:
            duties.append(Duty("walk", space.start_min, space.end_min, walk_min=space.walk_min))
        if place < len(films):
            own = tournament.slots[films[place][0]]
            camera = at[films[place]].index(index)
            duties.append(Duty("film", own.start_min, own.end_min, films[place], camera))
    stretches = list(work_stretches(tournament, films, spaces))
    return PersonDay(
        member=index,
        duties=tuple(duties),
        filmed_min=sum(tournament.slots[slot].minutes for slot, _ in films),
        budget_min=budget_min(tournament, member),
        walk_min=sum(space.walk_min for space in spaces),
        longest_work_min=max((end - start for start, end in stretches), default=0.0),
    )


def _break(space: Gap, eats: float | None, meal_min: float, rest: str) -> list[Duty]:
    """Split free time round the meal, if that falls into it; what is left is called a break, arrival or back-up."""
    start, end, walk = space.start_min, space.end_min, space.walk_min
    if eats is None or not start <= eats < end:
        return [Duty(rest, start, end, walk_min=walk)]
    parts = [Duty("meal", eats, eats + meal_min, walk_min=walk)]
    if eats > start:
        parts.insert(0, Duty("break" if rest == "back-up" else rest, start, eats))
    if eats + meal_min < end:
        parts.append(Duty("break" if rest == "arrive" else rest, eats + meal_min, end))
    return parts


def _not_filmed(
    tournament: Tournament, assignment: Assignment, at: dict[Film, tuple[int, ...]], walks: Floats
) -> Iterator[NotFilmed]:
    missed = [f for f in tournament.fixtures if (f.slot, f.pitch) not in at]
    for fixture in sorted(missed, key=lambda f: (-f.worth, f.slot, f.pitch)):
        reasons = Counter(
            ELSEWHERE
            if any(slot == fixture.slot for slot, _ in films)
            else REASONS.get(breach(tournament, member, sorted([*films, (fixture.slot, fixture.pitch)]), walks), "free")
            for member, films in zip(tournament.members, assignment.films, strict=True)
        )
        yield NotFilmed(fixture, tuple(reasons.most_common()))


def _one_more(
    tournament: Tournament,
    worth: WorthTable,
    assignment: Assignment,
    n_filmed: int,
    began: float,
    time_limit_s: float | None,
) -> tuple[OneMore, ...]:
    gains = []
    for kit in sorted({member.kit for member in tournament.members}):
        left = None if time_limit_s is None else time_limit_s - (time.monotonic() - began)
        if left is not None and left < LEAST_TIME_S:
            break
        larger = with_one_more(tournament, kit)
        more = assign(larger, worth, time_limit_s=left)
        n_more = len(crews(larger, more.films)) - n_filmed
        gains.append(OneMore(kit, more.value - assignment.value, n_more))
    return tuple(sorted(gains, key=lambda gain: -gain.value))
