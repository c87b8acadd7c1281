"""The form of the tables of a match file that the settings and the day read."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from standmark.optimizer.match.leads import AFTER_FINISH, BEFORE_START
from standmark.optimizer.match.light_kinds import LAMPS, SKIES
from standmark.sports.toml.file import KeyFaultError, did_you_mean
from standmark.sports.toml.table import Name, Share, Table, known_word

LEAD_KEYS = tuple(lead.key for lead in (*BEFORE_START, *AFTER_FINISH))
SHUTTER_FORMS = 'write "1/200" for seconds, or degrees such as 180'


def _shutter(value: str | float) -> str | float:
    shutter_parts(value)
    return value


def shutter_parts(value: str | float) -> tuple[float | None, float | None]:
    """Read a shutter as degrees or as a time.

    Returns
    -------
    angle in degrees or None, time in seconds or None

    Raises
    ------
    ValueError : neither form, or out of range
    """
    if not isinstance(value, str):
        if not 1.0 <= value <= 360.0:
            raise ValueError(f"the angle must be between 1 and 360 degrees; {SHUTTER_FORMS}")
        return float(value), None
    fraction = re.fullmatch(r"1/(\d{1,5}(?:\.\d{1,3})?)", value.strip().removesuffix("s").strip())
    if fraction is None or not 1.0 <= float(fraction[1]) <= 32000.0:
        raise ValueError(f"not a shutter; {SHUTTER_FORMS}")
    return None, 1.0 / float(fraction[1])


Fps = Annotated[float, Field(ge=1, le=2000)]
Stops = Annotated[float, Field(gt=0, le=20)]
Iso = Annotated[float, Field(ge=25, le=1_000_000)]
Minutes = Annotated[float, Field(ge=0, le=1440)]


class FilmTable(Table):
    """`[film]`: what the pictures are to look like."""

    delivery_fps: Fps | None = None
    fps: Fps | None = None  # least frame rate to record with
    shutter: Annotated[str | float, AfterValidator(_shutter)] | None = None
    f_number: Annotated[float, Field(ge=0.7, le=64)] | None = None
    profile: Literal["standard", "log"] = "standard"
    log_over_stops: Annotated[float, Field(ge=0, le=3)] = 1.0
    faces: Share | None = None  # wish for faces, 0..1; None: that of the deliverable


class LightTable(Table):
    """`[light]`: lamps; how much light there is stands under [venue]."""

    lamp: Annotated[str, known_word(tuple(LAMPS))] = "unknown"
    flicker_percent: Annotated[float, Field(ge=0, le=100)] | None = None
    lux_is: Literal["facing the camera", "on the ground"] = "facing the camera"


class WeatherTable(Table):
    """`[weather]`: the forecast for the hours of the match, typed in."""

    temperature_c: Annotated[float, Field(ge=-50, le=60)] | None = None
    humidity_percent: Annotated[float, Field(ge=0, le=100)] | None = None
    wbgt_c: Annotated[float, Field(ge=-30, le=50)] | None = None
    rain: Literal["none", "showers", "rain", "heavy"] = "none"
    wind_m_s: Annotated[float, Field(ge=0, le=90)] | None = None
    gust_m_s: Annotated[float, Field(ge=0, le=120)] | None = None
    thunder: bool = False
    sky: Annotated[str, known_word(tuple(SKIES))] | None = None

    @model_validator(mode="after")
    def _gusts_above_wind(self) -> WeatherTable:
        if self.gust_m_s is not None and self.wind_m_s is not None and self.gust_m_s < self.wind_m_s:
            message = f"gusts of {self.gust_m_s:g} m/s are below the wind of {self.wind_m_s:g} m/s; swap the two"
            raise KeyFaultError(message, "gust_m_s")
        return self


class DayTable(Table):
    """`[day]`: people and times."""

    minors: bool = True
    contact: Name | None = None
    lead_min: dict[str, Minutes] = Field(default_factory=dict)
    ask_days: Annotated[float, Field(ge=0, le=365)] | None = None
    visit: datetime | None = None
    travel_min: Minutes | None = None
    parking_min: Minutes | None = None

    @model_validator(mode="after")
    def _known_leads(self) -> DayTable:
        for key in self.lead_min:
            if key not in LEAD_KEYS:
                hint = did_you_mean(key, list(LEAD_KEYS))
                raise KeyFaultError(f"not known; allowed: {', '.join(LEAD_KEYS)}{hint}", "lead_min", key)
        return self


class BodyTable(Table):
    """`body` of a `[[camera]]`: what it can be set to and what it writes."""

    iso: tuple[Iso, Iso, Iso] = (100.0, 1600.0, 6400.0)
    second_base_iso: Iso | None = None
    log_base_iso: Iso | None = None
    nd_stops: Annotated[tuple[Stops, ...], Field(max_length=12)] = ()
    variable_nd_stops: tuple[Stops, Stops] | None = None
    readout_ms: Annotated[float, Field(ge=0, le=200)] | None = None
    bit_rate_mbit_s: Annotated[float, Field(gt=0, le=10_000)] = 100.0
    bit_rate_fps: Fps | None = None
    card_gb: Annotated[float, Field(gt=0, le=100_000)] = 128.0
    battery_min: Annotated[float, Field(gt=0, le=10_000)] = 90.0

    @model_validator(mode="after")
    def _in_order(self) -> BodyTable:
        if list(self.iso) != sorted(self.iso):
            raise KeyFaultError("must rise: [lowest, highest clean, highest usable]", "iso")
        for key, base in (("second_base_iso", self.second_base_iso), ("log_base_iso", self.log_base_iso)):
            if base is not None and not self.iso[0] <= base <= self.iso[2]:
                message = f"{base:g} is outside the camera's range, ISO {self.iso[0]:g} to {self.iso[2]:g}"
                raise KeyFaultError(message, key)
        if self.variable_nd_stops is not None and self.variable_nd_stops[0] > self.variable_nd_stops[1]:
            raise KeyFaultError("must rise: [weakest, strongest]", "variable_nd_stops")
        return self
