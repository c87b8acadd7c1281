"""Who films what, against trying every way through the day; and the size that a real tournament has."""

import random
from collections import Counter
from dataclasses import replace
from datetime import date
from functools import cache
from itertools import product
from zoneinfo import ZoneInfo

import pytest

from standmark.optimizer.day.tournament.assign import assign, crews, with_one_more
from standmark.optimizer.day.tournament.roster import make_roster
from standmark.optimizer.day.tournament.tournament import (
    Fixture,
    Kit,
    Member,
    PeopleRules,
    Pitch,
    Slot,
    Tournament,
    budget_min,
    walks_min,
)
from standmark.optimizer.day.tournament.way import breach
from standmark.optimizer.match.filming import Body
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.match.recorder import Recorder

MATCH = default_match("rugby-sevens")


def kit(name, battery_min=1000.0):
    body = Body(recorder=Recorder(10.0, None, 10_000.0, battery_min))
    return Kit(name, replace(MATCH.cameras[0], body=body))


KITS = (kit("one"), kit("two"))


def tournament(pitches, slots, fixtures, members, *, kits=None, **rules):
    return Tournament(
        "Reed Cup",
        date(2027, 6, 12),
        ZoneInfo("Europe/London"),
        tuple(Pitch(f"P{i}", at) for i, at in enumerate(pitches)),
        tuple(Slot(str(i), *times) for i, times in enumerate(slots)),
        tuple(fixtures),
        tuple(kits or KITS),
        tuple(members),
        PeopleRules(**rules),
    )


def fixture(slot, pitch, *, worth=1.0, source="a", most=2):
    return Fixture(f"{slot}/{pitch}", pitch, slot, source, MATCH, 15.0, worth, most)


def worths(n_kits=2, sources="ab"):
    table = {}
    for number, source in enumerate(sources):
        for one in range(n_kits):
            table[source, (one,)] = 0.4 + 0.05 * one + 0.04 * number
        for one in range(n_kits):
            for two in range(one, n_kits):
                table[source, (one, two)] = 0.55 + 0.03 * (one + two) + 0.05 * number + 0.02 * (one != two)
    return table


def ways_by_hand(day, member, walks):
    """Every list of matches that a person can film, found by trying all, written apart from the network.

    Between two matches one walks straight, or goes to the base for a break in which one may eat.
    """
    rules, base = day.rules, len(day.pitches)
    opens, closes = rules.meal_window_min
    wants_meal = member.from_min <= opens and closes <= member.to_min
    by_slot = {}
    for f in day.fixtures:
        by_slot.setdefault(f.slot, [None]).append(f.pitch)
    for choice in product(*(by_slot.get(s, [None]) for s in range(len(day.slots)))):
        films = [(s, p) for s, p in enumerate(choice) if p is not None]
        if sum(day.slots[s].minutes for s, _ in films) > budget_min(day, member) + 1e-9:
            continue
        states = {("base", member.from_min, None, False)}  # where, since when free, work began, eaten
        for s, p in films:
            start, end = day.slots[s].start_min, day.slots[s].end_min
            after = set()
            for where, free, began, eaten in states:
                if where == "base":
                    leave = start - rules.changeover_min - walks[base, p]
                    if leave < free - 1e-9:
                        continue
                    ate = max(free, opens) + rules.meal_min <= min(leave, closes) + 1e-9
                    after |= {((s, p), end, start, eaten or ate)}
                    continue
                last_slot, last_pitch = where
                gap = start - day.slots[last_slot].end_min
                straight = 0.0 if last_pitch == p else rules.overrun_min + rules.changeover_min + walks[last_pitch, p]
                if gap >= straight - 1e-9:
                    after.add(((s, p), end, began, eaten))
                arrive = free + rules.overrun_min + walks[last_pitch, base]
                leave = start - rules.changeover_min - walks[base, p]
                if leave - arrive >= rules.rest_min - 1e-9:
                    ate = max(arrive, opens) + rules.meal_min <= min(leave, closes) + 1e-9
                    after |= {((s, p), end, start, eaten or ate)}
            states = {
                state
                for state in after
                if state[1] - state[2] <= rules.longest_work_min + 1e-9
                and state[1] + rules.overrun_min <= member.to_min + 1e-9
            }
        good = set()
        for where, free, _, eaten in states:
            arrive = free if where == "base" else free + rules.overrun_min + walks[where[1], base]
            ate = max(arrive, opens) + rules.meal_min <= min(member.to_min, closes) + 1e-9
            good.add(not wants_meal or eaten or ate)
        if any(good):
            yield tuple(films)


def best_by_hand(day, table):
    walks = walks_min(day)
    ways = [list(ways_by_hand(day, member, walks)) for member in day.members]
    kinds = {(f.slot, f.pitch): f for f in day.fixtures}
    best = 0.0
    for films in product(*ways):
        at = {}
        for member, own in zip(day.members, films, strict=True):
            for film in own:
                at.setdefault(film, []).append(member.kit)
        value = 0.0
        for film, kits in at.items():
            if len(kits) > kinds[film].most_cameras:
                break
            value += kinds[film].worth * table[kinds[film].source, tuple(sorted(kits))]
        else:
            best = max(best, value)
    return best


@pytest.mark.parametrize("seed", range(14))
def test_as_good_as_trying_everything(seed):
    draw = random.Random(seed)
    slots, now = [], 640.0
    for _ in range(4):
        length = draw.choice([15.0, 20.0, 25.0])
        slots.append((now, now + length))
        now += length + draw.choice([2.0, 6.0, 12.0, 35.0])
    pitches = [(draw.uniform(0, 500), draw.uniform(0, 300)) for _ in range(3)]
    fixtures = [
        fixture(s, p, worth=draw.choice([1.0, 2.0, 3.5]), source=draw.choice("ab"), most=draw.choice([1, 2]))
        for s in range(4)
        for p in range(3)
        if draw.random() < 0.8
    ]
    members = [
        Member(f"N{i}", draw.choice([0, 1]), draw.choice([600.0, 655.0]), draw.choice([760.0, 900.0]), 9, batteries)
        for i, batteries in enumerate([draw.choice([2, 9]), 9])
    ]
    day = tournament(
        pitches,
        slots,
        fixtures,
        members,
        kits=(kit("one", draw.choice([60.0, 1000.0])), kit("two")),
        longest_work_min=draw.choice([45.0, 90.0, 360.0]),
        rest_min=draw.choice([8.0, 20.0]),
        meal_min=30.0,
        meal_window_min=(650.0, draw.choice([720.0, 800.0])),
    )
    table = worths()
    found = assign(day, table)
    assert found.proven
    assert found.value == pytest.approx(best_by_hand(day, table), abs=1e-4)
    walks = walks_min(day)
    for member, films in zip(day.members, found.films, strict=True):
        assert breach(day, member, films, walks) == ""
    kinds = {(f.slot, f.pitch): f for f in day.fixtures}
    assert all(len(own) <= kinds[film].most_cameras for film, own in crews(day, found.films).items())


def far_day(**rules):
    """Two pitches 600 m apart (12.1 minutes on foot), five slots of 20 minutes, 5 between."""
    slots = [(600.0 + 25 * i, 620.0 + 25 * i) for i in range(5)]
    fixtures = [fixture(s, p, worth=2.0 if p else 1.0) for s in range(5) for p in range(2)]
    return tournament([(0, 0), (600, 0)], slots, fixtures, [Member("Ana", 0, 540.0, 1000.0)], **rules)


def test_too_far_to_change_pitches_between_slots():
    roster = make_roster(far_day(), worths())
    assert {pitch for _, pitch in roster.assignment.films[0]} == {1}  # the worthier, all day
    assert len(roster.filmed) == 5
    assert {missed.reasons for missed in roster.not_filmed} == {(("filming elsewhere", 1),)}
    assert roster.assignment.value == pytest.approx(5 * 2 * 0.4)
    assert roster.one_more[0].kit in (0,)
    assert roster.one_more[0].matches == 5
    assert roster.one_more[0].value == pytest.approx(5 * 0.4)  # the other pitch, not a second camera


def test_a_break_is_due_after_the_longest_work():
    day = far_day(longest_work_min=70.0, rest_min=10.0)
    (films,) = assign(day, worths()).films
    assert len(films) == 4  # two or three together, a slot off, and on
    person = make_roster(day, worths()).people[0]
    assert person.longest_work_min <= 70.0
    missed = [dict(m.reasons) for m in make_roster(day, worths()).not_filmed if m.fixture.worth == 2.0]
    assert missed == [{"due for a break": 1}]


def test_a_meal_takes_a_slot_off():
    day = far_day(meal_window_min=(605.0, 715.0), meal_min=30.0, rest_min=10.0)
    roster = make_roster(day, worths())
    assert len(roster.assignment.films[0]) == 3  # 12 minutes to the base and back leave 30 only over two slots
    meal = next(duty for duty in roster.people[0].duties if duty.kind == "meal")
    assert meal.end_min - meal.start_min == 30.0
    assert 605.0 <= meal.start_min <= 685.0


def test_batteries_set_the_most_that_is_filmed():
    day = replace(far_day(), kits=(kit("one", 60.0), kit("two")))  # 45 minutes a battery, one in reserve
    day = replace(day, members=(replace(day.members[0], n_batteries=2),))
    (films,) = assign(day, worths()).films
    assert len(films) == 2
    reasons = Counter(reason for m in make_roster(day, worths()).not_filmed for reason, _ in m.reasons)
    assert reasons["out of cards or batteries"] >= 3


def test_the_past_stays_when_the_day_is_planned_anew():
    day = far_day()
    first = assign(day, worths())
    now = 650.0
    behind = tuple(film for film in first.films[0] if day.slots[film[0]].start_min < now)
    closed = tuple(f for f in day.fixtures if not (f.slot >= 2 and f.pitch == 1))  # the far pitch is flooded
    again = replace(day, fixtures=closed, from_min=now, members=(replace(day.members[0], filmed=behind),))
    found = assign(again, worths())
    assert found.films[0][: len(behind)] == behind
    assert {pitch for slot, pitch in found.films[0] if slot >= 2} == {0}
    assert found.films[0][len(behind)][0] == 3  # slot 2 is lost to the way
    assert found.proven


def test_two_kits_at_one_match_are_worth_what_their_plan_says():
    slots = [(600.0, 620.0)]
    day = tournament([(0, 0)], slots, [fixture(0, 0)], [Member("Ana", 0, 540.0, 700.0), Member("Bo", 1, 540.0, 700.0)])
    found = assign(day, worths())
    assert found.value == pytest.approx(0.6)
    assert crews(day, found.films) == {(0, 0): (0, 1)}
    assert with_one_more(day, 1).members[-1].kit == 1


def whole_day():
    """8 pitches, 12 slots, 6 people with two kits: the size that has to be done in half a minute."""
    draw = random.Random(1)
    pitches = [(120.0 * (i % 4), 90.0 * (i // 4)) for i in range(8)]
    slots = [(540.0 + 25 * i, 560.0 + 25 * i) for i in range(12)]
    fixtures = [
        fixture(s, p, worth=draw.choice([1, 1, 1.5, 2]), source=draw.choice("ab")) for s in range(12) for p in range(8)
    ]
    members = [Member(f"N{i}", i % 2, 510.0, 900.0, 9, 9) for i in range(6)]
    return tournament(pitches, slots, fixtures, members, longest_work_min=150.0)


@cache
def whole_best():
    return assign(whole_day(), worths(), time_limit_s=30.0)


def test_when_the_time_is_over_the_answer_is_good_and_says_how_far_it_could_be_off():
    day = whole_day()
    walks = walks_min(day)
    found = assign(day, worths(), time_limit_s=1e-3)
    best = whole_best()
    assert not found.proven
    assert all(breach(day, m, films, walks) == "" for m, films in zip(day.members, found.films, strict=True))
    assert 0.8 * best.value < found.value <= best.value
    assert found.upper_bound >= best.value


def test_a_whole_tournament_is_proven():
    day, found = whole_day(), whole_best()
    assert found.proven
    assert found.gap < 1e-4
    walks = walks_min(day)
    assert all(breach(day, m, films, walks) == "" for m, films in zip(day.members, found.films, strict=True))
