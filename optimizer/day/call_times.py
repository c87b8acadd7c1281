"""Call times: counted back from the start, and on through the periods to the back-up of the pictures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from standmark.optimizer.match.leads import AFTER_FINISH, BEFORE_START, COMMON, Lead
from standmark.sports.sport import Period
from standmark.sports.timeline import later, period_starts_min

BACK_IN_PLACE_MIN = 3.0  # before a restart, or a quarter of a short break


@dataclass(frozen=True)
class KeyTime:
    """One line of the running order."""

    key: str  # unique within a day
    name: str
    at: datetime  # aware, in the zone of the start
    what: str
    source: str


def call_times(
    start: datetime,
    periods: tuple[Period, ...],
    *,
    leads: Mapping[str, float] | None = None,
    move_after: Mapping[str, str] | None = None,
) -> tuple[KeyTime, ...]:
    """Work out the running order of a match day.

    Times are added in UTC, so a change of the clocks during the match does no harm. Added time and stopped clocks
    come on top: every time after the start is the earliest.

    Parameters
    ----------
    start : aware
    leads : minutes that replace those of BEFORE_START and AFTER_FINISH, by key
    move_after : what to do in the break after a period, by period key

    Returns
    -------
    in order of time
    """
    wanted = leads or {}
    finish_min = period_starts_min(periods)[-1] + periods[-1].minutes
    times = (
        *(_lead_time(start, -wanted.get(lead.key, lead.minutes), lead) for lead in BEFORE_START),
        *_period_times(start, periods, move_after or {}),
        *(_lead_time(start, finish_min + wanted.get(lead.key, lead.minutes), lead) for lead in AFTER_FINISH),
    )
    return tuple(sorted(times, key=lambda time: time.at.astimezone(UTC)))


def _period_times(start: datetime, periods: tuple[Period, ...], move_after: Mapping[str, str]) -> list[KeyTime]:
    times = []
    for period, begin_min in zip(periods, period_starts_min(periods), strict=True):
        is_first, is_last = period is periods[0], period is periods[-1]
        name = "Start" if is_first else f"{period.name} starts"
        times.append(_key_time(start, begin_min, f"start-{period.key}", name, period.name + ".", "match"))
        end_min = begin_min + period.minutes
        if is_last:
            times.append(_key_time(start, end_min, "finish", "Finish", "At the earliest.", "match"))
        elif period.break_after_min > 0.0:
            times += _break_times(start, period, end_min, move_after.get(period.key, ""))
    return times


def _break_times(start: datetime, period: Period, end_min: float, move: str) -> list[KeyTime]:
    back_min = end_min + period.break_after_min - min(BACK_IN_PLACE_MIN, period.break_after_min / 4.0)
    tasks = " ".join(filter(None, (move, "Fresh battery and card, drink, check the last clip.")))
    return [
        _key_time(start, end_min, f"break-{period.key}", f"Break after {period.name.lower()}", tasks, COMMON),
        _key_time(start, back_min, f"back-{period.key}", "Back in place", "Recording, focus checked.", COMMON),
    ]


def _lead_time(start: datetime, minutes: float, lead: Lead) -> KeyTime:
    return _key_time(start, minutes, lead.key, lead.name, lead.what, lead.source)


def _key_time(start: datetime, minutes: float, key: str, name: str, what: str, source: str) -> KeyTime:
    return KeyTime(key, name, later(start, minutes), what, source)
