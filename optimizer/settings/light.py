"""The light a match is filmed in: how much, how much it ripples, and its colour."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.exposure import lux_from_ev100
from standmark.geometry.flicker import light_hz

EV_TABLE = "Exposure value, table of lighting conditions at ISO 100"
KELVIN = "colour temperature tables; they differ by some hundred kelvin"
MEMORY = "estimate from memory: measure or test"

# Light on a plane that faces the camera when a venue states the light on the ground only. Published: a floor of
# 0.3 (Lighting practice: sports facilities), 0.67 to 0.8 asked of lit training grounds (FIFA pitch lighting grades).
FACING_SHARE = 0.5


@dataclass(frozen=True)
class Sky:
    """A kind of daylight."""

    key: str
    name: str
    ev100: float
    kelvin: tuple[int, int]


@dataclass(frozen=True)
class Lamp:
    """A kind of lamp: how deep its light ripples at twice the mains frequency, and its colour."""

    key: str
    name: str
    modulation: float  # 0..1, share of the mean; several phases over one ground lower it
    kelvin: tuple[int, int]


SKIES = {
    sky.key: sky
    for sky in (
        Sky("sun", "full sun", 15.0, (5200, 5600)),
        Sky("hazy", "hazy sun, soft shadows", 14.0, (5600, 6000)),
        Sky("bright cloud", "bright cloud, no shadows", 13.0, (6000, 6500)),
        Sky("overcast", "heavy overcast", 12.0, (6500, 7000)),
        Sky("shade", "open shade under a clear sky", 12.0, (7000, 8000)),
        Sky("low sun", "low sun before sunset", 12.0, (3500, 4500)),
        Sky("dusk", "just after sunset", 9.0, (7000, 10000)),
    )
}

LAMPS = {
    lamp.key: lamp
    for lamp in (
        Lamp("unknown", "lamps of unknown kind", 0.4, (4000, 5600)),
        Lamp("led steady", "LED with a steady (flicker-free) driver", 0.02, (5000, 5700)),
        Lamp("led", "LED with a plain driver", 0.4, (4000, 5700)),
        Lamp("metal halide", "metal halide", 0.4, (4000, 5600)),
        Lamp("sodium", "high-pressure sodium", 0.8, (2000, 2200)),
        Lamp("fluorescent", "fluorescent tubes, old ballast", 0.35, (3500, 5000)),
        Lamp("fluorescent electronic", "fluorescent tubes, electronic ballast", 0.05, (3500, 5000)),
        Lamp("halogen", "halogen or filament", 0.1, (2900, 3200)),
    )
}

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
        advice += " It changes within minutes: set it anew in every break."
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
