"""A log that somebody filled in: a table with a row for each moment, end and camera, and the plan's digest on top."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from standmark.geometry.errors import InputError, shown
from standmark.optimizer.scoring.logs.filmed import REASONS, Count, Reason
from standmark.optimizer.scoring.logs.promise import PlannedMatch
from standmark.sports.toml.file import did_you_mean
from standmark.sports.toml.regular_file import read_at_most

COLUMNS = ("moment", "end", "period", "happened", "got", "why", "camera")
NEEDED = ("moment", "happened", "got")
MOST_BYTES, MOST_ROWS, MOST_TIMES = 1 << 20, 20_000, 10_000
DIGEST = re.compile(r"#?\s*plan[ ,:;\t]+([0-9a-f]{16})\b", re.IGNORECASE)
REASON_COUNT = re.compile(r"(?:(\d{1,5})\s*(?:x|times)?\s+)?(.*?)(?:\s+(\d{1,5}))?", re.IGNORECASE)


@dataclass(frozen=True)
class LogFile:
    """The rows of a log, not held against a plan yet."""

    name: str
    digest: str
    rows: tuple[tuple[int, Mapping[str, str]], ...]  # number of the row in the file, cells by column


def read_log(path: Path) -> LogFile:
    """Read a log as a spreadsheet or the phone page saved it.

    Raises
    ------
    InputError : one line with the row and column
    """
    raw = read_at_most(path, most_bytes=MOST_BYTES, size_words="1 MiB; a log is a few kilobytes")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: not UTF-8 text; save it as CSV in UTF-8") from error
    lines = text.splitlines()
    digest = DIGEST.match(lines[0].strip().strip('"')) if lines else None
    if digest is None:
        raise InputError(f'{path}, row 1: must be "# plan" and the plan\'s digest, as standmark log new writes it')
    return LogFile(str(path), digest[1].lower(), tuple(_rows(path, lines)))


def _rows(path: Path, lines: list[str]) -> Iterator[tuple[int, Mapping[str, str]]]:
    body = lines[1:]
    marks = ";\t," if body else ","
    mark = max(marks, key=body[0].count) if body else ","
    try:
        table = list(csv.reader(io.StringIO("\n".join(body)), delimiter=mark))
    except csv.Error as error:
        raise InputError(f"{path}: {error}; is it a CSV file?") from error
    header = [name.strip().lower() for name in table[0]] if table else []
    if len(header) > 50:
        raise InputError(f"{path}, row 2: {len(header)} columns; needed: {', '.join(COLUMNS)}")
    for name in NEEDED:
        if name not in header:
            raise InputError(f'{path}, row 2: column "{name}" is missing; needed: {", ".join(COLUMNS)}')
    if len(table) > MOST_ROWS:
        raise InputError(f"{path}: more than {MOST_ROWS} rows; a log has a few dozen")
    for number, cells in enumerate(table[1:], start=3):
        if any(cell.strip() for cell in cells):
            yield number, {name: _plain(cell) for name, cell in zip(header, cells, strict=False)}


def _plain(cell: str) -> str:
    """Cell as it was meant: without the marks that keep a spreadsheet from taking a text for a formula."""
    return cell.strip().lstrip("'").replace("\N{MINUS SIGN}", "-")


def counts_of(log: LogFile, planned: PlannedMatch) -> tuple[Count, ...]:
    """Check the rows of a log against its plan; rows in which nothing was counted are left out.

    Raises
    ------
    InputError : one line with the row and column
    """
    if log.digest != planned.digest:
        raise InputError(f"{log.name}, row 1: is the log of another plan; give the plan.json that it was made from")
    reader = _LogReader(log, planned)
    counts = (reader.count(number, row) for number, row in log.rows)
    return tuple(count for count in counts if count is not None)


class _LogReader:
    """Turns rows into counts."""

    def __init__(self, log: LogFile, planned: PlannedMatch) -> None:
        sport = planned.match.sport
        self.log = log
        self.moments = {m.key: m.key for m in sport.moments} | {m.name.casefold(): m.key for m in sport.moments}
        self.periods = {p.key: p.key for p in sport.periods} | {p.name.casefold(): p.key for p in sport.periods}
        names = planned.match.venue.side_names
        self.ends = {"+x": 1, "-x": -1} | {names[side].casefold(): sign for side, sign in (("+x", 1), ("-x", -1))}
        self.cameras = [c.name for c in planned.periods[0].cameras]

    def count(self, number: int, row: Mapping[str, str]) -> Count | None:
        """Check one row; None if nothing was counted in it."""
        if not row.get("happened") and not row.get("got"):
            return None
        got = self._times(number, "got", row.get("got", ""))
        happened = self._times(number, "happened", row["happened"]) if row.get("happened") else got
        if got > happened:
            self._fail(number, "got", f"{got} of {happened} that happened; got can't be more")
        why = self._reasons(number, row.get("why", ""), happened - got)
        return Count(
            camera=self._camera(number, row.get("camera", "")),
            period=self._known(number, "period", row.get("period", ""), self.periods) or self._first_period(),
            moment=self._known(number, "moment", row.get("moment", ""), self.moments) or self._unnamed(number),
            attack=self._end(number, row.get("end", "")),
            happened=happened,
            got=got,
            why=why,
        )

    def _first_period(self) -> str:
        return next(iter(self.periods.values()))

    def _unnamed(self, number: int) -> str:
        self._fail(number, "moment", "empty; name the moment")
        return ""

    def _known(self, number: int, column: str, word: str, known: Mapping[str, str]) -> str | None:
        if not word:
            return None
        if word.casefold() not in known:
            keys = sorted(set(known.values()))
            hint = did_you_mean(word.casefold(), list(known))
            self._fail(number, column, f'"{shown(word)}" is not known; allowed: {", ".join(keys)}{hint}')
        return known[word.casefold()]

    def _end(self, number: int, word: str) -> int:
        if not word or word.casefold() in ("both", "either"):
            return 0
        if word.casefold() not in self.ends:
            names = ", ".join(name for name in self.ends if name not in ("+x", "-x"))
            self._fail(number, "end", f'"{shown(word)}" is not an end of this ground; allowed: {names}, or nothing')
        return self.ends[word.casefold()]

    def _camera(self, number: int, word: str) -> str:
        if not word and len(self.cameras) == 1:
            return self.cameras[0]
        if word not in self.cameras:
            self._fail(number, "camera", f'"{shown(word)}" is not in the plan; allowed: {", ".join(self.cameras)}')
        return word

    def _times(self, number: int, column: str, word: str) -> int:
        if not re.fullmatch(r"\d{1,9}", word) or int(word) > MOST_TIMES:
            if not word:
                self._fail(number, column, "empty; write 0 if there was none")
            self._fail(number, column, f'"{shown(word)}" is not a count; allowed: 0 to {MOST_TIMES}')
        return int(word)

    def _reasons(self, number: int, words: str, lost: int) -> dict[Reason, int]:
        """Reasons with counts: "too late 2; light"; one reason without a count stands for all that was lost."""
        reasons: dict[Reason, int] = {}
        parts = [part.strip() for part in re.split(r"[;,/+]| and ", words) if part.strip()]
        for part in parts:
            match = REASON_COUNT.fullmatch(part)
            assert match is not None, "every text fits"
            reason = next((r for r in REASONS if r == match[2].strip().casefold()), None)
            if reason is None:
                hint = did_you_mean(match[2].casefold(), list(REASONS))
                self._fail(number, "why", f'"{shown(part)}" is not known; allowed: {", ".join(REASONS)}{hint}')
                continue
            said = match[1] or match[3]
            times = int(said) if said else lost if len(parts) == 1 else 1
            reasons[reason] = reasons.get(reason, 0) + times
        if sum(reasons.values()) > lost:
            self._fail(number, "why", f"{sum(reasons.values())} reasons for {lost} that were lost")
        return {reason: times for reason, times in reasons.items() if times}

    def _fail(self, number: int, column: str, message: str) -> None:
        raise InputError(f"{self.log.name}, row {number}, {column}: {message}")
