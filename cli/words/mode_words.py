"""What recording modes are called."""

from __future__ import annotations

SENSORS = {
    "full-frame": "Full frame",
    "super35": "Super 35",
    "apsc": "APS-C",
    "four-thirds": "Four Thirds",
    "one-inch": "1 inch",
    "two-thirds": "2/3 inch",
}
SIZES = {"uhd": "4K", "hd": "HD", "still": "photographs"}


def mode_words(key: str) -> str:
    """Recording mode as people say it.

    >>> mode_words("full-frame-uhd"), mode_words("two-thirds-hd")
    ('Full frame, 4K', '2/3 inch, HD')
    """
    sensor, _, size = key.rpartition("-")
    known = sensor in SENSORS and size in SIZES
    return f"{SENSORS[sensor]}, {SIZES[size]}" if known else key.replace("-", " ")
