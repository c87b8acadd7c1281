"""Times that a sport has beside its periods: toss, pauses, ceremonies, overtime; what a pause is long enough for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from standmark.optimizer.day.key_time import KeyTime, key_time
from standmark.sports.order import Order
from standmark.sports.sport import Period
from standmark.sports.timeline import clock_words, later, period_starts_min

# Shortest pauses for each task; common practice, no source.
LOOK_FROM_MIN = 3.0
CHANGE_FROM_MIN = 5.0


def break_words(minutes: float) -> str:
    """Say what a pause is long enough for: a drink, a look at card and battery, or a change of both.

    >>> break_words(2.0)
    'A drink. Card and battery stay in.'
    """
    if minutes < LOOK_FROM_MIN:
        return "A drink. Card and battery stay in."
    if minutes < CHANGE_FROM_MIN:
        return "A drink. Change card or battery only if it won't last to the next long break."
    return "Fresh battery and card, drink, check the last clip."


def law_words(order: Order) -> str:
    """Say how long a match is by its laws; "" where the definition has nothing.

    >>> from standmark.sports.order import Clock
    >>> law_words(Order(clock=Clock("overs", 2, 20.0, "x"))), law_words(Order(clock=Clock("minutes", 4, 15.0, "x")))
    ('20 overs a side.', '4 x 15 minutes on the clock.')
    """
    if order.clock is None:
        return ""
    parts, each = order.clock.parts, f"{order.clock.each:g}"
    return {
        "minutes": f"{parts} x {each} minutes on the clock.",
        "overs": f"{each} overs a side.",
        "innings": f"{each} innings.",
        "sets": f"Best of {each}.",
        "points": f"To {each} points.",
    }[order.clock.unit]


def often_words(order: Order) -> str:
    """Say which pauses come again and again, in a sentence each."""
    return " ".join(f"{p.name} ({_minutes(p.minutes)}): {p.how_often}." for p in order.pauses if p.after_min is None)


def order_times(start: datetime, periods: tuple[Period, ...], order: Order) -> Iterator[KeyTime]:
    """Times of toss, pauses, ceremonies and overtime of a match."""
    finish_min = period_starts_min(periods)[-1] + periods[-1].minutes
    if order.toss is not None:
        toss = order.toss
        what = f"{toss.where[:1].upper()}{toss.where[1:]}."
        yield key_time(start, -toss.before_min, "toss", toss.name, what, toss.source)
    begins_min = dict(zip((period.key for period in periods), period_starts_min(periods), strict=True))
    for number, pause in enumerate(order.pauses, start=1):
        if pause.after_min is not None:
            at_min = begins_min[pause.period] + pause.after_min
            what = f"{_minutes(pause.minutes)}. {break_words(pause.minutes)}"
            yield key_time(start, at_min, f"pause-{number}", pause.name, what, pause.source)
    for number, ceremony in enumerate(order.ceremonies, start=1):
        at_min = -ceremony.before_min if ceremony.before_min is not None else finish_min + (ceremony.after_min or 0.0)
        line = key_time(start, at_min, f"ceremony-{number}", ceremony.name, ceremony.what, ceremony.source)
        yield replace(line, is_certain=ceremony.is_certain)
    if order.overtime is not None:
        over = order.overtime
        ends = clock_words(later(start, finish_min + over.pause_min + over.minutes))
        what = (
            f"Only after a draw that needs a winner. {over.what} To {ends} or later: keep a card and a battery for it."
        )
        line = key_time(start, finish_min + over.pause_min, "overtime", over.name, what, over.source)
        yield replace(line, is_certain=False)


def _minutes(minutes: float) -> str:
    if minutes < 1.0:
        return f"{60 * minutes:.0f} seconds"
    return f"{minutes:g} minute{'' if minutes == 1.0 else 's'}"
