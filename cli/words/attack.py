"""Which way play goes in each period, for arrows on the ground."""

from __future__ import annotations

from collections.abc import Sequence

from standmark.cli.words.moments import OTHER
from standmark.cli.words.spots import short_when
from standmark.optimizer.match.match import Match
from standmark.sports.sport import Period

BOTH = "both"  # toward one end and then the other


def match_attack(match: Match, only: Sequence[Period] | None = None) -> list[tuple[str, str]]:
    """Direction of attack of a match in some periods; all of them where none are named."""
    periods = match.sport.periods if only is None else only
    return attack_words(periods, match.first_attack, who="we attack" if match.cover == "ours" else "home attack")


def attack_words(
    periods: Sequence[Period], first_attack: str | None, *, who: str = "home attack"
) -> list[tuple[str, str]]:
    """Direction of attack in each group of periods: "1st half: we attack" and "+x", "-x" or BOTH.

    Nothing where the sides don't attack ends.

    Parameters
    ----------
    first_attack : end that this side attacks first, "+x" or "-x"; anything else: nobody knows before the toss
    who : side whose attack it is; where both sides matter alike it's the home side
    """
    groups: dict[str, list[str]] = {}
    for period in periods:
        if period.attack == "both":
            groups.setdefault("often", []).append(period.name)
        elif period.attack != "same" and first_attack in OTHER:
            end = OTHER[first_attack] if period.attack == "swapped" else first_attack
            groups.setdefault(end, []).append(period.name)
        elif period.attack != "same":
            groups.setdefault("toss", []).append(period.name)
    said = {"often": "ends change often", "toss": "the toss decides the ends"}
    halves = []
    for end, names in groups.items():
        when = short_when(names, len(periods))
        words = said.get(end, who)
        halves.append((f"{when}: {words}" if when else words, BOTH if end in said else end))
    return halves


def both_ways(periods: Sequence[Period]) -> list[tuple[str, str]]:
    """Direction of attack at a ground, whatever the match: "both ways: ends change"; nothing where all go one way."""
    return [("both ways: ends change", BOTH)] if any(period.attack != "same" for period in periods) else []
