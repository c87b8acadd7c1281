"""The match file on the disk: read, watched, and replaced only when what was written has been read back."""

from __future__ import annotations

import codecs
import hashlib
import os
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from standmark.cli.open.parts import EditError, flat, marked, parsed, plain_json, said
from standmark.cli.terminal.write_files import write_one
from standmark.geometry.errors import InputError, OutputError
from standmark.sports.toml.as_written import UTF16, decoded
from standmark.sports.toml.regular_file import read_at_most

MAX_BYTES = 1 << 20
GONE = ""  # fingerprint of a file that is not there
UNITS = {"_m": " m", "_deg": " degrees", "_mm": " mm", "_c": " °C", "_m_s": " m/s"}
PART_WORDS = {
    "venue": "ground",
    "answers": "answer",
    "side_names": "sides",
    "stand_height_m": "stands",
    "must_cover": "not to be missed",
    "weights": "worth",
}
FIELD_WORDS = {
    "polygon": "corners",
    "length_m": "length",
    "width_m": "width",
    "span_m": "along the side",
    "offset_m": "from the line",
    "lens_height_m": "lens height",
    "top_m": "height",
    "base_m": "underside",
    "bearing_deg": "bearing",
    "at_m": "fixed spot",
    "max_cameras": "most cameras",
}


@dataclass(frozen=True)
class OnDisk:
    """What stands in the file, and in which encoding."""

    text: str
    encoding: str  # "utf-8", "utf-8-sig" or "utf-16"
    print_: str  # fingerprint of its bytes


def read_disk(path: Path) -> OnDisk | None:
    """Read the match file; None where there is none.

    Raises
    ------
    InputError : not readable, too large or no text
    """
    if not os.path.lexists(path):
        return None
    raw = read_at_most(path, most_bytes=MAX_BYTES, size_words="1 MiB; a match file is a few kilobytes")
    text = decoded(raw, path)
    encoding = "utf-16" if raw.startswith(UTF16) else "utf-8-sig" if raw.startswith(codecs.BOM_UTF8) else "utf-8"
    return OnDisk(text, encoding, fingerprint(raw, is_link=path.is_symlink()))


def print_of(path: Path) -> str:
    """Fingerprint of what stands in a file now; that of nothing where it is gone or cannot be read."""
    try:
        raw = read_at_most(path, most_bytes=MAX_BYTES, size_words="1 MiB")
    except InputError:
        return "unreadable" if os.path.lexists(path) else GONE
    return fingerprint(raw, is_link=path.is_symlink())


def fingerprint(raw: bytes, *, is_link: bool = False) -> str:
    """Fingerprint of bytes; a link with the same bytes is another thing."""
    return hashlib.sha256(raw).hexdigest() + (" by a link" if is_link else "")


def write_back(path: Path, text: str, *, encoding: str, expected: str) -> str:
    """Replace the match file, if it is still what was read last; what was written is read again first.

    Parameters
    ----------
    expected : fingerprint of what may be replaced; GONE: there must be no file

    Returns
    -------
    fingerprint of what stands there now

    Raises
    ------
    OutputError : the file is another one by now, cannot be written, or was not read back the same
    """
    raw = text.encode(encoding)
    if expected == GONE:
        write_one(path, raw, force=False)
        return fingerprint(raw)
    part = written_part(path, raw)
    try:
        back = part.read_bytes()
        if back != raw or parsed(decoded(back, part)) != parsed(text):
            raise OutputError(f"{path}: could not be read back after writing; nothing was changed")
        if print_of(path) != expected:
            raise OutputError(f"{path}: has changed on disk; nothing was overwritten")
        os.replace(part, path)
    except (OSError, EditError, InputError) as error:
        raise OutputError(f"{path}: cannot be written ({error}); nothing was changed") from error
    finally:
        part.unlink(missing_ok=True)
    return fingerprint(raw)


def written_part(path: Path, raw: bytes) -> Path:
    """Write bytes beside a file, with the rights that the file has."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, path.stat().st_mode & 0o777)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror}); nothing was changed") from error
    return Path(name)


def free_sibling(path: Path) -> Path:
    """Name beside a file that is not taken: match-2.toml, match-3.toml."""
    names = (path.with_name(f"{path.stem}-{n}{path.suffix}") for n in range(2, 1000))
    return next(name for name in names if not os.path.lexists(name))


def difference(mine: str, path: Path) -> dict[str, Any]:
    """What differs between the page and the disk, for people."""
    now = datetime.now()
    try:
        there = read_disk(path)
        theirs = None if there is None else said(marked(there.text))
    except InputError as error:
        return {"when": f"{now:%H:%M}", "gone": False, "differs": [], "fault": str(error)}
    if theirs is None:
        return {"when": f"{now:%H:%M}", "gone": True, "differs": [], "fault": None}
    try:
        at = datetime.fromtimestamp(path.stat().st_mtime)
    except OSError:  # gone since it was read
        at = now
    return {"when": f"{at:%H:%M}", "gone": False, "differs": list(_differs(said(marked(mine)), theirs)), "fault": None}


def _differs(mine: Mapping[str, Any], theirs: Mapping[str, Any]) -> Iterator[list[str]]:
    ours = {(name, key): value for name, key, value in flat(mine)}
    others = {(name, key): value for name, key, value in flat(theirs)}
    for name, key in dict.fromkeys((*ours, *others)):
        one, other = ours.get((name, key)), others.get((name, key))
        if one != other:
            label = f"{PART_WORDS.get(name, name)}, {FIELD_WORDS.get(key, key.replace('_', ' '))}"
            yield [label, _value_words(key, one), _value_words(key, other)]


def _value_words(key: str, value: Any) -> str:
    """Value of a match file as people say it."""
    if value is None:
        return ""
    unit = next((words for end, words in UNITS.items() if key.endswith(end)), "")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}{unit}"
    if isinstance(value, list) and value and all(isinstance(v, list) for v in value):
        return "; ".join(", ".join(plain_json(v) for v in point) for point in value)
    if isinstance(value, list) and all(isinstance(v, int | float) for v in value):
        return (
            f"{' to '.join(f'{v:g}' for v in value)}{unit}" if len(value) == 2 else ", ".join(f"{v:g}" for v in value)
        )
    if isinstance(value, list) and all(isinstance(v, str) for v in value):
        return ", ".join(value)
    try:
        when = datetime.fromisoformat(value) if key == "start" else None
    except (TypeError, ValueError):
        when = None
    return plain_json(value) if when is None else f"{when.day} {when:%b %Y, %H:%M}"
