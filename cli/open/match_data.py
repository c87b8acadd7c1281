"""The match as the page reads it: what the file says, what that means, and the whole of it in six short answers."""

from __future__ import annotations

from typing import Any

from standmark.cli.open.checked import Checked
from standmark.cli.open.ground_data import ground_data
from standmark.cli.open.parts import Text, said
from standmark.cli.open.shapes import size_words
from standmark.cli.words.attack import match_attack
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.match_schema import MatchFile
from standmark.sports.sport import Period


def match_data(text: Text, checked: Checked, told: dict[str, Any] | None = None) -> dict[str, Any]:
    """Everything about the match itself.

    Parameters
    ----------
    told : what the file says, if it is known already
    """
    match, tables = checked.match, checked.tables
    told = said(text) if told is None else told
    if match is None or tables is None:
        return {
            "said": told,
            "faults": [fault.plain() for fault in checked.faults],
            "title": str(told["match"].get("title", "")),
            "ground": None,
            "kit": [],
            "periods": [],
            "line": ["", "", "", "", "", ""],
        }
    ground = ground_data(match, tables, text.marks)
    return {
        "said": told,
        "faults": [],
        "title": match.title,
        "ground": ground,
        "kit": [_camera(camera, i, tables, text) for i, camera in enumerate(match.cameras)],
        "periods": [
            {"key": p.key, "name": p.name, "minutes": p.minutes, "attack": _attack(match, p)}
            for p in match.sport.periods
        ],
        "line": _line(match, ground),
    }


def _camera(camera: Camera, index: int, tables: MatchFile, text: Text) -> dict[str, Any]:
    table = tables.camera[index] if index < len(tables.camera) else None
    words = [entry if isinstance(entry, str) else None for entry in table.lenses] if table is not None else []
    return {
        "mark": None if table is None else f"camera:{text.marks['camera'][index]}",
        "name": camera.name,
        "mode": camera.mode.name,
        "mm": [camera.mode.width_mm, camera.mode.height_mm],
        "px": [camera.mode.width_px, camera.mode.height_px],
        "lenses": [
            {"as": (words[i] if i < len(words) else None) or lens.name, "focal_mm": list(lens.focal_mm)}
            for i, lens in enumerate(camera.lenses)
        ],
        "support": camera.support.name,
        "operator": camera.operator.name,
        "role": camera.role,
        "walks": camera.roam is not None,
        "fixed": None if camera.fixed is None else [camera.fixed.x_m, camera.fixed.y_m, camera.fixed.z_m],
        "assumed": table is None,
    }


def _attack(match: Match, period: Period) -> str | None:
    """End that the first side attacks in a period; None where nobody knows, or where it changes or does not matter."""
    ends = {end for _, end in match_attack(match, [period])}
    return ends.pop() if len(ends) == 1 and ends <= {"+x", "-x"} else None


def _line(match: Match, ground: dict[str, Any]) -> list[str]:
    """Return the answers to the six questions, each in a few words."""
    answers = [place["answer"] for place in ground["places"]]
    onto = sum(bool(place["onto"]) and place["answer"] != "no" for place in ground["places"])
    n_yes, n_ask = answers.count("yes"), answers.count("ask")
    more = f", {onto} too far in" if onto else f", {n_ask} to ask" if n_ask else ""
    things = len(ground["obstacles"]) + len(ground["forbidden"]) + sum(t["there"] for t in ground["furniture"])
    longest = max(lens.focal_mm[1] for camera in match.cameras for lens in camera.lenses)
    kit = ", ".join(lens.name for lens in match.cameras[0].lenses)
    if len(match.cameras) > 1:
        kit = f"{len(match.cameras)} cameras, to {longest:g} mm"
    start = "" if match.start is None else f"{match.start.day} {match.start:%b %H:%M}"
    rules = "" if match.profile is None else f", {match.profile.name}"
    return [
        f"{match.sport.name}, {size_words(match.sport.area)}",
        (_counted(n_yes, "place") if n_yes else "nowhere") + more,
        _counted(things, "thing"),
        kit,
        start,
        f"{match.deliverable.name}{rules}",
    ]


def _counted(n: int, noun: str) -> str:
    return f"{n} {noun}{'' if n == 1 else 's'}" if n else "nothing"
