"""Weather that can hurt: heat index, wet-bulb globe bands and the distance of lightning.

Figures to plan by, not to be safe by: the venue, the competition and the weather service have the last word.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

SOUND_KM_S = 0.343  # speed of sound in air at 20 C
SUN_ADDS_C = 15.0 / 1.8  # the chart is for shade; full sun adds up to 15 F (Heat index classification, 2015)


@dataclass(frozen=True)
class HazardBand:
    """A band of a measured quantity that starts at `from_value`."""

    name: str
    from_value: float
    source: str


# Two sets of limits circulate; the stricter is used (the older office chart has 105 F and 130 F).
HEAT_INDEX_BANDS_C = tuple(
    HazardBand(name, (limit_f - 32.0) / 1.8, "heat index classes of the US weather service, 80/90/103/125 F")
    for name, limit_f in (
        ("caution", 80.0),
        ("extreme caution", 90.0),
        ("danger", 103.0),
        ("extreme danger", 125.0),
    )
)

WBGT_BANDS_C = (
    HazardBand("cooling breaks", 28.0, "Extreme weather in football, players' union position, 2025"),
    HazardBand("play should be moved", 32.0, "Extreme weather in football, players' union position, 2025"),
)


@dataclass(frozen=True)
class LightningRule:
    """When to leave for shelter and when to come back."""

    flash_to_bang_s: float
    wait_after_last_thunder_min: float
    source: str


LIGHTNING_30_30 = LightningRule(30.0, 30.0, "Lightning safety, the 30-30 rule, 2016")


def heat_index_c(temperature_c: float, humidity_percent: float) -> float:
    """Felt temperature in the shade, in heat and damp [C].

    Regression of L. P. Rothfusz, The Heat Index Equation, NWS SR/SSD 90-23, 1990, in Fahrenheit and percent.
    Its low-range form and the two corrections at the edges of the humidity range are from memory.

    >>> round(heat_index_c((96 - 32) / 1.8, 65.0) * 1.8 + 32)
    121
    """
    t, r = temperature_c * 1.8 + 32.0, humidity_percent
    simple = (0.5 * (t + 61.0 + (t - 68.0) * 1.2 + r * 0.094) + t) / 2.0
    felt = simple if simple < 80.0 else _rothfusz_f(t, r) + _edge_correction_f(t, r)
    return (felt - 32.0) / 1.8


def _rothfusz_f(t: float, r: float) -> float:
    return (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t * t
        - 0.05481717 * r * r
        + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r
        - 0.00000199 * t * t * r * r
    )


def _edge_correction_f(t: float, r: float) -> float:
    if r < 13.0 and 80.0 <= t <= 112.0:
        return -(13.0 - r) / 4.0 * sqrt((17.0 - abs(t - 95.0)) / 17.0)
    if r > 85.0 and 80.0 <= t <= 87.0:
        return (r - 85.0) / 10.0 * (87.0 - t) / 5.0
    return 0.0


def hazard_band(value: float, bands: tuple[HazardBand, ...]) -> HazardBand | None:
    """Highest band that a value has reached; None below the first.

    >>> hazard_band(29.0, WBGT_BANDS_C).name
    'cooling breaks'
    """
    reached = [band for band in bands if value >= band.from_value]
    return max(reached, key=lambda band: band.from_value, default=None)


def lightning_distance_km(flash_to_bang_s: float) -> float:
    """How far away a flash was, from the seconds until its thunder [km].

    >>> round(lightning_distance_km(30.0), 2)
    10.29
    """
    return flash_to_bang_s * SOUND_KM_S
