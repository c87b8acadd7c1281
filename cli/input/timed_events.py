"""Events with times and sides from a CSV file, to count how play moves."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np

from standmark.cli.input.csv_dialect import named_columns, opened_table, with_point
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.scoring.flow_counts import TimedEvents

NEEDED = ("match_id", "time_s", "x_m", "side")
SIDES = {"a": 0, "b": 1}
MOST_ROWS = 5_000_000
FARTHEST_M = 500.0
LONGEST_S = 36_000.0


def read_timed_events(path: Path) -> TimedEvents:
    """Read when and where each event was, and which side acted.

    Columns: `match_id`, `time_s` (seconds since the start of the match; they go on through its periods), `x_m` (in
    the frame of the side that acts, which attacks toward +x), `side` (A or B, the same side under the same letter all
    through a match); others are left alone.

    Raises
    ------
    InputError : one line with row and column
    """
    with opened_table(path) as stream:
        purpose = f"to count how play moves a file needs {', '.join(NEEDED)}"
        names, separator = named_columns(stream, path, needed=NEEDED, purpose=purpose)
        columns = [names.index(name) for name in NEEDED]
        order: dict[str, int] = {}
        match, time_s, x_m, side = [], [], [], []
        for row, cells in enumerate(csv.reader(stream, delimiter=separator), start=2):
            if not any(cells):
                continue
            said = [cells[c].strip() if c < len(cells) else "" for c in columns]
            match.append(order.setdefault(said[0], len(order)))
            time_s.append(_number(path, row, "time_s", with_point(said[1], separator), (0.0, LONGEST_S)))
            x_m.append(_number(path, row, "x_m", with_point(said[2], separator), (-FARTHEST_M, FARTHEST_M)))
            if said[3].lower() not in SIDES:
                raise InputError(f'{path}, row {row}: side: must be A or B (got "{shown(said[3], most=30)}")')
            side.append(SIDES[said[3].lower()])
            if len(match) > MOST_ROWS:
                raise InputError(f"{path}: over {MOST_ROWS:,} events; count a part of them")
    if not match:
        raise InputError(f"{path}: no events below the first row")
    return TimedEvents(np.array(match), np.array(time_s), np.array(x_m), np.array(side))


def _number(path: Path, row: int, column: str, said: str, within: tuple[float, float]) -> float:
    try:
        value = float(said)
    except ValueError:
        value = math.nan
    if not within[0] <= value <= within[1]:
        raise InputError(
            f"{path}, row {row}: {column}: must be a number from {within[0]:g} to {within[1]:g} "
            f'(got "{shown(said, most=30)}")'
        )
    return value
