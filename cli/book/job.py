"""The work on one ground: plain data in, the bytes of its results out; runs in any process on any machine."""

from __future__ import annotations

import hashlib
import io
import json
import sys
import tempfile
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from standmark.cli.book.record import ground_record
from standmark.cli.words.units import Units
from standmark.geometry.errors import InputError, StandmarkError, printable
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.read_match import match_of
from standmark.optimizer.standard.apply import apply_standard
from standmark.optimizer.standard.cover import cover
from standmark.optimizer.standard.read_standard import standard_of
from standmark.optimizer.standard.standard import Standard
from standmark.sports.toml.file import parse_toml

RESULT_FORM = "standmark.result/4"
RECORD, PLAN, SHEET, REASON = "ground.json", "plan.json", "sheet.json", "reason.txt"
LABEL = ("name", "edition")  # keys of a standard that only name it
COUNTED_LIBRARIES = ("numpy", "shapely", "reportlab", "geographiclib")
QUICKLY = 1  # level of compression: a fifth larger in half the time
EARLIEST_DATE = (1980, 1, 1, 0, 0, 0)  # that a zip archive can hold: the same bytes whenever it is made


@dataclass(frozen=True)
class Job:
    """Everything that the result for one ground depends on."""

    code: str
    path: str
    text: str
    has_bearing: bool
    sport_file: tuple[str, str] | None
    standard_name: str
    standard_text: str
    units: str
    paper: str
    program: str  # fingerprint of the program that asks

    @property
    def key(self) -> str:
        """Name of the result: the same for the same content, whatever machine or day."""
        content = content_digest(self.text, self.has_bearing, self.sport_file)
        terms = (self.standard_name, standard_terms(self.standard_text), self.units, self.paper, self.program)
        return result_key(self.code, self.path, content, terms)


def content_digest(text: str, has_bearing: bool, sport_file: tuple[str, str] | None) -> str:
    """Fingerprint of all that a ground's file brings along."""
    return _digest([text, has_bearing, sport_file])


def result_key(code: str, path: str, content: str, terms: Sequence[str]) -> str:
    """Name of the result of a ground.

    Parameters
    ----------
    content : fingerprint of the ground's file
    terms : what holds for all grounds, as in a job: standard's name and terms, units, paper, program
    """
    return _digest([RESULT_FORM, code, path, content, *terms])


@lru_cache(maxsize=4)
def standard_terms(text: str) -> str:
    """Return what a standard asks for, without its label (name and edition), which no result depends on."""
    data = parse_toml(text, name="standard").data
    head = {key: value for key, value in data.get("standard", {}).items() if key not in LABEL}
    return json.dumps(data | {"standard": head}, sort_keys=True, default=str)


def _digest(content: Sequence[Any]) -> str:
    return hashlib.sha256(json.dumps(content, ensure_ascii=True).encode()).hexdigest()


@lru_cache(maxsize=1)
def program_fingerprint() -> str:
    """Fingerprint of this program, its sport definitions and the libraries that results depend on."""
    digest = hashlib.sha256(f"{sys.version_info[:2]}".encode())
    for library in COUNTED_LIBRARIES:
        digest.update(f"{library} {_version(library)}".encode())
    package = Path(__file__).resolve().parents[2]
    for floor in ("geometry", "sports", "optimizer", "cli"):
        for path in sorted((package / floor).rglob("*")):
            if path.suffix in (".py", ".toml"):
                digest.update(path.relative_to(package).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def do_job(job: Job) -> bytes:
    """Apply the standard at one ground and draw its sheet.

    A ground that cannot be used is a result too: its reason.

    Returns
    -------
    an archive with either record, plan and sheet, or the reason why there are none

    Raises
    ------
    StandmarkError : this machine runs another program than the one that asks
    MemoryError : this machine has too little memory now, which says nothing of the ground
    """
    if job.program != program_fingerprint():
        raise StandmarkError(
            "a worker runs another version of standmark or of its libraries; install the same everywhere"
        )
    try:
        return archive(_ground_files(job))
    except StandmarkError as error:
        return archive({REASON: error.unquoted.encode()})
    except MemoryError:
        raise
    except Exception as error:  # one ground is never the end of a book
        reason = f"{job.path}: a bug in standmark, please report it ({type(error).__name__}: {error})"
        return archive({REASON: printable(reason).encode()})


def archive(files: Mapping[str, bytes]) -> bytes:
    """Pack files so that the same files give the same bytes."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, EARLIEST_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            packed.writestr(entry, content, compresslevel=QUICKLY)
    return buffer.getvalue()


def is_result_of(files: Mapping[str, bytes], *, code: str, path: str) -> bool:
    """Whether the files of a result are what `do_job` makes for a ground; nothing read back is trusted unseen."""
    from standmark.cli.book.contents import line_of
    from standmark.cli.book.picture_file import read_pictures

    if set(files) == {REASON}:
        return True
    if set(files) != {RECORD, PLAN, SHEET}:
        return False
    try:
        record = json.loads(files[RECORD])
        line = line_of(record, "")
        pages = [read_pictures(files[name]) for name in (PLAN, SHEET)]
        return line.code == code and line.path == path and len(pages[0]) == 1
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError):
        return False


def _ground_files(job: Job) -> dict[str, bytes]:
    from standmark.cli.book.picture_file import pictures_bytes
    from standmark.cli.book.plan_panel import screen_picture
    from standmark.cli.book.sheet import sheet_pages
    from standmark.cli.sheet.paper import PAPERS

    standard, steps = _standard(job.standard_text, job.standard_name)
    match, units = _match(job), Units(job.units)
    positions = apply_standard(match, standard, steps=steps)
    covered = cover(match, [p.filled.station for p in positions.positions if p.filled is not None])
    record = ground_record(
        match, positions, covered, code=job.code, path=job.path, has_bearing=job.has_bearing, units=units
    )
    pages = sheet_pages(match, record, PAPERS[job.paper], units=units)
    record["pages"] = len(pages)
    return {
        RECORD: json.dumps(record, ensure_ascii=False, allow_nan=False, sort_keys=True).encode("utf-8"),
        PLAN: pictures_bytes([screen_picture(match, record, units=units)]),
        SHEET: pictures_bytes(pages),
    }


@lru_cache(maxsize=4)
def _standard(text: str, name: str) -> tuple[Standard, Mapping[str, float]]:
    standard, steps, _ = standard_of(parse_toml(text, name=name))
    return standard, steps


def _match(job: Job) -> Match:
    file = parse_toml(job.text, name=job.path)
    if job.sport_file is None:
        return match_of(file, folder=Path())
    name, text = job.sport_file
    path = _definition_path(text)
    own = file.data["match"] | {"sport_file": path.name}
    try:
        return match_of(replace(file, data=file.data | {"match": own}), folder=path.parent)
    except StandmarkError as error:
        raise InputError(error.unquoted.replace(str(path), name)) from error


@lru_cache(maxsize=1000)
def _definition_path(text: str) -> Path:
    """File of this process that holds a sport definition which a ground brings along."""
    path = Path(_scratch().name) / f"{hashlib.sha256(text.encode()).hexdigest()}.toml"
    path.write_text(text, encoding="utf-8")
    return path


@lru_cache(maxsize=1)
def _scratch() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="standmark-")


def _version(library: str) -> str:
    try:
        return version(library)
    except PackageNotFoundError:
        return "unknown"
