"""How far the shares that people read were checked, in two sentences."""

from __future__ import annotations

from standmark.sports.sport import Sport

SEEN_OFF = 4  # per cent; benchmarks/real_play.py, half a match of football; a test measures it anew
HELD_OFF = (1, 4)  # per cent; runs, tackles, throws and touchdowns of American football, docs/numbers.md
UNCHECKED = "never checked: faces, and operators who look away"


def checked_words(sport: Sport) -> str:
    """Say on what the shares of a sport were checked, how far off they were, and what nobody checked."""
    low, high = HELD_OFF
    where = {
        "football": "half a match",
        "american-football": "half a match of association football, and what stays in the frame on American football",
    }.get(sport.key, "half a match of association football only")
    off = f"{SEEN_OFF} in 100" + (f", and {low} to {high}" if sport.key == "american-football" else "")
    return f"Checked on {where} (out by {off}); {UNCHECKED}."
