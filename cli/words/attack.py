"""Which way play goes in each period, for arrows on the ground."""

from __future__ import annotations

from collections.abc import Sequence

from standmark.cli.words.moments import OTHER, attacked_end
from standmark.cli.words.spots import short_when
from standmark.optimizer.match.match import Match
from standmark.sports.sport import Period


def attack_words(match: Match, only: Sequence[Period] | None = None) -> list[tuple[str, str]]:
    """Direction of attack in each group of periods: "1st half: we attack" and "+x" or "-x".

    Where both sides matter alike it's the home side, which is taken to attack first as the match says; nothing where
    ends change inside a period or all attack one way.
    """
    if match.first_attack == "unknown":
        return []
    groups: dict[str, list[str]] = {}
    periods = match.sport.periods if only is None else only
    for period in periods:
        if period.attack in ("both", "same"):
            continue
        end = attacked_end(match, period)
        end = end or (OTHER[match.first_attack] if period.attack == "swapped" else match.first_attack)
        groups.setdefault(end, []).append(period.name)
    who = "we attack" if match.cover == "ours" else "home attack"
    n_all = len(periods)
    return [(f"{when}: {who}" if (when := short_when(n, n_all)) else who, end) for end, n in groups.items()]
