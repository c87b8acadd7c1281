"""The weather line of a match: typed in by the user, never fetched; and what it means for people."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from standmark.geometry.heat import (
    HEAT_INDEX_BANDS_C,
    SUN_ADDS_C,
    WBGT_BANDS_C,
    HazardBand,
    hazard_band,
    heat_index_c,
)

COLD_BELOW_C = 5.0  # gloves and warm batteries from here; common practice, no source
FREEZING_BELOW_C = -5.0


@dataclass(frozen=True)
class Weather:
    """What the forecast says for the time of the match; None: not stated."""

    temperature_c: float | None = None
    humidity_percent: float | None = None
    wbgt_c: float | None = None  # wet-bulb globe temperature, if somebody measures it
    rain: Literal["none", "showers", "rain", "heavy"] = "none"
    wind_m_s: float | None = None
    gust_m_s: float | None = None
    has_thunder: bool = False
    sky: str | None = None  # a key of settings.light.SKIES


NO_FORECAST = Weather()


def is_wet(weather: Weather) -> bool:
    """Whether rain is forecast."""
    return weather.rain != "none"


def is_dull(weather: Weather) -> bool:
    """Whether the sun does not matter: steady rain, a heavy sky, or after sunset."""
    return weather.rain in ("rain", "heavy") or weather.sky in ("overcast", "dusk")


def is_cold(weather: Weather) -> bool:
    """Whether it is cold enough for gloves and warm batteries."""
    return weather.temperature_c is not None and weather.temperature_c < COLD_BELOW_C


def strongest_wind_m_s(weather: Weather) -> float | None:
    """Gust if stated, else mean wind [m/s]."""
    return weather.wind_m_s if weather.gust_m_s is None else weather.gust_m_s


def felt_heat_c(weather: Weather) -> float | None:
    """Heat index with the allowance for full sun; None without temperature and humidity [C].

    >>> round(felt_heat_c(Weather(temperature_c=32.0, humidity_percent=60.0, sky="overcast")))
    37
    """
    if weather.temperature_c is None or weather.humidity_percent is None:
        return None
    shade_c = heat_index_c(weather.temperature_c, weather.humidity_percent)
    return shade_c + (SUN_ADDS_C if weather.sky in ("sun", "hazy") else 0.0)


def heat_bands(weather: Weather) -> tuple[HazardBand, ...]:
    """Bands that the weather reaches, by heat index and by wet-bulb globe temperature.

    >>> [band.name for band in heat_bands(Weather(temperature_c=32.0, humidity_percent=60.0, wbgt_c=29.0))]
    ['extreme caution', 'cooling breaks']
    """
    felt_c = felt_heat_c(weather)
    bands = (
        None if felt_c is None else hazard_band(felt_c, HEAT_INDEX_BANDS_C),
        None if weather.wbgt_c is None else hazard_band(weather.wbgt_c, WBGT_BANDS_C),
    )
    return tuple(band for band in bands if band is not None)
