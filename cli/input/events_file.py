"""Real events from a CSV file, read in parts: a million rows need no more memory than a few thousand."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import chain, islice
from pathlib import Path
from typing import IO

import numpy as np

from standmark.cli.input.csv_dialect import opened_table, separator_of, with_point
from standmark.geometry.arrays import Floats, Indices
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.scoring.events import UNKNOWN, Events
from standmark.sports.reading.names import plain
from standmark.sports.sport import Sport
from standmark.sports.toml.file import did_you_mean

NEEDED = ("x_m", "y_m")
OPTIONAL = ("moment", "period", "weight", "match_id")
ALSO = {"x": "x_m", "y": "y_m"}  # other names of columns
PART_ROWS = 16_384
MOST_MATCHES = 100_000
MOST_COLUMNS = 200
LONGEST_ROW = 65_536  # characters
MOST_WEIGHT = 1e9  # of one event: sums of them stay exact
FORM = "x_m,y_m and, if you like, moment,period,weight,match_id"


@dataclass(frozen=True)
class Header:
    """Which column holds what."""

    columns: dict[str, int]
    n_columns: int
    separator: str = ","


@dataclass
class _Matches:
    """Index of every match_id met so far."""

    index: dict[str, int] = field(default_factory=dict)


def read_events(path: Path, sport: Sport) -> Iterator[Events]:
    """Read and check events, a part at a time.

    The first row names the columns, in any order and case: x_m and y_m (or x and y), and optionally moment (key or
    name), period (key or number), weight and match_id; others are left alone. Columns may be separated by semicolons,
    tabs or bars, and then decimals may have a comma. Positions in the frame of the side that acts, which attacks
    toward +x.

    Raises
    ------
    InputError : one line with the row (the header is row 1) and column, when the part that holds it is reached
    """
    with opened_table(path) as stream:
        yield from _read(stream, path, sport)


def header_of(path: Path) -> Header:
    """Read the first row only, to know which columns there are."""
    with opened_table(path) as stream:
        return _header(*_rows(stream, path), path)


def _read(stream: IO[str], path: Path, sport: Sport) -> Iterator[Events]:
    rows, separator = _rows(stream, path)
    header = _header(rows, separator, path)
    reader = _EventReader(path, sport, header)
    first, n_events, total_weight = 2, 0, 0.0
    while part := _part(rows, path, first):
        numbers = [first + index for index, row in enumerate(part) if row]
        if numbers:
            events = reader.events(numbers, [row for row in part if row])
            total_weight += float(events.weight.sum())
            yield events
        n_events += len(numbers)
        first += len(part)
    if not n_events:
        raise InputError(f"{path}: no events below the header; one row for each, under {FORM}")
    if total_weight == 0:
        raise InputError(f"{path}: weight: 0 in every row; give at least one event a weight above 0")


def _rows(stream: IO[str], path: Path) -> tuple[Iterator[list[str]], str]:
    """Rows of a file, header first, and what stands between its columns."""
    lines = _rows_of(stream, path)
    first = next(lines, "")
    separator = separator_of(first)
    return csv.reader(chain([first], lines), delimiter=separator), separator


def _rows_of(stream: IO[str], path: Path) -> Iterator[str]:
    """Lines of a file, none of them longer than any row of events can be."""
    for number, line in enumerate(iter(partial(stream.readline, LONGEST_ROW), ""), start=1):
        if len(line) == LONGEST_ROW and not line.endswith("\n"):
            raise InputError(f"{path}, row {number}: longer than {LONGEST_ROW} characters; is it a CSV file?")
        yield line


def _part(rows: Iterator[list[str]], path: Path, first: int) -> list[list[str]]:
    part: list[list[str]] = []
    try:
        part.extend(islice(rows, PART_ROWS))
    except csv.Error as error:
        raise InputError(f"{path}, row {first + len(part)}: {error}; is it a CSV file?") from error
    return part


def _header(rows: Iterator[list[str]], separator: str, path: Path) -> Header:
    try:
        names = [_column(name) for name in next(rows, [])]
    except csv.Error as error:
        raise InputError(f"{path}, row 1: {error}; is it a CSV file?") from error
    if len(names) > MOST_COLUMNS:
        raise InputError(f"{path}, row 1: {len(names)} columns; allowed: at most {MOST_COLUMNS}, {FORM} among them")
    if not any(names):
        raise InputError(f"{path}: empty; the first row names the columns: {FORM}")
    known = [*NEEDED, *OPTIONAL]
    for name in names:
        if names.count(name) > 1 and name in known:
            raise InputError(f'{path}, row 1: column "{name}" is there twice')
    for missing in NEEDED:
        if missing not in names:
            got = ", ".join(shown(name, most=30) for name in names[:8])
            raise InputError(f'{path}, row 1: column "{missing}" is missing (got {got}); needed: {FORM}')
    for name in names:
        if name not in known and (hint := did_you_mean(name.lower(), [k for k in OPTIONAL if k not in names])):
            raise InputError(
                f'{path}, row 1: column "{shown(name, most=30)}" not known{hint} Rename it, or leave it out'
            )
    return Header({name: names.index(name) for name in known if name in names}, len(names), separator)


def _column(name: str) -> str:
    """Name of a column as we know it: in any case, x and y without their unit."""
    plain_name = name.strip()
    lower = plain_name.lower()
    return ALSO.get(lower, lower if lower in (*NEEDED, *OPTIONAL) else plain_name)


class _EventReader:
    """Turns rows into checked columns."""

    def __init__(self, path: Path, sport: Sport, header: Header) -> None:
        self.path, self.header = path, header
        self.moments = {m.key: i for i, m in enumerate(sport.moments)}
        self.called = {plain(m.name): i for i, m in enumerate(sport.moments)}
        self.called |= {plain(m.key): i for i, m in enumerate(sport.moments)}
        keys = [p.key for p in sport.periods]
        self.periods = {k: i for i, k in enumerate(keys)} | {str(i + 1): i for i in range(len(keys))}
        self.period_words = f"{', '.join(keys)}, or 1 to {len(keys)}"
        self.matches = _Matches()
        self.low_m, self.high_m = _far_limits(sport)

    def events(self, numbers: Sequence[int], rows: Sequence[Sequence[str]]) -> Events:
        """Check a part of the file, column by column.

        Parameters
        ----------
        numbers : of the rows in the file
        """
        if {len(row) for row in rows} != {self.header.n_columns}:
            number, row = next(
                (n, row) for n, row in zip(numbers, rows, strict=True) if len(row) != self.header.n_columns
            )
            self._fail(number, f"{len(row)} columns; the header has {self.header.n_columns}")
        columns = list(zip(*rows, strict=True))
        words = {name: columns[index] for name, index in self.header.columns.items()}
        n = len(rows)
        events = Events(
            xy_m=np.column_stack([self._numbers(numbers, name, words[name]) for name in NEEDED]),
            moment=self._indices(numbers, words.get("moment"), self._moment, n),
            period=self._indices(numbers, words.get("period"), self._period, n),
            weight=self._numbers(numbers, "weight", words["weight"]) if "weight" in words else np.ones(n),
            match=self._indices(numbers, words.get("match_id"), self._match, n),
        )
        self._check_places(numbers, events.xy_m)
        wrong = (events.weight < 0) | (events.weight > MOST_WEIGHT)
        if wrong.any():
            worst = int(np.argmax(wrong))
            limit = f"allowed: 0 to {MOST_WEIGHT:,.0f}"
            self._fail(numbers[worst], f"weight: {events.weight[worst]:g} is out of range; {limit}")
        return events

    def _numbers(self, numbers: Sequence[int], name: str, words: Sequence[str]) -> Floats:
        try:
            values = np.array(list(map(float, words)))
        except ValueError:
            plain_words = [with_point(word, self.header.separator) for word in words]
            values = np.array([self._number(n, name, word) for n, word in zip(numbers, plain_words, strict=True)])
        if not np.isfinite(values).all():
            worst = int(np.argmin(np.isfinite(values)))
            self._fail(numbers[worst], f'{name}: must be a finite number (got "{shown(words[worst], most=30)}")')
        return values

    def _number(self, row: int, name: str, word: str) -> float:
        try:
            return float(word)
        except ValueError:
            hint = "; write decimals with a point" if "," in word else ""  # in quotes, between commas
            self._fail(row, f'{name}: not a number (got "{shown(word.strip(), most=30)}"){hint}')
            return math.nan

    def _indices(
        self, numbers: Sequence[int], words: Sequence[str] | None, index_of: Callable[[str], int | str], n: int
    ) -> Indices:
        """Index of every word; each different word is looked up once, and told with its first row if it is wrong."""
        if words is None:
            return np.full(n, UNKNOWN, dtype=np.intp)
        index: dict[str, int] = {}
        for word in dict.fromkeys(words):
            number = index_of(word.strip())
            if isinstance(number, str):
                self._fail(numbers[words.index(word)], number)
            else:
                index[word] = number
        return np.array([index[word] for word in words], dtype=np.intp)

    def _moment(self, word: str) -> int | str:
        if not word:
            return UNKNOWN
        index = self.moments.get(word, self.called.get(plain(word)))
        if index is not None:
            return index
        known, hint = ", ".join(self.moments), did_you_mean(word, list(self.moments))
        return f'moment: "{shown(word, most=30)}" not known; allowed: {known}, or nothing{hint}'

    def _period(self, word: str) -> int | str:
        if not word:
            return UNKNOWN
        wrong = f'period: "{shown(word, most=30)}" not known; allowed: {self.period_words}, or nothing'
        return self.periods.get(word, wrong)

    def _match(self, word: str) -> int | str:
        known = self.matches.index
        if not word:
            return "match_id: empty; give every row one, or leave the column out"
        if word not in known and len(known) >= MOST_MATCHES:
            return f"match_id: more than {MOST_MATCHES} different ones; it names a match, not an event"
        return known.setdefault(word, len(known))

    def _check_places(self, numbers: Sequence[int], xy_m: Floats) -> None:
        off = ((xy_m < self.low_m) | (xy_m > self.high_m)).any(axis=1)
        if off.any():
            worst = int(np.argmax(off))
            x_m, y_m = xy_m[worst]
            (low_x, low_y), (high_x, high_y) = self.low_m, self.high_m
            self._fail(
                numbers[worst],
                f"x_m {x_m:g}, y_m {y_m:g} is far outside the ground; allowed: x {low_x:g} to {high_x:g}, "
                f"y {low_y:g} to {high_y:g} m, measured from the middle of the playing area",
            )

    def _fail(self, row: int, message: str) -> None:
        raise InputError(f"{self.path}, row {row}: {message}")


def _far_limits(sport: Sport) -> tuple[Floats, Floats]:
    """Corners of the box beyond which a position is a slip: a quarter of the size and 5 m outside the outline."""
    low_x, low_y, high_x, high_y = sport.area.outline.bounds
    spare = np.array([0.25 * (high_x - low_x) + 5.0, 0.25 * (high_y - low_y) + 5.0]).round()
    return np.array([low_x, low_y]) - spare, np.array([high_x, high_y]) + spare
