"""How far the shares that people read were checked, in two sentences."""

from __future__ import annotations

from standmark.sports.sport import Sport

SEEN_OFF = 4  # per cent; benchmarks/real_play.py, half a match of football; a test measures it anew
HELD_OFF = (1, 4)  # per cent; runs, tackles, throws and touchdowns of American football, docs/numbers.md
UNCHECKED = "Never checked: faces, and operators who look away."


def checked_words(sport: Sport) -> str:
    """Say on what the shares of a sport were checked, how far off they were, and what nobody checked."""
    football = f"These shares were checked on half a match of association football (out by {SEEN_OFF} in 100)"
    low, high = HELD_OFF
    held = f"whether play stays in the frame, in American football too (out by {low} to {high} in 100)"
    checked = {"football": f"{football}.", "american-football": f"{football}; {held}."}.get(
        sport.key, f"{football} only; for this sport they go by analogy."
    )
    return f"{checked} {UNCHECKED}"
