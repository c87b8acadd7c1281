"""From the checked tables of a match file to the filming part of a match."""

from __future__ import annotations

from datetime import datetime

from standmark.geometry.optics.exposure import NeutralDensity
from standmark.optimizer.match.filming import USUAL_FILTERS, Body, Filming
from standmark.optimizer.match.filming_schema import (
    BodyTable,
    DayTable,
    FilmTable,
    LightTable,
    WeatherTable,
    shutter_parts,
)
from standmark.optimizer.match.recorder import Recorder
from standmark.optimizer.match.weather import Weather


def filming(
    film: FilmTable, light: LightTable, *, weather: WeatherTable, day: DayTable, visit: datetime | None
) -> Filming:
    """Put the wishes, light, weather and call times of a match file together.

    Parameters
    ----------
    visit : that of `day`, aware
    """
    angle_deg, time_s = (None, None) if film.shutter is None else shutter_parts(film.shutter)
    return Filming(
        delivery_fps=film.delivery_fps,
        least_fps=film.fps,
        shutter_deg=angle_deg,
        shutter_s=time_s,
        f_number=film.f_number,
        profile=film.profile,
        log_over_stops=film.log_over_stops,
        lamp=light.lamp,
        modulation=None if light.flicker_percent is None else light.flicker_percent / 100.0,
        is_lux_horizontal=light.lux_is == "on the ground",
        weather=_weather(weather),
        has_minors=day.minors,
        leads=tuple(day.lead_min.items()),
        ask_days=day.ask_days,
        visit=visit,
        travel_min=day.travel_min,
        parking_min=day.parking_min,
    )


def body(table: BodyTable) -> Body:
    """Describe what a camera body can be set to and what it writes."""
    return Body(
        iso=table.iso,
        filters=_filters(table),
        second_base_iso=table.second_base_iso,
        log_base_iso=table.log_base_iso,
        readout_s=None if table.readout_ms is None else table.readout_ms / 1000.0,
        recorder=Recorder(table.bit_rate_mbit_s, table.bit_rate_fps, table.card_gb, table.battery_min),
    )


def _weather(table: WeatherTable) -> Weather:
    return Weather(
        temperature_c=table.temperature_c,
        humidity_percent=table.humidity_percent,
        wbgt_c=table.wbgt_c,
        rain=table.rain,
        wind_m_s=table.wind_m_s,
        gust_m_s=table.gust_m_s,
        has_thunder=table.thunder,
        sky=table.sky,
    )


def _filters(table: BodyTable) -> NeutralDensity:
    """Filters of a body: those it names, none if it says so (`nd_stops = []`), else the usual variable one."""
    if not {"nd_stops", "variable_nd_stops"} & table.model_fields_set:
        return USUAL_FILTERS
    return NeutralDensity(table.nd_stops, table.variable_nd_stops)
