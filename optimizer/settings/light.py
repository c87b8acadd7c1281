"""The light a match is filmed in: how much, how much it ripples, and its colour."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.optics.exposure import lux_from_ev100
from standmark.geometry.optics.flicker import light_hz
from standmark.optimizer.match.light_kinds import Lamp, Sky

EV_TABLE = "Exposure value, table of lighting conditions at ISO 100"
MEMORY = "estimate from memory: measure or test"

# Light on a plane that faces the camera when a venue states the light on the ground only. Published: a floor of
# 0.3 (Lighting practice: sports facilities), 0.67 to 0.8 asked of lit training grounds (FIFA pitch lighting grades).
FACING_SHARE = 0.5


# Without any figure: English ground grading asks an average of 120 to 250 lux of lower divisions; EV 7 is a
# pessimistic reading of "indoor sport" in the exposure lists.
UNKNOWN_FLOODLIGHT_LUX = 180.0
UNKNOWN_HALL_LUX = 320.0


@dataclass(frozen=True)
class Light:
    """The light on the subject, on the plane that faces the camera."""

    name: str
    lux: float
    lux_source: str
    ripple_hz: float | None  # None: steady light
    modulation: float
    modulation_source: str
    kelvin: tuple[int, int]
    white_balance: str  # advice


def daylight(sky: Sky, *, lux: float | None = None) -> Light:
    """Light of the sky, from the exposure table unless it was measured.

    >>> from standmark.optimizer.match.light_kinds import SKIES
    >>> daylight(SKIES["overcast"]).lux
    10240.0
    """
    source = f"{EV_TABLE}: EV {sky.ev100:.0f}, good to about one stop" if lux is None else "measured"
    return Light(
        name=sky.name,
        lux=lux_from_ev100(sky.ev100) if lux is None else lux,
        lux_source=source,
        ripple_hz=None,
        modulation=0.0,
        modulation_source="daylight does not ripple",
        kelvin=sky.kelvin,
        white_balance=_daylight_white_balance(sky),
    )


def lamplight(
    lamp: Lamp,
    *,
    mains_hz: float,
    lux: float | None = None,
    is_indoor: bool = False,
    is_horizontal: bool = False,
    modulation: float | None = None,
) -> Light:
    """Light of floodlights or of a hall.

    Parameters
    ----------
    lux : stated or measured; None: a cautious guess
    is_horizontal : the figure is for the ground; FACING_SHARE of it is taken to reach the camera's side
    modulation : percent flicker / 100 as measured; None: the estimate for the kind of lamp

    >>> from standmark.optimizer.match.light_kinds import LAMPS
    >>> lamplight(LAMPS["metal halide"], mains_hz=50.0, lux=300.0).ripple_hz
    100.0
    """
    guess = UNKNOWN_HALL_LUX if is_indoor else UNKNOWN_FLOODLIGHT_LUX
    stated = guess if lux is None else lux
    source = "a guess for a modest ground: measure it where the players are" if lux is None else "as stated"
    if is_horizontal:
        source += f"; ground level figure, {FACING_SHARE:g} of it taken for the side that faces the camera"
    return Light(
        name=lamp.name,
        lux=stated * (FACING_SHARE if is_horizontal else 1.0),
        lux_source=source,
        ripple_hz=light_hz(mains_hz),
        modulation=lamp.modulation if modulation is None else modulation,
        modulation_source=MEMORY if modulation is None else "measured",
        kelvin=lamp.kelvin,
        white_balance=_lamp_white_balance(lamp),
    )


def _daylight_white_balance(sky: Sky) -> str:
    low, high = sky.kelvin
    advice = f"Set {low} to {high} K by hand, or measure a white card in the light that falls on the players."
    if sky.key in ("low sun", "dusk"):
        advice += " It changes within minutes: set it again in every break."
    return advice


def _lamp_white_balance(lamp: Lamp) -> str:
    low, high = lamp.kelvin
    advice = (
        f"Measure a white card under the lamps once they are warm ({low} to {high} K to start from), "
        "at a flicker-safe shutter; never automatic."
    )
    if lamp.key == "sodium":
        advice += " Sodium light lacks most colours: no setting brings shirts back to their true hue."
    return advice
