"""What a camera is good for, what it is weak at, and where it films mostly backs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from standmark.cli.words.moments import Taken, both_ends, end_words, moment_words, taken_moments
from standmark.cli.words.shares import WELL_FROM, how_many
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan

WIDTH = 80
MOST_TOLD = 3  # kinds of moments that a camera is good for, and weak at
WEAK_BELOW = 0.55  # captured usably less often
FEW_FACES_BELOW, FACES_MATTER = 0.45, 0.3  # of what is captured; how much they matter in the moment


def good_for(plan: Plan, camera: str) -> str:
    """Three kinds of moments for which a camera is worth most: "shots, goals at the end you attack"."""
    return ", ".join(_with_ends(_good(plan, camera), plan.match))


def _good(plan: Plan, camera: str) -> list[Taken]:
    """Return what a camera gets well, by what it's worth; a moment that it gets at both ends once."""
    told: dict[str, Taken] = {}
    for taken in taken_moments(plan, camera=camera):
        if taken.captured >= WELL_FROM and taken.moment.is_play:
            before = told.get(taken.moment.key)
            told[taken.moment.key] = taken if before is None else both_ends(before, taken)
    return sorted(sorted(told.values(), key=lambda t: -t.weight * t.captured)[:MOST_TOLD], key=lambda t: t.end)


def weak_at(plan: Plan, camera: str) -> str:
    """Three kinds of moments of which a camera misses most, with how many it gets: "goals (half)"."""
    good = {(t.moment.key, t.end) for t in _good(plan, camera)}
    told = [
        t for t in taken_moments(plan, camera=camera) if t.captured < WEAK_BELOW and (t.moment.key, t.end) not in good
    ]
    worst = sorted(told, key=lambda t: -t.rank * (1 - t.captured))
    return ", ".join(_joined(_counted(((t, how_many(t.captured)) for t in worst), plan.match)[:MOST_TOLD]))


def few_faces_at(plan: Plan, camera: str, *, width: int = WIDTH) -> str:
    """Kinds of moments that a camera films mostly from behind, with how many show faces, in a line: the worst ones.

    Empty where there are none, or where the film does not ask for faces.
    """
    told = [
        t
        for t in taken_moments(plan, camera=camera)
        if t.faces < FEW_FACES_BELOW and t.moment.faces_matter >= FACES_MATTER and t.captured > 0 and t.moment.is_play
    ]
    if not told or plan.match.deliverable.faces == 0:
        return ""
    worst = sorted(told, key=lambda t: -t.rank * t.captured * t.moment.faces_matter * (1 - t.faces))
    parts = _counted(((t, how_many(t.faces)) for t in worst), plan.match)[:MOST_TOLD]
    lines = [f"at {', '.join(_joined(parts[:n]))}" for n in range(1, len(parts) + 1)]
    return max((line for line in lines if len(line) <= width), key=len, default=lines[0])


def _counted(told: Iterable[tuple[Taken, str]], match: Match) -> list[tuple[str, str]]:
    """Kinds of moments with how many of each, and at which end; the two ends in one where they are alike."""
    groups: dict[tuple[str, str], list[Taken]] = {}
    for taken, count in told:
        groups.setdefault((taken.moment.key, count), []).append(taken)
    parts = []
    for (_, count), own in groups.items():
        place = f" {end_words(own[0].end, match)}" if own[0].end and len(own) == 1 else ""
        parts.append((f"{moment_words(match.sport, own[0].moment).plural} ({count})", place))
    return parts


def _joined(parts: Sequence[tuple[str, str]]) -> Iterator[str]:
    """Name an end that follows in a row only once, after the last of its moments."""
    for place, run in groupby(parts, key=lambda part: part[1]):
        yield ", ".join(words for words, _ in run) + place


def _with_ends(told: Sequence[Taken], match: Match) -> Iterator[str]:
    """Name kinds of moments, an end that follows in a row only once, after the last of them."""
    for end, run in groupby(told, key=lambda t: t.end):
        names = [moment_words(match.sport, t.moment).plural for t in run]
        yield ", ".join(names) + (f" {end_words(end, match)}" if end else "")
