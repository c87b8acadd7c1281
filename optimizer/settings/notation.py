"""Times, apertures, stops and lengths written the way camera people write them."""

from __future__ import annotations

from collections.abc import Callable
from math import isinf

SayLength = Callable[[float], str]  # metres, put into words


def number_text(value: float, *, decimals: int = 1) -> str:
    """Write a number without trailing zeros.

    >>> number_text(5.60), number_text(25.0), number_text(23.976, decimals=3)
    ('5.6', '25', '23.976')
    """
    return f"{value:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{value:.0f}"


def time_text(time_s: float) -> str:
    """Write an exposure time as a fraction of a second.

    >>> time_text(0.005), time_text(1 / 59.94), time_text(0.5)
    ('1/200 s', '1/59.9 s', '1/2 s')
    """
    return f"1/{number_text(1.0 / time_s)} s"


def aperture_text(f_number: float) -> str:
    """Write an aperture.

    >>> aperture_text(2.8), aperture_text(8.0)
    ('f/2.8', 'f/8')
    """
    return f"f/{number_text(f_number)}"


def stops_text(stops: float) -> str:
    """Write stops with one decimal.

    >>> stops_text(3.737), stops_text(1.0)
    ('3.7 stops', '1.0 stop')
    """
    return f"{stops:.1f} stop{'' if f'{stops:.1f}' == '1.0' else 's'}"


def length_text(length_m: float) -> str:
    """Write a distance: decimetres below 10 m, metres above.

    >>> length_text(4.23), length_text(57.4), length_text(float("inf"))
    ('4.2 m', '57 m', 'infinity')
    """
    if isinf(length_m):
        return "infinity"
    return f"{length_m:.1f} m" if length_m < 9.95 else f"{length_m:.0f} m"


def pixels_text(length_px: float) -> str:
    """Write a smear in pixels: one decimal below 10.

    >>> pixels_text(4.69), pixels_text(18.4)
    ('4.7 px', '18 px')
    """
    return f"{length_px:.1f} px" if length_px < 9.95 else f"{length_px:.0f} px"


def percent_text(share: float) -> str:
    """Write a share as percent: one decimal below 10 percent.

    >>> percent_text(0.034), percent_text(0.681)
    ('3.4 %', '68 %')
    """
    return f"{100 * share:.1f} %" if share < 0.0995 else f"{100 * share:.0f} %"
