"""One person's way through the day: what lies between the matches, and whether it keeps the rules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from standmark.geometry.arrays import Floats
from standmark.optimizer.day.tournament.network import Film, direct_walk
from standmark.optimizer.day.tournament.tournament import Member, Tournament, budget_min, needs_meal

EARLIEST = 1e-9
REASONS = {
    "hours": "not at work",
    "walk": "too far away to be there in time",
    "work": "due for a break",
    "meal": "without a meal if they went",
    "power": "out of cards or batteries",
}


@dataclass(frozen=True)
class Gap:
    """Time between two matches, before the first, or after the last."""

    start_min: float
    end_min: float
    walk_min: float
    is_break: bool  # long enough to rest at the base


def gaps(tournament: Tournament, member: Member, films: Sequence[Film], walks: Floats) -> tuple[Gap, ...]:
    """Time before, between and after the matches of a person, one gap more than matches.

    A break lies between the arrival at the base and the moment to leave it.
    """
    rules, base = tournament.rules, len(tournament.pitches)
    if not films:
        return (Gap(member.from_min, member.to_min, 0.0, True),)
    first, last = films[0], films[-1]
    to_first, from_last = float(walks[base, first[1]]), float(walks[last[1], base])
    all_gaps = [Gap(member.from_min, tournament.slots[first[0]].start_min - rules.changeover_min - to_first, 0.0, True)]
    for before, after in pairwise(films):
        ends, starts = tournament.slots[before[0]].end_min, tournament.slots[after[0]].start_min
        by_base = float(walks[before[1], base]), float(walks[base, after[1]])
        at_base = ends + rules.overrun_min + by_base[0], starts - rules.changeover_min - by_base[1]
        if at_base[1] - at_base[0] >= rules.rest_min - EARLIEST:
            all_gaps.append(Gap(*at_base, sum(by_base), True))
        else:
            all_gaps.append(Gap(ends, starts, direct_walk(tournament, walks, before, after) or 0.0, False))
    ends = tournament.slots[last[0]].end_min + rules.overrun_min
    return (*all_gaps, Gap(ends + from_last, member.to_min, from_last, True))


def meal_at(tournament: Tournament, spaces: Sequence[Gap]) -> float | None:
    """Minute at which a person eats: in the break that has most of the meal's hours, as near their middle as it lets.

    None where no break is long enough.
    """
    opens, closes = tournament.rules.meal_window_min
    best: tuple[float, float] | None = None
    for gap in spaces:
        start, end = max(gap.start_min, opens), min(gap.end_min, closes)
        room = end - start
        if gap.is_break and room >= tournament.rules.meal_min - EARLIEST and (best is None or room > best[0]):
            best = (
                room,
                min(max((opens + closes - tournament.rules.meal_min) / 2.0, start), end - tournament.rules.meal_min),
            )
    return None if best is None else best[1]


def work_stretches(
    tournament: Tournament, films: Sequence[Film], spaces: Sequence[Gap]
) -> Iterator[tuple[float, float]]:
    """Start and end of each stretch of work without a break."""
    began = 0.0
    for index, (slot, _) in enumerate(films):
        own = tournament.slots[slot]
        if index == 0 or spaces[index].is_break:
            began = own.start_min
        if index + 1 == len(films) or spaces[index + 1].is_break:
            yield began, own.end_min


def breach(tournament: Tournament, member: Member, films: Sequence[Film], walks: Floats) -> str:
    """Name the rule that a way through the day breaks, a key of REASONS; "" for none."""
    rules, base = tournament.rules, len(tournament.pitches)
    slots = tournament.slots
    spaces = gaps(tournament, member, films, walks)
    for slot, pitch in films:
        begins = slots[slot].start_min - rules.changeover_min - float(walks[base, pitch])
        if begins < member.from_min - EARLIEST or slots[slot].end_min + rules.overrun_min > member.to_min + EARLIEST:
            return "hours"
    for index, (before, after) in enumerate(pairwise(films), start=1):
        if not spaces[index].is_break and direct_walk(tournament, walks, before, after) is None:
            return "walk"
    if sum(slots[slot].minutes for slot, _ in films) > budget_min(tournament, member) + EARLIEST:
        return "power"
    longest = max((end - start for start, end in work_stretches(tournament, films, spaces)), default=0.0)
    if longest > rules.longest_work_min + EARLIEST:
        return "work"
    if needs_meal(tournament, member) and meal_at(tournament, spaces) is None:
        return "meal"
    return ""
