"""What changed since an earlier edition of a book, and why."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal, cast

from standmark.cli.book.codes import Entry
from standmark.cli.book.record import SCHEMA as GROUND_SCHEMA
from standmark.cli.book.record_types import (
    GroundRecord,
    PositionRecord,
)
from standmark.cli.book.words import role_wishes
from standmark.cli.words.units import Units, height_words
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.match.venue_schema import is_ground_code
from standmark.optimizer.standard.read_standard import read_standard
from standmark.optimizer.standard.standard import Standard, role_codes
from standmark.sports.toml.regular_file import read_at_most

ChangeKind = Literal["new", "gone", "renamed", "moved", "lens", "met", "short"]
SCHEMA, CODES_SCHEMA = "standmark.book/1", "standmark.codes/1"
MOST_BYTES = 64 << 20  # of one document of a book
MOVED_M = 0.005  # nearer than this is the same place
OTHER_LENS_MM = 0.5
MOST_REASONS = 6
CROWDED_M = 0.5
PART = re.compile(r", (?![^(]*\))")  # between the parts of a limit, not inside a place
WHOLE_STANDARD = {
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

    def record(self, code: str) -> GroundRecord | None:
        """What it said of a ground; None if the ground was not in it."""
        path = self.folder / "grounds" / f"{code.lower()}.json"
        if not path.is_file():
            return None
        record = _read_json(path, GROUND_SCHEMA)
        if record.get("code") != code or not {"name", "positions", "limits", "main_side"} <= set(record):
            raise InputError(f"{path}: is not the record of {code}; restore it from a copy of that edition")
        return cast(GroundRecord, record)


@dataclass(frozen=True)
class Present:
    """What this edition is made with."""

    standard: Standard
    program: str
    units: Units


@dataclass(frozen=True)
class EditionChange:
    """One thing that is not as it was."""

    kind: ChangeKind
    code: str  # of a position, or of a ground
    words: str
    reasons: tuple[str, ...]
    moved_m: float | None = None


def read_edition(folder: Path) -> Edition:
    """Read what is needed of an earlier book.

    Raises
    ------
    InputError : the folder holds no finished book, a damaged one, or one of another version
    """
    if not (folder / "book.json").is_file():
        raise InputError(
            f"{folder}: holds no finished book (book.json is missing); give the folder of an earlier edition"
        )
    book = _read_json(folder / "book.json", SCHEMA)
    standard, _, _ = read_standard(folder / "standard.toml")
    codes = read_codes(folder)
    n_here = sum((folder / "grounds" / f"{entry.code.lower()}.json").is_file() for entry in codes)
    try:
        name = f"{book['standard']['name']}, edition {book['standard']['edition']}"
        n_grounds, digest, program = book["grounds"], book["digest"], book["program"]
        if not (isinstance(digest, str) and isinstance(program, str) and isinstance(n_grounds, int)):
            raise TypeError("not texts and a number")
    except (KeyError, TypeError) as error:
        raise InputError(f"{folder / 'book.json'}: is not the record of a book; restore it from a copy") from error
    if n_here != n_grounds:
        raise InputError(
            f"{folder / 'grounds'}: holds {n_here} of the {n_grounds} grounds of that edition; restore it from a copy"
        )
    return Edition(folder, name, digest, program, codes, standard)


def read_codes(folder: Path) -> tuple[Entry, ...]:
    """Codes given so far by the book in a folder, those of grounds that are gone first; none if there is no book yet.

    Raises
    ------
    InputError : the list is faulty, or a finished book has none: its codes would not stay
    """
    path = folder / "codes.json"
    if not path.is_file():
        if (folder / "book.json").is_file():
            raise InputError(f"{path}: missing; without it codes would change; restore it from a copy")
        return ()
    data = _read_json(path, CODES_SCHEMA)
    try:
        entries = [Entry(e["code"], e["path"], e["name"]) for e in [*data["retired"], *data["grounds"]]]
    except (KeyError, TypeError) as error:
        raise InputError(f"{path}: is not a list of codes; restore it from a copy") from error
    for entry in entries:
        if not is_ground_code(entry.code):
            raise InputError(f'{path}: "{shown(entry.code)}" is not the code of a ground; restore it from a copy')
        if not (isinstance(entry.path, str) and isinstance(entry.name, str)):
            raise InputError(f"{path}: {entry.code}: path and name are texts; restore it from a copy")
    return tuple(entries)


def ground_changes(
    old: GroundRecord | None, new: GroundRecord, edition: Edition, present: Present
) -> Iterator[EditionChange]:
    """Say what changed at one ground.

    Parameters
    ----------
    old : None: the ground was not in the earlier edition
    """
    if old is None:
        yield EditionChange("new", new["code"], f"{new['name']}: new in the book", ())
        return
    if old["name"] != new["name"]:
        yield EditionChange("renamed", new["code"], f"“{old['name']}” is now “{new['name']}”", ())
    before = {p["role_code"]: p for p in old["positions"]}
    for position in new["positions"]:
        earlier = before.pop(position["role_code"], None)
        change = _position_change(earlier, position, present.units)
        if change is None:
            continue
        kind, words, moved_m = change
        reasons = _reasons(old, new, (earlier, position), edition, present)
        yield EditionChange(kind, position["code"], words, reasons, moved_m)
    for code, position in before.items():
        yield EditionChange(
            "gone", position["code"], f"{position['role']}: no longer in the standard", _role_reason(code)
        )


def _role_reason(code: str) -> tuple[str, ...]:
    return (f"the standard has no role {code} any more; its code is not given again",)


def _position_change(
    old: PositionRecord | None, new: PositionRecord, units: Units
) -> tuple[ChangeKind, str, float | None] | None:
    role = new["role"]
    if old is None:
        return "new", f"{role}: new position", None
    if old["filled"] != new["filled"]:
        return ("new", f"{role}: now has a place, {new['place']}", None) if new["filled"] else (
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
        verdict = "now meets the standard" if new["met"] else "now falls short"
        return ("met" if new["met"] else "short"), f"{role}: same place, {verdict}", 0.0
    return None


def _reasons(
    old: GroundRecord,
    new: GroundRecord,
    pair: tuple[PositionRecord | None, PositionRecord],
    edition: Edition,
    present: Present,
) -> tuple[str, ...]:
    """Say why a position is not what it was: what changed in the standard, at the ground, or in the program.

    Parameters
    ----------
    pair : the position as it was and as it is
    """
    code = pair[1]["role_code"]
    reasons = standard_differences(edition.standard, present.standard, code, present.units)
    separations_m = (edition.standard.separation_m, present.standard.separation_m)
    if separations_m[0] != separations_m[1] and _is_crowded(old, new, code, max(separations_m)):
        reasons.append("standard: distance between positions was {:g} m, is {:g} m".format(*separations_m))
    differences = limit_differences(old["limits"], new["limits"])
    own = {f"allowed area “{p['area_name']}”" for p in pair if p is not None and p["filled"]}
    telling = [words for key, words in differences if key in own or not key.startswith("allowed area")]
    reasons += telling or ([] if reasons else [words for _, words in differences])
    if old["main_side"] != new["main_side"]:
        reasons.append(f"the main side is now {new['main_side_name']}")
    if not reasons and present.program != edition.program:
        reasons.append("another version of standmark, of a library or of the sport's definition")
    if not reasons:
        reasons.append("another position of this ground moved and left or took the place")
    if len(reasons) > MOST_REASONS:
        reasons[MOST_REASONS:] = [f"and {len(reasons) - MOST_REASONS} more changes"]
    return tuple(reasons)


def _is_crowded(old: GroundRecord, new: GroundRecord, role_code: str, separation_m: float) -> bool:
    """Does or did another position stand about as near as a separation to the one of a role."""
    for record in (old, new):
        places = {p["role_code"]: (p["x_m"], p["y_m"]) for p in record["positions"] if p["filled"]}
        own = places.pop(role_code, None)
        if own is not None and any(math.dist(own, place) < separation_m + CROWDED_M for place in places.values()):
            return True
    return False


def limit_differences(old: Mapping[str, str], new: Mapping[str, str]) -> list[tuple[str, str]]:
    """Say how the limits of a ground differ: key and words."""
    differences = []
    for key in dict.fromkeys([*old, *new]):
        if key not in new:
            differences.append((key, f"{key}: gone"))
        elif key not in old:
            differences.append((key, f"{key}: new, {_plain(new[key])}"))
        elif _plain(old[key]) != _plain(new[key]):
            was, now = _differing(_plain(old[key]), _plain(new[key]))
            differences.append((key, f"{key}: was {was}, is {now}"))
        elif old[key] != new[key]:
            differences.append((key, f"{key}: has another outline or was moved"))
    return differences


def _differing(old: str, new: str) -> tuple[str, str]:
    """Parts of two limits that are not the same; all where they do not correspond."""
    parts = [PART.split(words) for words in (old, new)]
    if len(parts[0]) != len(parts[1]):
        return old, new
    pairs = [(a, b) for a, b in zip(*parts, strict=True) if a != b]
    return ", ".join(a for a, _ in pairs), ", ".join(b for _, b in pairs)


def _plain(words: str) -> str:
    """Words of a limit without fingerprints and coordinates."""
    return re.sub(r" round \([-\d., ]+\)| \[[0-9a-f]{6}\]", "", words)


def standard_differences(old: Standard, new: Standard, slot_code: str, units: Units) -> list[str]:
    """Say how two standards differ for one position."""
    differences = [
        f"standard: {words} was {_said(getattr(old, name))}, is {_said(getattr(new, name))}"
        for name, words in WHOLE_STANDARD.items()
        if getattr(old, name) != getattr(new, name)
    ]
    roles = [next((r for r in s.roles if slot_code in role_codes(r)), None) for s in (old, new)]
    if roles[0] is None or roles[1] is None:
        return [*differences, "standard: the role is new"] if roles[0] is None else differences
    before, after = role_wishes(roles[0], units), role_wishes(roles[1], units)
    differences += [f"standard: no longer asks: {wish}" for wish in before if wish not in after]
    differences += [f"standard: now asks: {wish}" for wish in after if wish not in before]
    if not differences and replace(roles[0], name="", purpose="") != replace(roles[1], name="", purpose=""):
        differences.append("standard: the role has a new description")
    return differences


def _said(value: object) -> str:
    match value:
        case None:
            return "each ground's own"
        case tuple():
            return " or ".join(str(getattr(lens, "name", lens)) for lens in value)
        case _:
            return str(getattr(value, "name", value))


def _length(value_m: float, units: Units) -> str:
    return height_words(value_m, units)


def _read_json(path: Path, schema: str) -> dict[str, Any]:
    """Read a document of a book.

    Raises
    ------
    InputError : it is no JSON document of that schema
    """
    raw = read_at_most(path, most_bytes=MOST_BYTES, size_words="64 MiB; restore it from a copy")
    try:
        data = json.loads(raw)
    except (ValueError, RecursionError) as error:
        why = "nested too deep" if isinstance(error, RecursionError) else str(error)
        raise InputError(f"{path}: cannot be read as the record of a book ({why}); restore it from a copy") from error
    if not isinstance(data, dict) or not isinstance(data.get("schema"), str):
        raise InputError(f'{path}: is not the record of a book; allowed: a document with "schema": "{schema}"')
    if data["schema"] != schema:
        raise InputError(
            f'{path}: is written as "{shown(data["schema"])}"; this version reads "{schema}", '
            "use the version that wrote it"
        )
    return data


def gone_grounds(edition: Edition, here: Mapping[str, str], failed: Container[str]) -> Iterator[EditionChange]:
    """Grounds of an earlier edition that are not in the book any more under their code, and why.

    Parameters
    ----------
    here : code by path
    failed : paths of files that could not be used
    """
    codes = set(here.values())
    for entry in edition.codes:
        if entry.code in codes or edition.record(entry.code) is None:
            continue
        why = "no longer in the folder, its code is kept free"
        if entry.path in failed:
            why = "its file could not be used this time, its code is kept"
        elif entry.path in here:
            why = f"has the code {here[entry.path]} now"
        yield EditionChange("gone", entry.code, f"{entry.name or entry.path}: {why}", ())
