"""What to settle before the day, how to get in, and how to look after the people who film."""

from __future__ import annotations

from standmark.optimizer.day.outing import Outing, is_raised
from standmark.optimizer.match.weather import heat_bands, is_cold
from standmark.sports.timeline import clock_words, later

# All of it common practice without a published source, except the confirmation of consent, which follows the
# guidance named in the cautions.


def preparation(outing: Outing) -> tuple[str, ...]:
    """List what to do in the days before, in order."""
    start = outing.start
    when = "not known yet" if start is None else f"{start:%A} {start.day} {start:%B %Y, %H:%M} ({start.tzname()})"
    consent = ("Ask the club for consents, and who must not be shown.",) if outing.has_minors else ()
    lamps = ("Ask what kind of lamps they have and whether they dim them.",) if outing.is_lit else ()
    return (
        f"Confirm the ground and the start with somebody who is there: {outing.ground}, {when}.",
        "Ask for the places in this plan by name, and for the spare places in the same call.",
        *consent,
        *lamps,
        "Don't format a card until you've played back both copies. Charge all batteries; set date, time, zone alike.",
        "Save the settings as a memory on each camera; film ten seconds at home.",
        "Check the forecast the evening before and in the morning, and update the weather in the match file.",
    )


def access(outing: Outing) -> tuple[str, ...]:
    """List what gets you in, and whom to call when it does not."""
    contact = outing.contact or "name: ________ phone: ________"
    return (
        f"Contact at the ground: {contact}. Have a second number in case the first doesn't answer.",
        "Bring your pass or letter of permission on paper: gate staff may not have heard of you.",
        "Wear the bib from the gate in to the gate out; sign for it both times.",
        "Find out where to park, unload, charge and lock kit away, and where the toilet is.",
        "Tell the safety steward where you stand and how you leave; ask who can tell you to stop.",
    )


def welfare(outing: Outing) -> tuple[str, ...]:
    """List what keeps people fit for the last minute of the match."""
    weather = outing.weather
    cold = ("A dry layer for the break; warm your hands before the restart.",) if is_cold(weather) else ()
    heat = ("A drink every 20 minutes and shade in every break.",) if heat_bands(weather) else ()
    carried = any(camera.support != "tripod" for camera in outing.cameras)
    hands = (
        "Rest the lens on a monopod or a knee; change hands and shake wrists at every dead ball."
        if carried
        else "Loose grip on the pan bar, elbows close: the tripod carries the camera, your hand only guides it."
    )
    raised = any(is_raised(camera) for camera in outing.cameras)
    platform = ("Never be alone on a platform; go to the toilet before you go up.",) if raised else ()
    return (
        *_breaks(outing),
        "Eat before the warm-up and drink through the match. If it isn't in your bag, you won't have it.",
        hands,
        "Straight back: raise the camera to your eye, don't stoop to it.",
        *cold,
        *heat,
        *platform,
    )


def _breaks(outing: Outing) -> tuple[str, ...]:
    """Place rests in the dead time of the match."""
    lines = []
    elapsed_min = 0.0
    for period in outing.periods[:-1]:
        elapsed_min += period.minutes
        if period.break_after_min >= 5.0:
            at = "" if outing.start is None else f" (from {clock_words(later(outing.start, elapsed_min))})"
            lines.append(
                f"Break after the {period.name.lower()}{at}: change card and battery first, then sit down, eat and "
                f"drink; {period.break_after_min:.0f} minutes."
            )
        elapsed_min += period.break_after_min
    return tuple(lines)
