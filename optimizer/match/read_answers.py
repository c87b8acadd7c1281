"""Which places a match may use: usual ones, raised ones and its own, sorted by what the ground answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from standmark.optimizer.match.match import AllowedArea
from standmark.sports.toml.file import Problem, did_you_mean

PATH = ("venue", "answers")


@dataclass(frozen=True)
class Answered:
    """Places by answer."""

    allowed: tuple[AllowedArea, ...]
    asked: tuple[AllowedArea, ...]
    replaced: tuple[AllowedArea, ...]  # usual places that only areas of one's own have left out
    problems: tuple[Problem, ...]


def answered_places(
    answers: Mapping[str, str],
    *,
    usual: Sequence[AllowedArea],
    kept: Sequence[AllowedArea] | None,
    own: Sequence[AllowedArea],
    raised: Sequence[AllowedArea],
) -> Answered:
    """Sort places by the answers of the ground: usual ones and one's own are a yes, raised ones have to be asked for.

    Parameters
    ----------
    answers : by key or name; a key without its end and side answers for all pieces of a place
    kept : usual places that the file names; None: it names none, so all, unless it has areas of its own
    """
    left = () if kept is not None else tuple(usual) if own else ()
    chosen = tuple(kept) if kept is not None else () if own else tuple(usual)
    given: dict[str, str] = {}
    problems = []
    every = {area.key: area for area in (*usual, *own, *raised)}
    for name, answer in answers.items():
        keys = [k for k, area in every.items() if name in (k, area.name) or k.startswith(f"{name}-")]
        if not keys:
            message = f"no such place; allowed: {', '.join(every)}{did_you_mean(name, list(every))}"
            problems.append(Problem((*PATH, name), message))
        exact = [k for k in keys if name in (k, every[k].name)]
        given |= dict.fromkeys(exact or keys, answer)
    there = {a.key: "yes" for a in (*chosen, *own)} | {a.key: "ask" for a in raised} | given
    return Answered(
        allowed=tuple(a for k, a in every.items() if there.get(k) == "yes"),
        asked=tuple(a for k, a in every.items() if there.get(k) == "ask"),
        replaced=tuple(a for a in left if a.key not in given),
        problems=tuple(problems),
    )
