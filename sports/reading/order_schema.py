"""What `[[period]]` and `[order]` of a definition may say: how a match runs by the watch, and what happens when."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from standmark.sports.order import NO_ORDER, Ceremony, Clock, Order, Overtime, Pause, Stop, Toss
from standmark.sports.reading.words import Key, LongText, NotNegative, Positive, SourceKey, Text
from standmark.sports.toml.file import Problem
from standmark.sports.toml.table import Table


class PeriodTable(Table):
    """A stretch between two changes of ends."""

    key: Key
    name: Text
    minutes: Positive
    parts: Annotated[int, Field(ge=1, le=20)] = 1
    attack: Literal["first", "swapped", "both", "same"]
    break_after_min: NotNegative = 0.0
    may_move_after: bool = True
    source: SourceKey


class ClockTable(Table):
    """How long a match is by its laws."""

    unit: Literal["minutes", "overs", "innings", "sets", "points"]
    parts: Annotated[int, Field(ge=1, le=20)]
    each: Positive
    source: SourceKey


class TossTable(Table):
    """The toss."""

    name: Text
    before_min: NotNegative
    where: LongText
    source: SourceKey


class PauseTable(Table):
    """A pause inside a period."""

    name: Text
    minutes: Positive
    source: SourceKey
    period: Key | Literal[""] = ""
    after_min: NotNegative | None = None
    how_often: LongText = ""


class StopTable(Table):
    """Dead time of play."""

    name: Text
    seconds: Positive
    source: SourceKey


class CeremonyTable(Table):
    """Something to film that is no play."""

    name: Text
    what: LongText
    source: SourceKey
    before_min: NotNegative | None = None
    after_min: NotNegative | None = None
    is_certain: bool = True


class OvertimeTable(Table):
    """What follows a draw where somebody has to win."""

    name: Text
    what: LongText
    pause_min: NotNegative
    minutes: Positive
    source: SourceKey


class OrderTable(Table):
    """The order of a match; in a preset, what differs."""

    clock: ClockTable | None = None
    toss: TossTable | None = None
    pauses: tuple[PauseTable, ...] = ()
    stops: tuple[StopTable, ...] = ()
    ceremonies: tuple[CeremonyTable, ...] = ()
    overtime: OvertimeTable | None = None


def realise_order(whole: OrderTable | None, own: OrderTable | None) -> Order:
    """Put the order of a sport and what a preset says in its place together."""
    if whole is None and own is None:
        return NO_ORDER
    said = {name: getattr(whole, name) for name in OrderTable.model_fields} if whole is not None else {}
    if own is not None:
        said |= {name: getattr(own, name) for name in own.model_fields_set}
    clock, toss, overtime = (said.get(name) for name in ("clock", "toss", "overtime"))
    return Order(
        clock=None if clock is None else Clock(**dict(clock)),
        toss=None if toss is None else Toss(**dict(toss)),
        pauses=tuple(Pause(**dict(entry)) for entry in said.get("pauses", ())),
        stops=tuple(Stop(**dict(entry)) for entry in said.get("stops", ())),
        ceremonies=tuple(Ceremony(**dict(entry)) for entry in said.get("ceremonies", ())),
        overtime=None if overtime is None else Overtime(**dict(overtime)),
    )


def order_problems(
    order: OrderTable | None, periods: tuple[PeriodTable, ...], path: tuple[str | int, ...]
) -> Iterator[Problem]:
    """Find pauses in no period or beyond its end, and entries that say when twice or not at all."""
    if order is None:
        return
    minutes = {period.key: period.minutes for period in periods}
    for index, pause in enumerate(order.pauses):
        here = (*path, "pauses", index)
        if (pause.after_min is None) == (not pause.how_often):
            yield Problem(here, "needs either after_min (with period) or how_often, not both")
        elif pause.after_min is not None and pause.period not in minutes:
            yield Problem((*here, "period"), f'period "{pause.period}" not known; allowed: {", ".join(minutes)}')
        elif pause.after_min is not None and pause.after_min + pause.minutes > minutes[pause.period]:
            yield Problem(
                (*here, "after_min"), f"the pause ends after its period, which lasts {minutes[pause.period]:g} minutes"
            )
    for index, ceremony in enumerate(order.ceremonies):
        if (ceremony.before_min is None) == (ceremony.after_min is None):
            yield Problem((*path, "ceremonies", index), "needs either before_min or after_min, not both")
