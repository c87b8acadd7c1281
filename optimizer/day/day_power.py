"""Cards and batteries for a day with several matches, with and without a charger between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import ceil, floor

from standmark.optimizer.day.breaks import Stretch
from standmark.optimizer.day.kit_list import camera_media
from standmark.optimizer.day.media import CARD_FILL, POWERED_AFTER_MIN, POWERED_BEFORE_MIN
from standmark.optimizer.day.stop import Stop, stop_finish
from standmark.sports.timeline import later

CHARGE_MIN = 150.0  # one battery in its own charger, 1.5 to 3 hours; from memory
SPARE = 1


@dataclass(frozen=True)
class DayPower:
    """Cards and batteries of one camera over the day."""

    camera: str
    card_gb: float
    gigabytes: float
    n_cards: int  # none is cleared before two copies are made, so every match has cards of its own
    powered_min: float
    battery_min: float  # working time of one battery on the worst match
    n_batteries: int  # without charging, one of them spare
    n_with_charger: int  # when one charger runs from the end of the first match on


def day_power(stops: Sequence[Stop]) -> tuple[DayPower, ...]:
    """Count cards and batteries of each camera over all matches in which it films."""
    names = dict.fromkeys(camera.name for stop in stops for camera in stop.outing.cameras)
    return tuple(_power_of(name, stops) for name in names)


def _power_of(name: str, stops: Sequence[Stop]) -> DayPower:
    own = [(stop, camera) for stop in stops for camera in stop.outing.cameras if camera.name == name]
    needs = [camera_media(camera, stop.outing) for stop, camera in own]
    card_gb = min(camera.recorder.card_gb for _, camera in own)
    gigabytes = sum(need.gigabytes for need in needs)
    battery_min = min(need.battery_min for need in needs)
    powered = _powered([stop for stop, _ in own])
    return DayPower(
        camera=name,
        card_gb=card_gb,
        gigabytes=gigabytes,
        n_cards=max(2, ceil(gigabytes / (card_gb * CARD_FILL) - 1e-9)),
        powered_min=sum(stretch.minutes for stretch in powered),
        battery_min=battery_min,
        n_batteries=least_batteries(powered, battery_min, charge_min=None),
        n_with_charger=least_batteries(powered, battery_min, charge_min=CHARGE_MIN),
    )


def _powered(stops: Sequence[Stop]) -> tuple[Stretch, ...]:
    """When the camera is switched on: from the test to the last reaction of each match, overlaps counted once."""
    merged: list[Stretch] = []
    for start, end in sorted(
        (later(stop.start, -POWERED_BEFORE_MIN), later(stop_finish(stop), POWERED_AFTER_MIN)) for stop in stops
    ):
        if merged and start <= merged[-1].end:
            merged[-1] = Stretch(merged[-1].start, max(end, merged[-1].end))
        else:
            merged.append(Stretch(start, end))
    return tuple(merged)


def least_batteries(powered: Sequence[Stretch], battery_min: float, *, charge_min: float | None) -> int:
    """Fewest batteries, all full in the morning, with which a camera runs through every stretch, one always spare.

    Parameters
    ----------
    charge_min : time of one battery on the one charger, which stays on from the end of the first stretch; empty
        ones are brought to it after each stretch; None: no charger

    >>> from datetime import UTC
    >>> at = lambda hour: datetime(2027, 5, 8, hour, tzinfo=UTC)
    >>> day = (Stretch(at(9), at(12)), Stretch(at(15), at(18)))
    >>> least_batteries(day, 60.0, charge_min=None), least_batteries(day, 60.0, charge_min=90.0)
    (7, 5)
    """
    n = SPARE + 1
    while not _lasts(n, powered, battery_min, charge_min):
        n += 1
    return n


def _lasts(n: int, powered: Sequence[Stretch], battery_min: float, charge_min: float | None) -> bool:
    used, returned, on_charger = 0.0, 0, 0
    charger_free: datetime | None = None
    ready: list[datetime] = []
    for stretch in powered:
        if charge_min is not None:
            returned = sum(done <= stretch.start for done in ready)
        used += stretch.minutes / battery_min
        if ceil(used - 1e-9) + SPARE > n + returned:
            return False
        for _ in range(floor(used + 1e-9) - on_charger if charge_min is not None else 0):
            begins = stretch.end if charger_free is None else max(charger_free, stretch.end)
            charger_free = later(begins, charge_min or 0.0)
            ready.append(charger_free)
            on_charger += 1
    return True
