"""One time line for a crew that films several matches on a day: changeovers, breaks, meals, kit, clashes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from standmark.optimizer.day.breaks import (
    LAW,
    LONGEST_WORK_MIN,
    MEAL_MIN,
    REST_MIN,
    Meal,
    Stretch,
    meals_of,
    rests_of,
    work_between,
)
from standmark.optimizer.day.call_times import BACK_IN_PLACE_MIN
from standmark.optimizer.day.cautions import Caution
from standmark.optimizer.day.day_power import CHARGE_MIN, DayPower, day_power
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.day.kit_list import Item
from standmark.optimizer.day.stop import (
    REACTIONS_MIN,
    ROLL_MIN,
    SET_UP_MIN,
    Changeover,
    Stop,
    changeover,
    stop_finish,
)
from standmark.optimizer.match.leads import BEFORE_START, COMMON
from standmark.sports.timeline import clock_words, later, period_starts_min

BACK_UP_LASTS_MIN = 15.0  # of one match's cards, from its call time; common practice, no source
EARLY = tuple(lead.key for lead in BEFORE_START)
FILMED_BEFORE = ("warm-up", "team-talk", "line-up", "roll")  # what is filmed before a start, in order of time


@dataclass(frozen=True)
class StopTime:
    """One line of the crew's time line: of which match, and what."""

    stop: int  # index of the match
    time: KeyTime


@dataclass(frozen=True)
class CrewDay:
    """A whole day of one crew."""

    stops: tuple[Stop, ...]  # in order of their starts
    times: tuple[StopTime, ...]
    changeovers: tuple[Changeover, ...]
    clashes: tuple[str, ...]  # what cannot be done, worst first; () for none
    rests: tuple[Stretch, ...]  # breaks of at least REST_MIN
    meals: tuple[Meal, ...]
    longest_work: Stretch  # without a break
    warnings: tuple[str, ...]  # about breaks, meals and ways
    power: tuple[DayPower, ...]
    kit: tuple[Item, ...]
    cautions: tuple[Caution, ...]
    preparation: tuple[str, ...]
    access: tuple[str, ...]
    welfare: tuple[str, ...]
    defer: str
    deadlines: tuple[StopTime, ...] = ()  # before the day


def crew_day(stops: Sequence[Stop]) -> CrewDay:
    """Put the days of several matches together for the crew that films them all.

    Parameters
    ----------
    stops : at least two; each with a start
    """
    ordered = tuple(sorted(stops, key=lambda stop: stop.start))
    changeovers = tuple(changeover(before, after) for before, after in pairwise(ordered))
    times = tuple(_times(ordered, changeovers))
    whole = Stretch(times[0].time.at, later(times[-1].time.at, BACK_UP_LASTS_MIN))
    rests = rests_of(tuple(_free(ordered, changeovers, times)))
    meals = meals_of(whole, rests)
    longest = max(work_between(whole, rests), key=lambda work: work.minutes)
    power = day_power(ordered)
    return CrewDay(
        stops=ordered,
        times=times,
        changeovers=changeovers,
        clashes=tuple(_clashes(ordered, changeovers)),
        rests=rests,
        meals=meals,
        longest_work=longest,
        warnings=(*_warnings(changeovers, meals, longest), *_overtime_warnings(ordered, changeovers)),
        power=power,
        kit=_kit(ordered, power),
        cautions=_cautions(ordered),
        preparation=_each_once(line for stop in ordered for line in stop.day.preparation),
        access=_each_once(line for stop in ordered for line in stop.day.access),
        welfare=_each_once(line for stop in ordered for line in stop.day.welfare),
        defer=ordered[0].day.defer,
        deadlines=tuple(
            sorted(
                (StopTime(index, time) for index, stop in enumerate(ordered) for time in stop.day.deadlines),
                key=lambda entry: entry.time.at,
            )
        ),
    )


def _arrival(stop: Stop, change: Changeover) -> datetime:
    """When the crew is at the next ground and begins to set up: after the last pictures, packing and the way."""
    return later(stop_finish(stop), change.needed_min - SET_UP_MIN)


def _times(stops: tuple[Stop, ...], changeovers: tuple[Changeover, ...]) -> Iterator[StopTime]:
    """Times of all matches, without what there is no time for between two of them."""
    times: list[StopTime] = []
    free_from: datetime | None = None
    for index, stop in enumerate(stops):
        kept = list(stop.day.times)
        if free_from is not None:
            change = changeovers[index - 1]
            opening = _opening(stop, _arrival(stops[index - 1], change), free_from, change)
            kept = [*opening, *(t for t in kept if t.key not in EARLY and t.at >= opening[0].at)]
        if index + 1 < len(stops):
            change = changeovers[index]
            kept = list(_backed_up(kept, _arrival(stop, change), stops[index + 1]))
            kept.append(_leave(stop, stops[index + 1], change))
            backed_up = [later(t.at, BACK_UP_LASTS_MIN) for t in kept if t.key == "back-up"]
            free_from = max(_arrival(stop, change), *backed_up, stop_finish(stop))
        times += [StopTime(index, time) for time in kept]
    yield from sorted(times, key=lambda entry: (entry.time.at.timestamp(), entry.stop))


def _opening(stop: Stop, arrival: datetime, free_from: datetime, change: Changeover) -> list[KeyTime]:
    """Times before a later match of the day: from the warm-up on where that leaves a break, else from where it does."""
    early = {t.key: t for t in stop.day.times if t.key in EARLY}
    wanted = [(key, later(early[key].at, -SET_UP_MIN)) for key in FILMED_BEFORE if key in early]
    first, begin = next(
        (
            (key, at)
            for least_min in (MEAL_MIN, REST_MIN, 0.0)
            for key, at in wanted
            if (at - free_from).total_seconds() / 60.0 >= least_min
        ),
        (FILMED_BEFORE[-1], arrival),
    )
    opening = [replace(early["set-up"], at=begin)] if "set-up" in early else []
    opening += [early[key] for key in FILMED_BEFORE[FILMED_BEFORE.index(first) :] if key in early]
    if "arrive" in early and change.way.kind != "same ground":
        opening.insert(0, replace(early["arrive"], at=min(arrival, begin)))
    return opening


def _leave(stop: Stop, after: Stop, change: Changeover) -> KeyTime:
    """Line of the way from one match to the next."""
    at = later(stop_finish(stop), REACTIONS_MIN)
    way = change.way
    ground = after.outing.ground
    if way.kind == "same ground":
        what, name = "Cards that are full into a pocket, fresh battery and card, set up for the next match.", "Change"
    else:
        name = "Pack and walk" if way.kind == "foot" else "Pack and go"
        length = "" if way.length_m is None else f"{_length(way.length_m)}, "
        minutes = "time not known" if way.kind == "unknown" else f"{way.minutes:.0f} minutes"
        what = f"To {ground}: {length}{minutes}. Full cards in a pocket, not in the bag."
    return KeyTime("leave", name, at, what, COMMON)


def _length(length_m: float) -> str:
    return f"{length_m / 1000.0:.1f} km" if length_m >= 1000.0 else f"{round(length_m, -1):.0f} m"


def _backed_up(times: list[KeyTime], arrival: datetime, after: Stop) -> Iterator[KeyTime]:
    """Put the back-up behind the way to the next match, or off to the end of the day where there is no time for it."""
    latest = later(after.start, -ROLL_MIN - SET_UP_MIN - BACK_UP_LASTS_MIN)
    for time in times:
        at = max(time.at, arrival)
        if time.key != "back-up":
            yield time
        elif at <= latest:
            yield replace(time, at=at)


def _free(
    stops: tuple[Stop, ...], changeovers: tuple[Changeover, ...], times: tuple[StopTime, ...]
) -> Iterator[Stretch]:
    """Free time: between matches when no task is left, and breaks of a match in which nobody has to walk."""
    for index, ((before, after), change) in enumerate(zip(pairwise(stops), changeovers, strict=True)):
        backed_up = [later(t.time.at, BACK_UP_LASTS_MIN) for t in times if t.stop == index and t.time.key == "back-up"]
        tasks = [t.time.at for t in times if t.stop == index + 1 and t.time.key != "arrive"]
        start = max(_arrival(before, change), *backed_up, stop_finish(before))
        end = min(later(after.start, -ROLL_MIN - SET_UP_MIN), *tasks)
        if end > start:
            yield Stretch(start, end)
    for stop in stops:
        moves = dict(stop.outing.move_after)
        for period, begins_min in zip(stop.outing.periods, period_starts_min(stop.outing.periods), strict=True):
            minutes = period.break_after_min - BACK_IN_PLACE_MIN
            if minutes >= REST_MIN and period.key not in moves:
                ends_min = begins_min + period.minutes
                yield Stretch(later(stop.start, ends_min), later(stop.start, ends_min + minutes))


def _clashes(stops: tuple[Stop, ...], changeovers: tuple[Changeover, ...]) -> Iterator[str]:
    for (before, after), change in zip(pairwise(stops), changeovers, strict=True):
        ends, starts = clock_words(stop_finish(before)), clock_words(after.start)
        pair = f"{before.title} ({before.outing.ground}) and {after.title} ({after.outing.ground})"
        if stop_finish(before) > after.start:
            yield f"{pair} overlap: the first ends at {ends} or later, the second starts at {starts}. Split the crew."
        elif not change.is_possible:
            short = change.needed_min - change.free_min
            yield (
                f"{pair}: {change.needed_min:.0f} minutes are needed to change over, "
                f"{max(change.free_min, 0.0):.0f} are there, {short:.0f} too few. Leave early, or send somebody ahead."
            )


def _warnings(changeovers: tuple[Changeover, ...], meals: tuple[Meal, ...], longest: Stretch) -> Iterator[str]:
    if longest.minutes > LONGEST_WORK_MIN:
        yield (
            f"Nobody has a break of {REST_MIN:.0f} minutes from {clock_words(longest.start)} to "
            f"{clock_words(longest.end)}, {_hours(longest.minutes)}: take turns, or bring one more person. [{LAW}]"
        )
    for meal in meals:
        if meal.at is None:
            yield (
                f"No time for the {meal.name} between {clock_words(meal.window.start)} and "
                f"{clock_words(meal.window.end)}: eat before, and carry food that can be eaten standing."
            )
    for change in changeovers:
        if change.way.kind == "unknown":
            yield (
                f"The way from {change.before} to {change.after} isn't known, so no time is kept for it: give latitude "
                "and longitude of both grounds, or travel_min under [day]."
            )


def _overtime_warnings(stops: tuple[Stop, ...], changeovers: tuple[Changeover, ...]) -> Iterator[str]:
    """Say which changeovers would fail if a match went to overtime."""
    for (before, after), change in zip(pairwise(stops), changeovers, strict=True):
        over = before.outing.order.overtime
        if over is None or not change.is_possible:
            continue
        if change.free_min - over.pause_min - over.minutes < change.needed_min:
            yield (
                f"If {before.title} needs {over.name.lower()}, you won't be ready for {after.title}: agree beforehand "
                "who stays and who goes."
            )


def _hours(minutes: float) -> str:
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest:02d} min" if rest else f"{hours} h"


def _kit(stops: tuple[Stop, ...], power: tuple[DayPower, ...]) -> tuple[Item, ...]:
    """Everything once: as many as the match that needs most of it; cards and batteries for the whole day."""
    most: dict[tuple[str, str], Item] = {}
    for item in (item for stop in stops for item in stop.day.kit):
        known = most.get((item.group, item.name))
        most[item.group, item.name] = item if known is None or item.quantity > known.quantity else known
    n_matches = len(stops)
    by_camera = {need.camera: need for need in power}
    kit: list[Item] = []
    for item in most.values():
        need = by_camera.get(item.group)
        if need is not None and item.name.startswith("card of"):
            if any(other.group == item.group and other.name.startswith("card of") for other in kit):
                continue
            why = f"{need.gigabytes:.0f} GB in {n_matches} matches; no card is cleared before two copies are made"
            item = replace(item, name=f"card of {need.card_gb:.0f} GB", quantity=need.n_cards, why=why)
        elif need is not None and item.name == "battery":
            item = replace(item, quantity=need.n_batteries, why=_battery_why(need))
        kit.append(item)
    if any(need.n_with_charger < need.n_batteries for need in power):
        kit.append(Item("shared", "charger, lead", 1, "it runs from the first finish on, where kit can be locked in"))
    return tuple(kit)


def _battery_why(need: DayPower) -> str:
    words = f"{need.powered_min:.0f} min switched on, {need.battery_min:.0f} min each, one to spare"
    if need.n_with_charger < need.n_batteries:
        words += f"; {need.n_with_charger} do with a charger between matches ({CHARGE_MIN:.0f} min a battery)"
    return words


def _cautions(stops: tuple[Stop, ...]) -> tuple[Caution, ...]:
    """Cautions of all matches, each once; those of two grounds that differ both stay."""
    return tuple(dict.fromkeys(caution for stop in stops for caution in stop.day.cautions))


def _each_once(lines: Iterator[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(lines))
