"""How many cards and batteries a camera needs, from hours, bit rate and frame rate."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from standmark.optimizer.match.recorder import Recorder
from standmark.optimizer.match.weather import FREEZING_BELOW_C, NO_FORECAST, Weather, is_cold
from standmark.sports.sport import Period

EXTRA_RECORDED_MIN = 40.0  # warm-up, line-up, breaks and celebration; common practice, no source
POWERED_BEFORE_MIN, POWERED_AFTER_MIN = 60.0, 30.0  # from the test to the last reaction; common practice, no source
CARD_FILL = 0.9  # leave a tenth of a card free; common practice, no source
BATTERY_FILL = 0.75  # change at a quarter left (Equipment: batteries, cards)
COLD_BATTERY = 0.7  # share of the run time that is left; common practice, no source
FREEZING_BATTERY = 0.5  # pages on batteries in the cold: 30 to 50 percent and worse


@dataclass(frozen=True)
class MediaNeed:
    """Cards and batteries for one camera."""

    recorded_min: float
    gigabytes: float
    n_cards: int
    card_min: float  # recording time of one card, filled up to CARD_FILL
    powered_min: float
    battery_min: float  # working time of one battery on the day
    n_batteries: int  # one of them spare


def media_need(
    recorder: Recorder, periods: tuple[Period, ...], *, fps: float, weather: Weather = NO_FORECAST
) -> MediaNeed:
    """Count cards and batteries for one camera that records the whole match.

    GB = Mbit/s x s / 8000; a bit rate stated for another frame rate grows with the rate (a safe guess: codecs that
    share data between frames grow less). At least two cards, so that one can leave in a pocket at the break.

    >>> half = Period("h", "Half", 45.0, 1, "first", 15.0, True)
    >>> need = media_need(Recorder(bit_rate_mbit_s=100.0, card_gb=64.0), (half, half), fps=50.0)
    >>> round(need.gigabytes, 1), need.n_cards, need.n_batteries
    (97.5, 2, 4)
    """
    played_min = sum(period.minutes for period in periods)
    breaks_min = sum(period.break_after_min for period in periods[:-1])
    recorded_min = played_min + EXTRA_RECORDED_MIN
    powered_min = played_min + breaks_min + POWERED_BEFORE_MIN + POWERED_AFTER_MIN
    rate_mbit_s = recorder.bit_rate_mbit_s * fps / (recorder.bit_rate_fps or fps)
    gb_per_min = rate_mbit_s * 60.0 / 8000.0
    card_min = recorder.card_gb * CARD_FILL / gb_per_min
    battery_min = recorder.battery_min * BATTERY_FILL * battery_share(weather)
    return MediaNeed(
        recorded_min=recorded_min,
        gigabytes=recorded_min * gb_per_min,
        n_cards=max(2, ceil(recorded_min / card_min - 1e-9)),
        card_min=card_min,
        powered_min=powered_min,
        battery_min=battery_min,
        n_batteries=ceil(powered_min / battery_min - 1e-9) + 1,
    )


def battery_share(weather: Weather) -> float:
    """Share of its run time that a battery keeps in the cold.

    >>> battery_share(Weather(temperature_c=-10.0)), battery_share(Weather())
    (0.5, 1.0)
    """
    if not is_cold(weather) or weather.temperature_c is None:
        return 1.0
    return FREEZING_BATTERY if weather.temperature_c < FREEZING_BELOW_C else COLD_BATTERY
