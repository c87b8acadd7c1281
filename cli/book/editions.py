"""What changed since an earlier edition of a book, and why."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from standmark.cli.book.codes import Entry
from standmark.cli.book.standard_file import read_standard
from standmark.cli.book.words import role_wishes
from standmark.cli.units import Units, height_words
from standmark.geometry.errors import InputError
from standmark.optimizer.standard.standard import Standard, role_codes

Record = Mapping[str, Any]
MOVED_M = 0.005  # nearer than this is the same place
OTHER_LENS_MM = 0.5
MOST_REASONS = 6
WHOLE_STANDARD = {
    "separation_m": "distance between positions",
    "main_side": "choice of the main side",
    "mode": "recording mode",
    "lenses": "lenses",
}


@dataclass(frozen=True)
class Edition:
    """An earlier book."""

    folder: Path
    name: str  # of its standard, with the edition
    digest: str
    program: str
    codes: tuple[Entry, ...]
    standard: Standard

    def record(self, code: str) -> Record | None:
        """What it said of a ground; None if the ground was not in it."""
        path = self.folder / "grounds" / f"{code.lower()}.json"
        return _read_json(path) if path.is_file() else None


@dataclass(frozen=True)
class Present:
    """What this edition is made with."""

    standard: Standard
    program: str
    units: Units


@dataclass(frozen=True)
class Change:
    """One thing that is not as it was."""

    kind: str  # "new", "gone", "moved", "lens", "met", "short"
    code: str  # of a position, or of a ground
    words: str
    reasons: tuple[str, ...]
    moved_m: float | None = None


def read_edition(folder: Path) -> Edition:
    """Read what is needed of an earlier book.

    Raises
    ------
    InputError : the folder holds no finished book
    """
    if not (folder / "book.json").is_file():
        raise InputError(
            f"{folder}: holds no finished book (book.json is missing); give the folder of an earlier edition"
        )
    book = _read_json(folder / "book.json")
    standard, _, _ = read_standard(folder / "standard.toml")
    try:
        name = f"{book['standard']['name']}, edition {book['standard']['edition']}"
        return Edition(folder, name, book["digest"], book["program"], read_codes(folder), standard)
    except (KeyError, TypeError) as error:
        raise InputError(f"{folder / 'book.json'}: is not the record of a book ({error} is missing)") from error


def read_codes(folder: Path) -> tuple[Entry, ...]:
    """Codes given so far by the book in a folder, those of grounds that are gone first; none if it has no list."""
    path = folder / "codes.json"
    if not path.is_file():
        return ()
    data = _read_json(path)
    try:
        return tuple(Entry(e["code"], e["path"], e["name"]) for e in [*data["retired"], *data["grounds"]])
    except (KeyError, TypeError) as error:
        raise InputError(f"{path}: is not a list of codes ({error} is missing); restore it from a copy") from error


def ground_changes(old: Record | None, new: Record, edition: Edition, present: Present) -> Iterator[Change]:
    """Say what changed at one ground.

    Parameters
    ----------
    old : None: the ground was not in the earlier edition
    """
    if old is None:
        yield Change("new", new["code"], f"{new['name']}: new in the book", ())
        return
    before = {p["role_code"]: p for p in old["positions"]}
    moved_others = False
    for position in new["positions"]:
        earlier = before.pop(position["role_code"], None)
        change = _position_change(earlier, position, present.units)
        if change is None:
            continue
        kind, words, moved_m = change
        reasons = _reasons(old, new, (earlier, position), edition, present)
        yield Change(kind, position["code"], words, reasons, moved_m)
        moved_others = True
    for code, position in before.items():
        yield Change("gone", position["code"], f"{position['role']}: no longer in the standard", _role_reason(code))
    if old["name"] != new["name"] and not moved_others:
        yield Change("renamed", new["code"], f"“{old['name']}” is now “{new['name']}”", ())


def _role_reason(code: str) -> tuple[str, ...]:
    return (f"the standard has no role {code} any more; its code is not given again",)


def _position_change(old: Record | None, new: Record, units: Units) -> tuple[str, str, float | None] | None:
    role = new["role"]
    if old is None:
        return "new", f"{role}: new position", None
    if old["filled"] != new["filled"]:
        return ("new", f"{role}: has a place now, {new['place']}", None) if new["filled"] else (
            ("gone", f"{role}: has no place any more", None)
        )  # fmt: skip
    if not new["filled"]:
        return None
    moved_m = math.dist(*([p["x_m"], p["y_m"], p["z_m"]] for p in (old, new)))
    if moved_m >= MOVED_M:
        rise = new["z_m"] - old["z_m"]
        along = math.dist((old["x_m"], old["y_m"]), (new["x_m"], new["y_m"]))
        words = f"{role}: moved {_length(along, units)}" if along >= MOVED_M else f"{role}: same place"
        if abs(rise) >= MOVED_M:
            words += f", lens {_length(abs(rise), units)} {'higher' if rise > 0 else 'lower'}"
        return "moved", f"{words}; now {new['place']}", moved_m
    if old["lens"] != new["lens"] or abs(old["focal_mm"] - new["focal_mm"]) >= OTHER_LENS_MM:
        return "lens", f"{role}: same place, now {new['lens']} at {new['focal_mm']:.0f} mm", 0.0
    if old["met"] != new["met"]:
        verdict = "meets the standard now" if new["met"] else "falls short now"
        return ("met" if new["met"] else "short"), f"{role}: same place, {verdict}", 0.0
    return None


def _reasons(
    old: Record, new: Record, pair: tuple[Record | None, Record], edition: Edition, present: Present
) -> tuple[str, ...]:
    """Say why a position is not what it was: what changed in the standard, at the ground, or in the program.

    Parameters
    ----------
    pair : the position as it was and as it is
    """
    code = pair[1]["role_code"]
    reasons = standard_differences(edition.standard, present.standard, code, present.units)
    differences = limit_differences(old["limits"], new["limits"])
    own = {f"allowed area “{p['area_name']}”" for p in pair if p is not None and p["filled"]}
    telling = [words for key, words in differences if key in own or not key.startswith("allowed area")]
    reasons += telling or [words for _, words in differences]
    if old["main_side"] != new["main_side"]:
        reasons.append(f"the main side is now {new['main_side_name']}")
    if not reasons and present.program != edition.program:
        reasons.append("another version of standmark, of a library or of the sport's definition")
    if not reasons:
        reasons.append("another position of this ground moved and left or took the place")
    if len(reasons) > MOST_REASONS:
        reasons[MOST_REASONS:] = [f"and {len(reasons) - MOST_REASONS} changes more"]
    return tuple(reasons)


def limit_differences(old: Mapping[str, str], new: Mapping[str, str]) -> list[tuple[str, str]]:
    """Say how the limits of a ground differ: key and words."""
    found = []
    for key in dict.fromkeys([*old, *new]):
        if key not in new:
            found.append((key, f"{key}: gone"))
        elif key not in old:
            found.append((key, f"{key}: new, {_plain(new[key])}"))
        elif _plain(old[key]) != _plain(new[key]):
            found.append((key, f"{key}: was {_plain(old[key])}, is {_plain(new[key])}"))
        elif old[key] != new[key]:
            found.append((key, f"{key}: has another outline"))
    return found


def _plain(words: str) -> str:
    """Words of a limit without fingerprints."""
    return re.sub(r" \[[0-9a-f]{6}\]", "", words)


def standard_differences(old: Standard, new: Standard, slot_code: str, units: Units) -> list[str]:
    """Say how two standards differ for one position."""
    found = [
        f"standard: {words} was {_said(getattr(old, name))}, is {_said(getattr(new, name))}"
        for name, words in WHOLE_STANDARD.items()
        if getattr(old, name) != getattr(new, name)
    ]
    roles = [next((r for r in s.roles if slot_code in role_codes(r)), None) for s in (old, new)]
    if roles[0] is None or roles[1] is None:
        return [*found, "standard: the role is new"] if roles[0] is None else found
    before, after = role_wishes(roles[0], units), role_wishes(roles[1], units)
    found += [f"standard: no longer asks: {wish}" for wish in before if wish not in after]
    found += [f"standard: asks now: {wish}" for wish in after if wish not in before]
    if not found and replace(roles[0], name="", purpose="") != replace(roles[1], name="", purpose=""):
        found.append("standard: the role is described anew")
    return found


def _said(value: object) -> str:
    match value:
        case None:
            return "each ground's own"
        case float():
            return f"{value:g} m"
        case tuple():
            return " or ".join(str(getattr(lens, "name", lens)) for lens in value)
        case _:
            return str(getattr(value, "name", value))


def _length(value_m: float, units: Units) -> str:
    return height_words(value_m, units)


def _read_json(path: Path) -> Any:
    try:
        return json.loads(path.read_bytes())
    except (OSError, ValueError) as error:
        raise InputError(f"{path}: cannot be read as the record of a book ({error})") from error


def gone_grounds(edition: Edition, here: Container[str]) -> Iterator[Change]:
    """Grounds of an earlier edition that are not in the book any more."""
    for entry in edition.codes:
        if entry.code not in here and edition.record(entry.code) is not None:
            yield Change(
                "gone", entry.code, f"{entry.name or entry.path}: no longer in the folder, its code is kept free", ()
            )
