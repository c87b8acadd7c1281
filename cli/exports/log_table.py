"""The empty table of a log: a row for each moment, end, period and camera that a plan speaks of."""

from __future__ import annotations

from standmark.cli.exports.spreadsheet import csv_rows
from standmark.cli.input.log_file import COLUMNS
from standmark.optimizer.scoring.logs.promise import PlannedMatch, promises


def empty_log(planned: PlannedMatch) -> bytes:
    """Write the table, moments worth most first; `happened` and `got` are filled in by hand."""
    match = planned.match
    moments = {m.key: m for m in match.sport.moments}
    periods = {p.period.key: p.period.name for p in planned.periods}
    promised = promises(planned)
    sided = {(p.camera, p.period, p.moment) for p in promised if p.attack}
    rows = [p for p in promised if p.attack or (p.camera, p.period, p.moment) not in sided]
    order = {key: -m.rate_per_match * m.importance for key, m in moments.items()}
    place = {key: index for index, key in enumerate(periods)}
    rows.sort(key=lambda p: (place[p.period], p.camera, order[p.moment], p.moment, p.attack))
    side = {1: match.venue.side_names["+x"], -1: match.venue.side_names["-x"], 0: ""}
    table = [(moments[p.moment].name, side[p.attack], periods[p.period], "", "", "", p.camera) for p in rows]
    return f"# plan {planned.digest}\r\n".encode() + csv_rows([COLUMNS, *table])
