"""Files that are chosen or dropped on the page: a match file, or a map of a ground as changes ready to be made."""

from __future__ import annotations

import base64
import binascii
import tempfile
from pathlib import Path
from typing import Any

from standmark.cli.ground.lay import Traced, traced_areas, traced_size_m
from standmark.cli.ground.make import GroundWish, MadeGround, make_ground
from standmark.cli.ground.map_file import MapFile
from standmark.cli.ground.read_map import read_map
from standmark.cli.open.checked import Fault
from standmark.cli.open.parts import EditError, marked, said
from standmark.cli.open.refused import FaultError
from standmark.geometry.errors import InputError, printable
from standmark.optimizer.match.match import Match
from standmark.sports.toml.as_written import decoded

MOST_PITCHES = 30
MAPS = (".geojson", ".json", ".kml", ".kmz", ".gpx", ".osm", ".xml", ".dxf")
FORMS = "match files, GeoJSON, KML, KMZ, GPX, map files (.osm) and pictures"
VENUE = ("name", "length_m", "width_m", "latitude", "longitude", "bearing_deg", "respect_keep_clear")


def brought(name: str, in_base64: str, match: Match | None) -> str | dict[str, Any]:
    """Read a file that was brought to the page.

    Parameters
    ----------
    name : of the file; only its ending counts
    match : that is open; a map without a sport of its own is read as one of its

    Returns
    -------
    the text of a match file, or what a map holds

    Raises
    ------
    FaultError : nothing that the page can read
    """
    ending = Path(name.replace("\\", "/")).suffix.lower()
    try:
        raw = base64.b64decode(in_base64, validate=True)
        if ending == ".toml":
            return decoded(raw, Path(printable(name)))
        if ending in MAPS:
            return _map(raw, ending, Path(name).stem, match)
    except (binascii.Error, ValueError) as error:
        raise _fault("the file did not arrive whole") from error
    except (InputError, EditError) as error:
        raise _fault(str(error)) from error
    raise _fault(f"This page can't read {printable(ending) or 'such'} files. It reads {FORMS}.")


def _fault(words: str) -> FaultError:
    return FaultError([Fault(None, None, words)])


def _map(raw: bytes, ending: str, stem: str, match: Match | None) -> dict[str, Any]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, f"map{ending}")
        path.write_bytes(raw)
        map_file = read_map(path)
    areas = traced_areas(map_file)
    if not areas:
        raise InputError("There is no playing area on this map. Draw its outline and name it pitch.")
    things = []
    for index, traced in enumerate(areas[:MOST_PITCHES], start=1):
        n = index if len(areas) > 1 else None
        measured_m = [round(2 * side) / 2 for side in traced_size_m(map_file, traced)]
        made = _made(map_file, traced, measured_m, match, stem=stem, index=n)
        told = said(marked(made.text))
        things.append(
            {
                "name": told["venue"].get("name", stem),
                "sport": told["match"].get("sport"),
                "length_m": told["venue"].get("length_m"),
                "width_m": told["venue"].get("width_m"),
                "bearing_deg": told["venue"].get("bearing_deg"),
                "off_m": round(made.off_m, 2),
                "measured_m": measured_m,
                "lines": list(made.lines),
                "extra": [entry["name"] for kind in ("allowed", "forbidden", "obstacle") for entry in told[kind]],
                "edits": _edits(told, match),
            }
        )
    return {"found": things, "licence": map_file.licence}


def _made(
    map_file: MapFile, traced: Traced, measured_m: list[float], match: Match | None, *, stem: str, index: int | None
) -> MadeGround:
    """Lay a playing area on a trace: of the size that map or sport say, else of the one that was measured on it."""
    sport = None if match is None else match.sport.key
    tries = [
        GroundWish(),
        GroundWish(sport=sport),
        GroundWish(sport=sport, length_m=measured_m[0], width_m=measured_m[1]),
    ]
    for wanted in tries[:-1]:
        try:
            return make_ground(map_file, traced, wanted, fallback=stem, index=index)
        except InputError:
            continue
    return make_ground(map_file, traced, tries[-1], fallback=stem, index=index)


def _edits(told: dict[str, Any], match: Match | None) -> list[dict[str, Any]]:
    """Changes that put the ground of a map into the match; named places still have to be asked for."""
    edits: list[dict[str, Any]] = []

    def put(part: str, field: str, value: Any) -> None:
        edits.append({"do": "put", "part": part, "field": field, "value": value})

    for field in ("sport", "preset"):
        if field in told["match"] and (match is None or told["match"]["sport"] != match.sport.key):
            put("match", field, told["match"][field])
    for field in VENUE:
        if field in told["venue"]:
            put("venue", field, told["venue"][field])
    for side, called in told["side_names"].items():
        put("side_names", side, called)
    for kind in ("allowed", "forbidden", "obstacle"):
        for entry in told[kind]:
            value = {key: held for key, held in entry.items() if key != "mark"}
            edits.append({"do": "add", "part": kind, "value": value})
            if kind == "allowed":
                put("answers", entry["name"], "ask")
    return edits
