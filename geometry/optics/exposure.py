"""Exposure: light on the subject against aperture, time, sensitivity and neutral density.

N^2 / t = E S / C with E the illuminance on the plane that faces the camera [lux], S the ISO setting and C the
calibration constant of an incident-light meter (ISO 2720:1974 as quoted by Exposure Meter Calibration, 2008).
One stop is a factor of two of light.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log2, log10

FLAT_RECEPTOR = 250.0  # C of a flat receptor, ISO 2720 as quoted
DOME_RECEPTOR = 340.0  # C that one maker uses for a dome; asks 0.44 stop more

STOPS_TOLERANCE = 1e-9


def exposure_value(f_number: float, time_s: float) -> float:
    """EV = log2(N^2 / t): f/1 at 1 s is EV 0 [stops].

    >>> round(exposure_value(16.0, 1 / 128), 9)
    15.0
    """
    return log2(f_number * f_number / time_s)


def ev100_from_lux(lux: float, *, constant: float = FLAT_RECEPTOR) -> float:
    """EV at ISO 100 that a light level calls for: log2(100 E / C) [stops].

    >>> round(ev100_from_lux(2.5), 9)
    0.0
    """
    return log2(100.0 * lux / constant)


def lux_from_ev100(ev100: float, *, constant: float = FLAT_RECEPTOR) -> float:
    """Light level behind an EV at ISO 100 [lux].

    >>> lux_from_ev100(10.0)
    2560.0
    """
    return constant * float(2.0**ev100) / 100.0


def iso_needed(lux: float, f_number: float, time_s: float, *, constant: float = FLAT_RECEPTOR) -> float:
    """ISO setting that exposes rightly: S = C N^2 / (E t).

    >>> round(iso_needed(1400.0, 2.8, 0.001), 6)
    1400.0
    """
    return constant * f_number * f_number / (lux * time_s)


def time_needed_s(lux: float, f_number: float, iso: float, *, constant: float = FLAT_RECEPTOR) -> float:
    """Exposure time that exposes rightly: t = C N^2 / (E S) [s].

    >>> round(time_needed_s(500.0, 4.0, 800.0), 6)
    0.01
    """
    return constant * f_number * f_number / (lux * iso)


def f_number_needed(lux: float, time_s: float, iso: float, *, constant: float = FLAT_RECEPTOR) -> float:
    """Aperture that exposes rightly: N = sqrt(E S t / C).

    >>> round(f_number_needed(500.0, 0.01, 800.0), 6)
    4.0
    """
    return float((lux * iso * time_s / constant) ** 0.5)


def aperture_stops(from_f_number: float, to_f_number: float) -> float:
    """Light gained by opening from one f-number to another; negative when closing [stops].

    >>> round(aperture_stops(8.0, 2.8), 2)
    3.03
    """
    return 2.0 * log2(from_f_number / to_f_number)


def nd_stops(density: float) -> float:
    """Strength of a filter of this optical density: density / log10(2) [stops].

    >>> round(nd_stops(0.9), 2)
    2.99
    """
    return density / log10(2.0)


def nd_density(stops: float) -> float:
    """Optical density of a filter that takes so many stops.

    >>> round(nd_density(6.0), 1)
    1.8
    """
    return stops * log10(2.0)


def nd_factor(stops: float) -> float:
    """Filter factor, the number behind "ND": 2^stops.

    >>> nd_factor(3.0)
    8.0
    """
    return float(2.0**stops)


@dataclass(frozen=True)
class NeutralDensity:
    """The neutral density at hand: fixed strengths, and one variable filter with its range."""

    fixed_stops: tuple[float, ...] = ()
    variable_stops: tuple[float, float] | None = None  # weakest, strongest


NO_FILTERS = NeutralDensity()


def weakest_filter_stops(filters: NeutralDensity, stops: float) -> float | None:
    """Weakest strength that takes at least so many stops; None when no single filter at hand does [stops].

    >>> weakest_filter_stops(NeutralDensity((2.0, 4.0, 6.0)), 3.1)
    4.0
    """
    options = [strength for strength in filters.fixed_stops if strength >= stops - STOPS_TOLERANCE]
    if filters.variable_stops is not None and stops <= filters.variable_stops[1] + STOPS_TOLERANCE:
        options.append(max(stops, filters.variable_stops[0]))
    return min(options, default=None)


def strongest_filter_stops(filters: NeutralDensity) -> float:
    """Most stops that the filters at hand can take, used one at a time; 0 without any [stops].

    >>> strongest_filter_stops(NO_FILTERS)
    0.0
    """
    variable = filters.variable_stops[1] if filters.variable_stops is not None else 0.0
    return max((*filters.fixed_stops, variable))


@dataclass(frozen=True)
class ExposureBalance:
    """How a wanted aperture and time are paid for. At most one of the last two is above 0."""

    iso: float  # setting to use
    iso_needed: float  # setting that exposes rightly without a filter
    nd_stops: float  # neutral density to use
    shortfall_stops: float  # the picture is this much too dark at the highest setting
    excess_stops: float  # too bright at the lowest setting with the strongest filter


def balance_exposure(
    lux: float,
    f_number: float,
    *,
    time_s: float,
    iso_range: tuple[float, float],
    filters: NeutralDensity = NO_FILTERS,
    constant: float = FLAT_RECEPTOR,
) -> ExposureBalance:
    """Settle ISO and neutral density for a wanted aperture and time, and say what is missing.

    Too little light: ISO rises to its ceiling, the rest is a shortfall. Too much: the weakest filter that brings
    the setting to the base ISO or above; when none does, the strongest one and an excess.

    Parameters
    ----------
    iso_range : lowest and highest setting that may be used

    >>> short = balance_exposure(300.0, 8.0, time_s=1 / 200, iso_range=(100.0, 800.0))
    >>> round(short.shortfall_stops, 1)
    3.7
    """
    lowest, highest = iso_range
    needed = iso_needed(lux, f_number, time_s, constant=constant)
    surplus = log2(lowest / needed)
    if surplus <= STOPS_TOLERANCE:
        return ExposureBalance(min(max(needed, lowest), highest), needed, 0.0, max(0.0, log2(needed / highest)), 0.0)
    strength = weakest_filter_stops(filters, surplus)
    if strength is None:
        strongest = strongest_filter_stops(filters)
        return ExposureBalance(lowest, needed, strongest, 0.0, surplus - strongest)
    filtered = needed * nd_factor(strength)
    return ExposureBalance(min(filtered, highest), needed, strength, max(0.0, log2(filtered / highest)), 0.0)
