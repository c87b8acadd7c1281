r"""Lamps that ripple with the mains, and what a shutter makes of it.

The light is L(t) = 1 + m cos(2 pi f t + p) around its mean, with f twice the mains frequency and m the
modulation (a meter's percent flicker / 100). An exposure from t0 to t0 + T collects

    E / mean = 1 + m sinc(f T) cos(2 pi f (t0 + T / 2) + p),     sinc(x) = sin(pi x) / (pi x)

so the ripple is gone whenever T is a whole number of light periods, at every frame rate, with every kind of
shutter and, since the harmonics of f vanish with it, for every waveform. Other exposures leave m |sinc(f T)|.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import cos, floor, inf, log, log2, pi, sin

PERIOD_TOLERANCE = 1e-9  # share of a light period within which an exposure counts as whole
LARGEST_PHASE_COUNT = 1001  # frame rates such as 60000/1001 repeat after at most this many frames


def light_hz(mains_hz: float) -> float:
    """Frequency of the ripple: a lamp brightens in both halves of the mains cycle [Hz].

    >>> light_hz(50.0)
    100.0
    """
    return 2.0 * mains_hz


def ripple_left(time_s: float, ripple_hz: float) -> float:
    """Share of the light's ripple that survives an exposure: |sinc(f T)| [0 to 1].

    >>> round(ripple_left(1 / 60, 100.0), 4), round(ripple_left(1 / 100, 100.0), 4)
    (0.1654, 0.0)
    """
    x = pi * ripple_hz * time_s
    return 1.0 if x == 0.0 else abs(sin(x) / x)


def swing_stops(amplitude: float) -> float:
    """Brightest against darkest of a ripple 1 +- amplitude: log2((1 + a) / (1 - a)) [stops].

    >>> round(swing_stops(0.165399), 4)
    0.4817
    """
    return inf if amplitude >= 1.0 else log2((1.0 + amplitude) / (1.0 - amplitude))


def phase_count(fps: float, ripple_hz: float) -> int:
    """How many different phases of the light the frames see before they repeat: denominator of f / fps.

    1 means that every frame is lit alike (how bright depends on luck, and it breathes when the mains drifts).

    >>> phase_count(25.0, 100.0), phase_count(30.0, 100.0)
    (1, 3)
    """
    ratio = Fraction(ripple_hz).limit_denominator(10**6) / Fraction(fps).limit_denominator(10**6)
    return ratio.limit_denominator(LARGEST_PHASE_COUNT).denominator


def beat_hz(fps: float, ripple_hz: float) -> float:
    """Rate at which the brightness of the picture comes and goes: |f - fps round(f / fps)| [Hz].

    >>> beat_hz(30.0, 100.0)
    10.0
    """
    return abs(ripple_hz - fps * floor(ripple_hz / fps + 0.5))


def phase_spread(fps: float, ripple_hz: float) -> tuple[float, float]:
    """Least and most peak-to-peak that the frames of a sequence can show, per unit of ripple left.

    q phases spaced evenly: 0 for q = 1; 2 cos(pi / q) to 2 for even q; 2 cos^2(pi / 2q) to 2 cos(pi / 2q) for
    odd q. Which of them depends on the phase at which the recording happens to start.

    >>> phase_spread(50.0, 100.0)
    (0.0, 0.0)
    """
    q = phase_count(fps, ripple_hz)
    if q == 1:
        return 0.0, 0.0
    if q % 2 == 0:
        return 2.0 * cos(pi / q), 2.0
    return 2.0 * cos(pi / (2 * q)) ** 2, 2.0 * cos(pi / (2 * q))


def frame_to_frame(time_s: float, fps: float, *, ripple_hz: float, modulation: float) -> tuple[float, float]:
    """Least and most peak-to-peak between the frames of a sequence, as a share of the mean.

    >>> low, high = frame_to_frame(1 / 60, 30.0, ripple_hz=100.0, modulation=1.0)
    >>> round(low, 4), round(high, 4)
    (0.2481, 0.2865)
    """
    left = modulation * ripple_left(time_s, ripple_hz)
    low, high = phase_spread(fps, ripple_hz)
    return left * low, left * high


@dataclass(frozen=True)
class Bands:
    """Light and dark rows that a rolling shutter draws across one frame."""

    count: float  # bands in the frame
    rows_each: float
    peak_to_peak: float  # share of the mean, worst phase
    drift_hz: float  # bands that pass a row each second; 0: they stand still


def rolling_bands(
    time_s: float, fps: float, *, ripple_hz: float, modulation: float, readout_s: float, rows: int
) -> Bands:
    """Bands within one frame of a rolling shutter; a matching frame rate only freezes them.

    Row r starts r t_row after the first, so f t_readout periods of the light fit the frame. Peak-to-peak is
    2 m |sinc(f T)| once half a period fits, 2 m |sinc(f T)| sin(pi f t_readout) at the worst phase below that.

    Parameters
    ----------
    readout_s : time from the first row to the last [s]; 0 for a global shutter

    References
    ----------
    [1] M. Sheinin, Y. Schechner, K. Kutulakos, Rolling Shutter Imaging on the Electric Grid, ICCP 2018.

    >>> bands = rolling_bands(1 / 1000, 50.0, ripple_hz=100.0, modulation=0.4, readout_s=1 / 60, rows=2160)
    >>> round(bands.count, 2), round(bands.rows_each), round(bands.peak_to_peak, 3)
    (1.67, 1296, 0.787)
    """
    count = ripple_hz * readout_s
    reach = sin(pi * min(count, 0.5))
    return Bands(
        count=count,
        rows_each=rows / count if count > 0.0 else inf,
        peak_to_peak=2.0 * modulation * ripple_left(time_s, ripple_hz) * reach,
        drift_hz=beat_hz(fps, ripple_hz),
    )


def safe_times_s(fps: float, ripple_hz: float) -> tuple[float, ...]:
    """Exposures without any ripple that fit the frame rate, shortest first: k / f up to 1 / fps [s].

    Empty when the frame rate leaves no room for one period of the light.

    References
    ----------
    [1] T. Tajbakhsh, R.-R. Grigat, Illumination Flicker Frequency Classification in Rolling Shutter Camera
        Systems, 2007: an exposure of a multiple of the flicker period removes the flicker.

    >>> safe_times_s(50.0, 100.0)
    (0.01, 0.02)
    >>> safe_times_s(120.0, 100.0)
    ()
    """
    n_periods = floor(ripple_hz / fps + PERIOD_TOLERANCE)
    return tuple(k / ripple_hz for k in range(1, n_periods + 1))


def is_safe_time(time_s: float, ripple_hz: float) -> bool:
    """Whether an exposure is a whole number of light periods.

    >>> is_safe_time(1 / 50, 100.0), is_safe_time(1 / 60, 100.0)
    (True, False)
    """
    periods = time_s * ripple_hz
    return periods > 0.5 and abs(periods - round(periods)) <= PERIOD_TOLERANCE * max(1.0, periods)


def nearest_safe_time_s(wanted_s: float, fps: float, ripple_hz: float) -> float | None:
    """Exposure without ripple that is fewest stops away from the wanted one [s].

    Returns
    -------
    None when no exposure at this frame rate is free of ripple

    >>> nearest_safe_time_s(1 / 200, 50.0, 100.0)
    0.01
    """
    return min(safe_times_s(fps, ripple_hz), key=lambda time_s: abs(log(time_s / wanted_s)), default=None)
