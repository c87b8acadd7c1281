"""Settings as they are marked on lenses and cameras: thirds of a stop, with the rounded names in use."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

F_NUMBERS = (
    *(1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0),
    *(5.6, 6.3, 7.1, 8.0, 9.0, 10.0, 11.0, 13.0, 14.0, 16.0, 18.0, 20.0, 22.0),
)

# ISO 12232 gives the thirds of a stop from 100 on their rounded names (from memory).
ISO_SETTINGS = tuple(
    float(base * 10**decade) for decade in range(2, 6) for base in (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.4, 8.0)
)

# Exposure times, shortest first. [s]
TIMES_S = tuple(
    1.0 / n
    for n in (
        *(8000, 6400, 5000, 4000, 3200, 2500, 2000, 1600, 1250, 1000, 800, 640, 500, 400, 320, 250, 200, 160),
        *(125, 100, 80, 60, 50, 40, 30, 25),
    )
)


def marked_at_least(values: tuple[float, ...], wanted: float) -> float:
    """Smallest marked value that is not below the wanted one; the largest when none is.

    >>> marked_at_least(F_NUMBERS, 5.1)
    5.6
    """
    return values[min(bisect_left(values, wanted * (1.0 - 1e-9)), len(values) - 1)]


def marked_at_most(values: tuple[float, ...], wanted: float) -> float:
    """Largest marked value that is not above the wanted one; the smallest when none is.

    >>> marked_at_most(F_NUMBERS, 5.1)
    5.0
    """
    return values[max(bisect_right(values, wanted * (1.0 + 1e-9)) - 1, 0)]
