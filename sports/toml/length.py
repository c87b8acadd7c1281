"""Lengths as people write them: metres, feet or yards, a decimal point or comma."""

from __future__ import annotations

import re

FOOT_M = 0.3048  # exact by definition, as is the yard: international yard and pound agreement, 1959
UNITS_M = {
    **dict.fromkeys(("", "m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′"), FOOT_M),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), 3 * FOOT_M),
    "cm": 0.01,
    "km": 1000.0,
}
FORM = 'write metres as a number, or "100 yd", "330 ft", "105 m"'
LENGTH = re.compile(r"\s*([+-]?\d{1,7}(?:[.,]\d{1,20})?)\s*([a-z'′]*)\.?\s*", re.IGNORECASE)


def metres_of(words: str) -> float:
    """Metres of a length in words.

    Raises
    ------
    ValueError : not a number with one of the units known

    >>> metres_of("100 yd"), metres_of("105,5"), round(metres_of("330 ft"), 3)
    (91.44, 105.5, 100.584)
    """
    parts = LENGTH.fullmatch(words)
    if not parts or parts[2].lower() not in UNITS_M:
        raise ValueError(f"not a length; {FORM}")
    return round(float(parts[1].replace(",", ".")) * UNITS_M[parts[2].lower()], 6)
