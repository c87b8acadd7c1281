"""A league's list of grounds as a table: one match file a row, faulty rows named and passed over."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from standmark.cli.ground.cells import bearing_cell, degrees_cell, height_cell, lamps_cell, length_cell
from standmark.cli.ground.map_file import plain_name
from standmark.cli.input.csv_dialect import opened_table, separator_of
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.match.place_shape import key_of
from standmark.optimizer.match.read_match import match_of
from standmark.sports.library import sport_named
from standmark.sports.toml.file import did_you_mean, parse_toml

MOST_ROWS = 10_000
LONGEST_ROW = 65_536
COLUMNS = {  # column -> what else people call it, in lower case without spaces, hyphens and underscores
    "name": ("ground", "venue", "club ground"),
    "code": ("short",),
    "sport": (),
    "preset": ("variant",),
    "latitude": ("lat",),
    "longitude": ("lon", "lng", "long"),
    "bearing": ("bearing deg", "direction", "toward"),
    "length": ("length m", "length ft", "length yd"),
    "width": ("width m", "width ft", "width yd"),
    "setting": (),
    "lamps": ("floodlit", "floodlights", "lights"),
    "lux": (),
    "stand +x": (),
    "stand -x": (),
    "stand +y": (),
    "stand -y": (),
}
NEEDED = "name, and any of sport, latitude, longitude, bearing, length, width, lamps, lux, stand +x, stand -y, ..."


@dataclass(frozen=True)
class GroundRow:
    """One ground of the table, made."""

    stem: str
    text: str


@dataclass(frozen=True)
class FaultyRow:
    """One row that could not be used, and why."""

    reason: str


def table_grounds(path: Path, *, sport: str | None, licence: str = "") -> Iterator[GroundRow | FaultyRow]:
    """Match files of every row of a table, in its order.

    Parameters
    ----------
    sport : what is played where the table does not say

    Raises
    ------
    InputError : the file cannot be read, or its first row names no columns that are known
    """
    stems: dict[str, int] = {}
    for number, cells in _rows(path):
        where = f"{path}, row {number}"
        try:
            text = _match_text(cells, path.name, number, sport=sport, licence=licence)
            match_of(parse_toml(text, name="row"), folder=Path())
        except InputError as error:
            yield FaultyRow(f"{where}: {_row_words(str(error))}")
            continue
        stem = re.sub(r"[^\w-]+", "-", key_of(plain_name(cells["name"])))[:60].strip("-") or "ground"
        stems[stem] = stems.get(stem, 0) + 1
        yield GroundRow(stem if stems[stem] == 1 else f"{stem}-{stems[stem]}", text)


def _rows(path: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows as texts by column, with their number in the file; empty rows are left out."""
    with opened_table(path) as stream:
        first = stream.readline(LONGEST_ROW)
        rows = csv.reader(chain([first], stream), delimiter=separator_of(first))
        number = 1
        try:
            columns, units = _columns(next(rows, []), path)
            for number, row in enumerate(rows, start=2):
                if number > MOST_ROWS:
                    raise InputError(f"{path}: more than {MOST_ROWS} rows; split the table")
                if any(cell.strip() for cell in row):
                    cells = {name: row[i].strip() if i < len(row) else "" for name, i in columns.items()}
                    yield number, cells | {f"{name} unit": unit for name, unit in units.items()}
        except csv.Error as error:
            raise InputError(f"{path}, row {number}: {error}; is it a CSV file?") from error


def _columns(header: list[str], path: Path) -> tuple[dict[str, int], dict[str, str]]:
    """Index of every column that is known, and the unit that its name says."""
    known = {_plain(also): name for name, others in COLUMNS.items() for also in (name, *others)}
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    for index, word in enumerate(header):
        name = known.get(_plain(word))
        if name is None:
            hint = did_you_mean(word.strip().lower(), [n for n in known if n not in columns])
            if hint:
                raise InputError(f'{path}, row 1: column "{shown(word.strip(), most=30)}" not known{hint}')
            continue
        if name in columns:
            raise InputError(f'{path}, row 1: two columns for {name} ("{shown(word.strip(), most=30)}" is the second)')
        columns[name] = index
        unit = re.search(r"(ft|yd)$", _plain(word))
        if name in ("length", "width") and unit:
            units[name] = unit[1]
    if "name" not in columns:
        got = ", ".join(shown(word.strip(), most=30) for word in header[:8])
        raise InputError(f'{path}, row 1: column "name" is missing (got {got or "nothing"}); needed: {NEEDED}')
    return columns, units


def _plain(word: str) -> str:
    return re.sub(r"[^a-z0-9+-]", "", re.sub(r"[\s_()\[\].]|-(?=[a-z]{2})", "", word.lower()))


def _match_text(cells: Mapping[str, str], table: str, number: int, *, sport: str | None, licence: str) -> str:
    """Match file of one row.

    Raises
    ------
    InputError : a cell that cannot be read; its column is named
    """
    name = plain_name(cells["name"])
    if not name:
        raise InputError("name: empty; every ground needs one")
    wanted = cells.get("sport") or sport
    if not wanted:
        raise InputError("sport: empty; fill it in, or give --sport for all")
    key, of_alias = sport_named(wanted)
    preset = cells.get("preset") or of_alias
    lines = [
        f"# {name}: a match file for standmark, from {table}, row {number}.",
        *([f"# Licence: {licence}"] if licence else []),
        "# What is not here takes the usual: places to stand, kit, setting. The frame: metres from the middle of the",
        "# playing area; x along its length, y to the left when you look along +x.",
        "",
        "[match]",
        f"sport = {_word(key)}",
        *([f"preset = {_word(preset)}"] if preset else []),
        f"title = {_word(name)}",
        "",
        "[venue]",
        f"name = {_word(name)}",
        *_venue_lines(cells),
    ]
    lamps = lamps_cell(cells.get("lamps", ""))
    if lamps.kind:
        lines += ["", "[light]", f"lamp = {_word(lamps.kind)}"]
    return "\n".join(lines) + "\n"


def _venue_lines(cells: Mapping[str, str]) -> Iterator[str]:
    get = cells.get
    if get("code"):
        yield f"code = {_word(cells['code'])}"
    for name in ("length", "width"):
        if get(name):
            yield f"{name}_m = {length_cell(cells[name], get(f'{name} unit', ''), name):g}"
    if get("latitude") or get("longitude"):
        latitude, longitude = degrees_cell(get("latitude", ""), get("longitude", ""))
        yield f"latitude = {latitude:.7f}"
        yield f"longitude = {longitude:.7f}"
    else:
        yield "# latitude and longitude: not in the table; without them the sun is left out"
    if get("bearing"):
        yield f"bearing_deg = {bearing_cell(cells['bearing']):g}"
    else:
        yield "# bearing_deg: not in the table; the compass direction of +x"
    if get("setting"):
        yield f"setting = {_word(cells['setting'].lower())}"
    if lamps_cell(get("lamps", "")).are_there:
        yield "floodlit = true"
    if get("lux"):
        yield f"lux = {height_cell(cells['lux'], 'lux'):g}"
    stands = {side: get(f"stand {side}", "") for side in ("+x", "-x", "+y", "-y")}
    heights = [f'"{side}" = {height_cell(words, f"stand {side}"):g}' for side, words in stands.items() if words]
    if heights:
        yield f"stand_height_m = {{ {', '.join(heights)} }}"


def _row_words(message: str) -> str:
    """Message of a match file as one line about a row: without the name and line of a file that nobody sees."""
    first = message.splitlines()[0]
    return re.sub(r"^row(:\d+)?: (venue\.|match\.)?", "", first)


def _word(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
