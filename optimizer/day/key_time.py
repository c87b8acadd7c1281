"""One line of a running order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standmark.sports.timeline import later


@dataclass(frozen=True)
class KeyTime:
    """One line of the running order."""

    key: str  # unique within a day
    name: str
    at: datetime  # aware, in the zone of the start
    what: str
    source: str
    is_certain: bool = True  # False: only at some matches, or only after a draw


def key_time(start: datetime, minutes: float, key: str, name: str, what: str, source: str) -> KeyTime:
    """Line of a running order so many minutes after the start."""
    return KeyTime(key, name, later(start, minutes), what, source)
