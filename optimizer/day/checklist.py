"""What to settle before the day, how to get in, and how to look after the people who film."""

from __future__ import annotations

from standmark.optimizer.day.outing import Outing, is_raised
from standmark.optimizer.match.weather import heat_bands, is_cold
from standmark.sports.timeline import clock_words, later

# All of it common practice without a published source, except the confirmation of consent, which follows the
# guidance named in the cautions.


def preparation(outing: Outing) -> tuple[str, ...]:
    """List what to do in the days before, in order."""
    when = "not known yet" if outing.start is None else f"{outing.start:%A %d %B %Y, %H:%M} ({outing.start.tzname()})"
    consent = ("Ask the club for consents and for anybody who must not be shown.",) if outing.has_minors else ()
    lamps = ("Ask what kind of lamps there are and whether they are dimmed.",) if outing.is_lit else ()
    return (
        f"Confirm the ground and the start with somebody who is there: {outing.ground}, {when}.",
        "Ask for the places of this plan by name, and for the spare places in the same call.",
        *consent,
        *lamps,
        "Don't format a card until you've played back both copies. Charge all batteries; set date, time, zone alike.",
        "Write the settings card into a memory of each camera; film ten seconds at home.",
        "Check the forecast the evening before and in the morning, and correct the weather in the match file.",
    )


def access(outing: Outing) -> tuple[str, ...]:
    """List what gets you in, and whom to call when it does not."""
    contact = outing.contact or "name: ________ phone: ________"
    return (
        f"Contact at the ground: {contact}. Have a second number in case the first doesn't answer.",
        "Pass or letter of permission on paper: gate staff may not know of you.",
        "Wear the bib from gate to gate; sign it out and back.",
        "Where to park, to unload, to charge, to keep kit locked, and the way to a toilet.",
        "Tell the safety steward where you stand and how you leave; ask whose word ends it.",
    )


def welfare(outing: Outing) -> tuple[str, ...]:
    """List what keeps people fit for the last minute of the match."""
    weather = outing.weather
    cold = ("Dry layer for the break, hands warm before the restart.",) if is_cold(weather) else ()
    heat = ("A drink every 20 minutes and shade in every break.",) if heat_bands(weather) else ()
    carried = any(camera.support != "tripod" for camera in outing.cameras)
    hands = (
        "Rest the lens on a monopod or a knee; change hands and shake wrists at every dead ball."
        if carried
        else "Loose grip on the pan bar, elbows close: the tripod carries, the hand only leads."
    )
    raised = any(is_raised(camera) for camera in outing.cameras)
    platform = ("Nobody is alone on a platform; toilet before going up.",) if raised else ()
    return (
        *_breaks(outing),
        "Eat before the warm-up and drink through the match. If it isn't in your bag, you won't have it.",
        hands,
        "Straight back: raise the support to the eye, not the eye down to the support.",
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
                f"Break after the {period.name.lower()}{at}: first card and battery, then sit down, eat, drink; "
                f"{period.break_after_min:.0f} minutes."
            )
        elapsed_min += period.break_after_min
    return tuple(lines)
