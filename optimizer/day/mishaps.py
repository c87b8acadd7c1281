"""What each camera does when something goes wrong: it fails, a card fills, the spot is refused, thunder, an injury."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standmark.geometry.heat import LIGHTNING_30_30
from standmark.optimizer.day.kit_list import camera_media
from standmark.optimizer.day.order_times import CHANGE_FROM_MIN
from standmark.optimizer.day.outing import CameraDay, Outing, is_raised
from standmark.optimizer.match.leads import COMMON
from standmark.sports.timeline import clock_words, later, period_starts_min

CARD_CHANGE_S = 35.0  # stop, swap, roll, look at the counter; common practice, no source


@dataclass(frozen=True)
class Mishap:
    """Something that can go wrong, and what to do."""

    key: str  # "fails", "card", "refused", "thunder", "injury"
    name: str
    text: str
    source: str


def camera_mishaps(outing: Outing, camera: CameraDay) -> tuple[Mishap, ...]:
    """List what one camera does when something goes wrong."""
    return (
        Mishap("fails", "The camera fails", _fails(outing, camera), COMMON),
        Mishap("card", "A card fills", card_words(outing, camera), COMMON),
        Mishap("refused", "They refuse the spot", _refused(camera), COMMON),
        *(() if outing.is_indoor else (Mishap("thunder", "Thunder", _thunder(camera), LIGHTNING_30_30.source),)),
        Mishap("injury", "Somebody is hurt", _injury(outing), COMMON),
    )


def _fails(outing: Outing, camera: CameraDay) -> str:
    swap = "Fresh battery, other card, off and on: one minute, no longer."
    if camera.if_lost:
        return f"{swap} Then say so: {camera.if_lost}"
    if len(outing.cameras) > 1:
        return f"{swap} Then say so, and the others go wider and take your share."
    return f"{swap} Then a second body, or your telephone held level and wide from the same spot: poor beats nothing."


def _refused(camera: CameraDay) -> str:
    to = f"Go {camera.spare}." if camera.spare else "Ask which place near it is allowed."
    return f"If they say no, that's final. Thank them, ask who decides. {to}"


def _thunder(camera: CameraDay) -> str:
    down = "Come down first. " if is_raised(camera) else ""
    wait = LIGHTNING_30_30.wait_after_last_thunder_min
    return (
        f"{down}Leave the tripod standing and go into a building or a car, at the first thunder, not when play stops. "
        f"Back {wait:.0f} minutes after the last thunder: each new one starts the {wait:.0f} minutes again."
    )


def _injury(outing: Outing) -> str:
    who = "A child: lens down at once. " if outing.has_minors else ""
    return (
        f"{who}Go wide or turn away; no close-ups of anybody hurt, and no replays. Stay off the field and out of the "
        "medics' way; move kit where an ambulance needs room. Film again at the restart."
    )


def card_words(outing: Outing, camera: CameraDay) -> str:
    """Say when a card is full, and in which break to change it so that it isn't.

    A camera records from the start, through short breaks, and stops in those that are long enough for a change.
    """
    card_min = camera_media(camera, outing).card_min
    full = next(_fills(outing, card_min), None)
    change = next((words for words in _long_breaks(outing)), "")
    between = f"Change it in {change}" if change else "Change it"
    if full is None:
        safe = f" {between} all the same: then half the match is safe in a pocket." if change else ""
        return f"One holds {card_min:.0f} minutes, more than you record at a stretch.{safe}"
    return (
        f"One holds {card_min:.0f} minutes: it's full {full}. {between}, and again before that, {_stop_words(outing)}. "
        "If it fills all the same: change it now, the other cameras stay wide."
    )


def _stop_words(outing: Outing) -> str:
    """Name the shortest dead time of the sport that is long enough for another card, else any stoppage."""
    enough = [stop for stop in outing.order.stops if stop.seconds >= CARD_CHANGE_S]
    if not enough:
        return "at a stoppage"
    stop = min(enough, key=lambda stop: stop.seconds)
    return f"{stop.name} (about {stop.seconds:.0f} seconds)"


def _fills(outing: Outing, card_min: float) -> Iterator[str]:
    """Moments at which a card that went in at the start or in the last long break is full."""
    left = card_min
    for period, begins_min in zip(outing.periods, period_starts_min(outing.periods), strict=True):
        if period.minutes > left:
            at = "" if outing.start is None else f", at {clock_words(later(outing.start, begins_min + left))}"
            yield f"{left:.0f} minutes into the {period.name.lower()}{at}"
            left += card_min
        left -= period.minutes
        left = card_min if period.break_after_min >= CHANGE_FROM_MIN else left - period.break_after_min


def _long_breaks(outing: Outing) -> Iterator[str]:
    for period, begins_min in zip(outing.periods, period_starts_min(outing.periods), strict=True):
        if period.break_after_min >= CHANGE_FROM_MIN and period is not outing.periods[-1]:
            at = "" if outing.start is None else f" ({clock_words(later(outing.start, begins_min + period.minutes))})"
            yield f"the break after the {period.name.lower()}{at}"
