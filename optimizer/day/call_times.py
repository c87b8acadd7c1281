"""Call times: counted back from the start, and on through the periods to the back-up of the pictures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime

from standmark.optimizer.day.key_time import KeyTime, key_time
from standmark.optimizer.day.order_times import CHANGE_FROM_MIN, break_words, law_words, often_words, order_times
from standmark.optimizer.match.leads import AFTER_FINISH, BEFORE_START, COMMON, Lead
from standmark.sports.order import NO_ORDER, Order
from standmark.sports.sport import Period
from standmark.sports.timeline import period_starts_min

BACK_IN_PLACE_MIN = 3.0  # before a restart, or a quarter of a short break


def call_times(
    start: datetime,
    periods: tuple[Period, ...],
    *,
    leads: Mapping[str, float] | None = None,
    move_after: Mapping[str, str] | None = None,
    order: Order = NO_ORDER,
) -> tuple[KeyTime, ...]:
    """Work out the running order of a match day.

    Times are added in UTC, so a change of the clocks during the match does no harm. Added time and stopped clocks
    come on top: every time after the start is the earliest.

    Parameters
    ----------
    start : aware
    leads : minutes that replace those of BEFORE_START and AFTER_FINISH, by key
    move_after : what to do in the break after a period, by period key
    order : toss, pauses, ceremonies and overtime of the sport

    Returns
    -------
    in order of time
    """
    wanted = leads or {}
    finish_min = period_starts_min(periods)[-1] + periods[-1].minutes
    times = (
        *(_lead_time(start, -wanted.get(lead.key, lead.minutes), lead) for lead in BEFORE_START),
        *_period_times(start, periods, move_after or {}, order),
        *order_times(start, periods, order),
        *(_lead_time(start, finish_min + wanted.get(lead.key, lead.minutes), lead) for lead in AFTER_FINISH),
    )
    return tuple(sorted(times, key=lambda time: time.at.astimezone(UTC)))


def _period_times(
    start: datetime, periods: tuple[Period, ...], move_after: Mapping[str, str], order: Order
) -> Iterator[KeyTime]:
    often = f"{law_words(order)} {often_words(order)}".strip()
    for period, begin_min in zip(periods, period_starts_min(periods), strict=True):
        is_first, is_last = period is periods[0], period is periods[-1]
        name = "Start" if is_first else f"{period.name} starts"
        what = f"{period.name}. {often}".strip() if is_first else f"{period.name}."
        yield key_time(start, begin_min, f"start-{period.key}", name, what, "match")
        end_min = begin_min + period.minutes
        if is_last:
            yield key_time(start, end_min, "finish", "Finish", "At the earliest.", "match")
        elif period.break_after_min > 0.0:
            yield from _break_times(start, period, end_min, move_after.get(period.key, ""))


def _break_times(start: datetime, period: Period, end_min: float, move: str) -> Iterator[KeyTime]:
    minutes = period.break_after_min
    tasks = " ".join(filter(None, (move, break_words(minutes))))
    yield key_time(start, end_min, f"break-{period.key}", f"Break after {period.name.lower()}", tasks, COMMON)
    if move or minutes >= CHANGE_FROM_MIN:
        back_min = end_min + minutes - min(BACK_IN_PLACE_MIN, minutes / 4.0)
        yield key_time(start, back_min, f"back-{period.key}", "Back in place", "Recording, focus checked.", COMMON)


def _lead_time(start: datetime, minutes: float, lead: Lead) -> KeyTime:
    return key_time(start, minutes, lead.key, lead.name, lead.what, lead.source)
