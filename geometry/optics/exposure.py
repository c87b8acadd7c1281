"""Exposure: light on the subject against aperture, time, sensitivity and neutral density.

N^2 / t = E S / C with E the illuminance on the plane that faces the camera [lux], S the ISO setting and C the
calibration constant of an incident-light meter (ISO 2720:1974 as quoted by Exposure Meter Calibration, 2008).
One stop is a factor of two of light.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log2, log10

FLAT_RECEPTOR = 250.0  # C of a flat receptor, ISO 2720 as quoted

STOPS_TOLERANCE = 1e-9


def lux_from_ev100(ev100: float, *, constant: float = FLAT_RECEPTOR) -> float:
    """Light level behind an EV at ISO 100 [lux].

    >>> lux_from_ev100(10.0)
    2560.0
    """
    return constant * float(2.0**ev100) / 100.0


def iso_needed(lux: float, f_number: float, time_s: float, *, constant: float = FLAT_RECEPTOR) -> float:
    """ISO setting for correct exposure: S = C N^2 / (E t).

    >>> round(iso_needed(1400.0, 2.8, 0.001), 6)
    1400.0
    """
    return constant * f_number * f_number / (lux * time_s)


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
