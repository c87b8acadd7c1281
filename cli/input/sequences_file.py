"""Real sequences of play from a CSV file: moments in their order, with the side that acts."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np

from standmark.cli.input.csv_dialect import named_columns, opened_table, with_point
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.roam.plays import Plays
from standmark.optimizer.scoring.walk import PlayedEvents
from standmark.sports.sport import Sport
from standmark.sports.toml.file import did_you_mean

NEEDED = ("sequence", "x_m", "y_m", "moment")
OPTIONAL = ("side", "kind", "from_m", "walk_s")
MOST_ROWS = 1_000_000
FARTHEST_M = 500.0
SIDES = {"": 1, "a": 1, "b": -1, "+x": 1, "-x": -1}


def read_sequences(path: Path, sport: Sport, plays: Plays) -> PlayedEvents:
    """Read moments in their order of play.

    Columns: `sequence` (a name that changes where play was interrupted for long), `x_m`, `y_m` (in the frame of the
    side that acts, which attacks toward +x), `moment` (its key); optionally `side` (A or B; A attacks toward +x on
    the ground), `kind` of play, `from_m` (x where the play started; else where the moment was) and `walk_s`.

    Raises
    ------
    InputError : one line with row and column
    """
    with opened_table(path) as stream:
        purpose = f"a walk needs {', '.join(NEEDED)} and may have {', '.join(OPTIONAL)}"
        names, separator = named_columns(stream, path, needed=NEEDED, purpose=purpose)
        table = enumerate(csv.reader(stream, delimiter=separator), start=2)
        rows = [_Row(path, at, dict(zip(names, cells, strict=False)), separator) for at, cells in table if any(cells)]
    if not rows:
        raise InputError(f"{path}: no events below the first row")
    if len(rows) > MOST_ROWS:
        raise InputError(f"{path}: {len(rows):,} events; allowed: {MOST_ROWS:,}, so walk through a part of them")
    keys = [m.key for m in sport.moments]
    kinds = [k.key for k in plays.flow.kinds]
    order: dict[str, int] = {}
    xy_m = np.array([[row.number("x_m"), row.number("y_m")] for row in rows])
    return PlayedEvents(
        sequence=np.array([order.setdefault(row.text("sequence"), len(order)) for row in rows]),
        attack_x=np.array([row.side() for row in rows]),
        kind=tuple(row.word("kind", kinds, plays.main_kind) for row in rows),
        ball_m=np.array([row.number("from_m", default=x) for row, x in zip(rows, xy_m[:, 0].tolist(), strict=True)]),
        xy_m=xy_m,
        moment=np.array([keys.index(row.word("moment", keys)) for row in rows]),
        walk_s=np.array([row.number("walk_s", default=math.nan) for row in rows]),
    )


class _Row:
    """One row, and how to report what is wrong in it."""

    def __init__(self, path: Path, at: int, cells: dict[str, str], separator: str) -> None:
        self.path, self.at, self.cells, self.separator = path, at, cells, separator

    def text(self, column: str) -> str:
        """Cell of a column, "" if there is none."""
        return self.cells.get(column, "").strip()

    def number(self, column: str, *, default: float | None = None) -> float:
        """Cell of a column as a number."""
        said = self.text(column)
        if not said and default is not None:
            return default
        try:
            value = float(with_point(said, self.separator))
        except ValueError:
            value = math.inf
        if not abs(value) <= FARTHEST_M:
            raise self.error(column, f"must be a number from {-FARTHEST_M:g} to {FARTHEST_M:g}")
        return value

    def side(self) -> int:
        """Which side the row is about."""
        said = self.text("side").lower()
        if said not in SIDES:
            raise self.error("side", "must be A or B")
        return SIDES[said]

    def word(self, column: str, known: list[str], default: str | None = None) -> str:
        """Cell of a column as one of the words that are known."""
        said = self.text(column).lower()
        if not said and default is not None:
            return default
        if said not in known:
            raise self.error(column, f"not known; allowed: {', '.join(known)}{did_you_mean(said, known)}")
        return said

    def error(self, column: str, what: str) -> InputError:
        """Error about a cell: file, row, column and what was found."""
        wrong, semicolon, more = what.partition("; ")
        got = f'(got "{shown(self.text(column), most=30)}")'
        return InputError(f"{self.path}, row {self.at}: {column}: {wrong} {got}{semicolon}{more}")
