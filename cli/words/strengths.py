"""What a camera is good for, what it is weak at, and where it films mostly backs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from standmark.cli.words.lines import wrapped
from standmark.cli.words.moments import Taken, both_ends, end_words, moment_words, taken_moments
from standmark.cli.words.shares import WELL_FROM, how_many
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan

WIDTH = 80
MOST_TOLD = 3  # kinds of moments that a camera is good for, and weak at
MOST_LINES = 2  # of what a camera is weak at, on a terminal
WEAK_BELOW = 0.55  # captured usably less often
WORTH_A_SECOND = 0.15  # share got from both sides, from which a second angle is named
ALIKE = 0.12  # shares at the two ends that differ by less are said once
FEW_FACES_BELOW, FACES_MATTER = 0.45, 0.3  # of what is captured; how much they matter in the moment


def good_for(plan: Plan, camera: str) -> str:
    """Three kinds of moments for which a camera is worth most: "shots, goals at the end you attack"."""
    sport = plan.match.sport
    said = _joined([_Part(moment_words(sport, t.moment).plural, "", t.end) for t in _good(plan, camera)], plan.match)
    return said or _second_angles(plan, camera)


def _second_angles(plan: Plan, camera: str) -> str:
    """Kinds of moments of which a camera has the second angle: "a second angle on goals, saves"; "" for none."""
    weak = {taken.moment.key for taken in taken_moments(plan, camera=camera) if taken.captured < WEAK_BELOW}
    worth: dict[str, float] = {}
    for duty in (duty for period in plan.periods for duty in period.duties if duty.second == camera):
        if duty.second_angle >= WORTH_A_SECOND and duty.moment not in weak:
            worth[duty.moment] = worth.get(duty.moment, 0.0) + duty.weight * duty.second_angle
    moments = {m.key: m for m in plan.match.sport.moments}
    best = sorted(worth, key=lambda key: -worth[key])[:MOST_TOLD]
    names = ", ".join(moment_words(plan.match.sport, moments[key]).plural for key in best)
    return f"a second angle on {names}" if names else ""


def _good(plan: Plan, camera: str) -> list[Taken]:
    """Return what a camera gets well, by what it's worth; a moment that it gets at both ends once."""
    told: dict[str, Taken] = {}
    for taken in taken_moments(plan, camera=camera):
        if taken.captured >= WELL_FROM and taken.moment.is_play:
            before = told.get(taken.moment.key)
            told[taken.moment.key] = taken if before is None else both_ends(before, taken)
    return sorted(sorted(told.values(), key=lambda t: -t.weight * t.captured)[:MOST_TOLD], key=lambda t: t.end)


def weak_at(plan: Plan, camera: str) -> str:
    """Three kinds of moments of which a camera misses most, with how many it gets.

    "goals (you get 4 in 10), shots, cards (half) at the left end": a share holds for the names before it.
    """
    return _joined(_weak(plan, camera), plan.match).replace("(", "(you get ", 1)


def few_faces_at(plan: Plan, camera: str, *, width: int = WIDTH) -> str:
    """Kinds of moments that a camera films mostly from behind, with how many show faces, in a line: the worst ones.

    Empty where there are none, or where the film does not ask for faces.
    """
    parts = _few_faces(plan, camera)
    lines = [f"at {_joined(parts[:n], plan.match)}" for n in range(1, len(parts) + 1)]
    return max((line for line in lines if len(line) <= width), key=len, default=lines[0] if lines else "")


def weak_words(plan: Plan, camera: str, *, width: int) -> str:
    """What a camera is weak at, and as many of the moments with few faces as fit in two lines.

    "goals (you get half), shots (4 in 10); faces at saves (4 in 10) at the left end": an end that holds for all of
    it stands at the end.
    """
    weak, faces = _weak(plan, camera), _few_faces(plan, camera)
    said = [_weak_with_faces(weak, faces[:n], plan.match) for n in range(len(faces) + 1)]
    return next((words for words in reversed(said) if len(wrapped(words, width)) <= MOST_LINES), said[0])


def _weak_with_faces(weak: list[_Part], faces: list[_Part], match: Match) -> str:
    if not faces:
        return _joined(weak, match).replace("(", "(you get ", 1)
    places = {part.end for part in (*weak, *faces)}
    plain = [replace(part, end="") for part in weak] if len(places) == 1 else weak
    said = _joined(plain, match).replace("(", "(you get ", 1)
    return "; ".join(filter(None, (said, f"faces at {_joined(faces, match)}")))


@dataclass(frozen=True)
class _Part:
    """One kind of moment in a list."""

    name: str
    count: str  # "4 in 10"; "": nobody counts
    end: str  # as of `Taken`


def _weak(plan: Plan, camera: str) -> list[_Part]:
    good = {(t.moment.key, t.end) for t in _good(plan, camera)}
    told = [
        t for t in taken_moments(plan, camera=camera) if t.captured < WEAK_BELOW and (t.moment.key, t.end) not in good
    ]
    worst = sorted(told, key=lambda t: -t.rank * (1 - t.captured))
    return _counted(worst, lambda t: t.captured, plan.match)


def _few_faces(plan: Plan, camera: str) -> list[_Part]:
    told = [
        t
        for t in taken_moments(plan, camera=camera)
        if t.faces < FEW_FACES_BELOW and t.moment.faces_matter >= FACES_MATTER and t.captured > 0 and t.moment.is_play
    ]
    if not told or plan.match.deliverable.faces == 0:
        return []
    worst = sorted(told, key=lambda t: -t.rank * t.captured * t.moment.faces_matter * (1 - t.faces))
    return _counted(worst, lambda t: t.faces, plan.match)


def _counted(told: Sequence[Taken], share: Callable[[Taken], float], match: Match) -> list[_Part]:
    """First kinds of moments with how many of each; the two ends in one where they are nearly alike."""
    parts, done = [], set[tuple[str, str]]()
    for taken in told:
        if (taken.moment.key, taken.end) in done:
            continue
        twin = next((t for t in told if t.moment.key == taken.moment.key and t.end != taken.end), None)
        if twin is not None and abs(share(twin) - share(taken)) < ALIKE:
            done.add((twin.moment.key, twin.end))
            taken = both_ends(taken, twin)
        name = moment_words(match.sport, taken.moment).plural
        parts.append(_Part(name, how_many(share(taken)), taken.end))
    first = parts[:MOST_TOLD]
    ends = list(dict.fromkeys(part.end for part in first))
    return sorted(first, key=lambda part: ends.index(part.end))


def _joined(parts: Sequence[_Part], match: Match) -> str:
    """Name an end, and a share, only once for moments in a row, after the last of them."""
    said, before = "", ""
    for end, run in groupby(parts, key=lambda part: part.end):
        alike = [(count, ", ".join(p.name for p in some)) for count, some in groupby(run, key=lambda p: p.count)]
        words = ", ".join(f"{names} ({count})" if count else names for count, names in alike)
        gap = "" if not said else ", " if before else "; "  # "; " keeps the end from what holds at both
        said, before = f"{said}{gap}{words}{f' {end_words(end, match)}' if end else ''}", end
    return said
