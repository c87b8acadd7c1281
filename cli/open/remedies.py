"""What cannot be done, and changes that make it possible: each leads to a plan that was searched."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from standmark.cli.words.moments import moment_words
from standmark.cli.words.shares import whole_percent
from standmark.geometry.errors import InputError, NoPlanError
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Planner

WISH = re.compile(r"rules\.must_cover\.([\w-]+) = ([\d.]+)")
CAP = re.compile(r'"([^"]+)" with max_cameras = (\d+)')
MOST = re.compile(r'max_cameras = (\d+) of "([^"]+)"')
MOST_TRIED = 4


def remedies(
    message: str, match: Match, marks: Mapping[str, str], planner: Planner, is_old: Callable[[], bool]
) -> dict[str, Any]:
    """Say what cannot be done and offer what would make it possible.

    Parameters
    ----------
    message : of the planner, which names what clashes and the nearest plan
    marks : mark of each area of the file, by its name
    planner : that has tried the match
    is_old : asked now and then whether to give up

    Raises
    ------
    Stopped : `is_old` said so
    """
    broken, _, nearest = message.partition("; nearest plan: ")
    asked = dict(match.rules.must_cover)
    wish = WISH.search(broken)
    ways: list[dict[str, Any]] = []
    words = broken

    def fault_of(must_cover: dict[str, float]) -> str | None:
        """What still cannot be done with other wishes; None where there is a plan."""
        planner.change(replace(match, rules=replace(match.rules, must_cover=must_cover)))
        try:
            planner.plan(stopped=is_old)
        except (NoPlanError, InputError) as error:
            return str(error)
        return None

    if wish is not None and wish[1] in asked:
        key, name = wish[1], _plural(match, wish[1])
        others = {k: v for k, v in asked.items() if k != key}
        words = (
            f"You asked for {whole_percent(asked[key])} of the {name}. No plan from the places you may use gets there."
        )
        share = _reached(asked, key, nearest, fault_of)
        if share is not None:
            ways.append(_remedy(f"Settle for {whole_percent(share)} of the {name}", _put("must_cover", key, share)))
        if fault_of(others) is None:
            ways.append(_remedy(f"Don't insist on the {name}", _put("must_cover", key, None)))
        elif others and fault_of({}) is None:
            ways.append(_remedy("Don't insist on anything", *(_put("must_cover", k, None) for k in asked)))
    if (most := MOST.search(broken)) is not None:
        words = f"Only {most[1]} camera{'s' if most[1] != '1' else ''} may stand at {most[2]}, and more have to."
    for area, n in CAP.findall(nearest):
        if area in marks:
            ways.append(_remedy(f"Allow {n} cameras at {area}", _put(marks[area], "max_cameras", int(n))))
    return {"words": words, "nearest": nearest, "remedies": ways}


def nowhere(places: list[dict[str, Any]]) -> dict[str, Any]:
    """Words and remedies where every place was refused.

    Parameters
    ----------
    places : as the ground's data holds them
    """
    usual = [p for p in places if p["kind"] != "raised"][:6] or places[:6]
    return {
        "words": "There's nowhere to stand. You've said no to every place.",
        "nearest": "",
        "remedies": [_remedy(f"Say yes to {p['name']}", _put("answers", p["key"], "yes")) for p in usual],
    }


def _reached(
    asked: dict[str, float], key: str, nearest: str, fault_of: Callable[[dict[str, float]], str | None]
) -> float | None:
    """Largest share that the nearest plans keep in every period, the other wishes kept; None if none was found."""
    for _ in range(MOST_TRIED):
        milder = next((float(share) for name, share in WISH.findall(nearest) if name == key), None)
        if milder is None or f"without rules.must_cover.{key}" in nearest:
            return None
        fault = fault_of(asked | {key: milder})
        if fault is None:
            return milder
        nearest = fault.partition("; nearest plan: ")[2]
    return None


def _plural(match: Match, key: str) -> str:
    moment = next(m for m in match.sport.moments if m.key == key)
    return moment_words(match.sport, moment).plural


def _put(part: str, field: str, value: Any) -> dict[str, Any]:
    return {"do": "put", "part": part, "field": field, "value": value}


def _remedy(words: str, *edits: dict[str, Any]) -> dict[str, Any]:
    return {"words": words, "what": words[:1].lower() + words[1:], "edits": list(edits)}
