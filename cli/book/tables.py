"""Positions as a table and as map features."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from standmark.cli.book.record_types import (
    GroundRecord,
    PositionRecord,
)
from standmark.cli.exports.spreadsheet import csv_rows

COLUMNS = (
    "code", "ground", "name", "path", "sport", "role", "needed", "filled", "met", "x_m", "y_m", "z_m", "area",
    "latitude", "longitude", "looks_compass_deg", "distance_m", "lens", "focal_mm", "coverage", "seen", "faces",
    "place", "shortfalls",
    "fixes",
)  # fmt: skip


def csv_chunks(records: Iterable[GroundRecord]) -> Iterator[bytes]:
    """Write every position as a row; a chunk for each ground."""
    yield csv_rows([COLUMNS])
    for record in records:
        yield csv_rows([_row(record, position) for position in record["positions"]])


def geojson_chunks(records: Iterable[GroundRecord]) -> Iterator[bytes]:
    """Write every position as a point feature, longitude first (RFC 7946); without a place where none is known."""
    yield b'{"type": "FeatureCollection", "features": ['
    separator = "\n"
    for record in records:
        for position in record["positions"]:
            feature = json.dumps(_feature(record, position), ensure_ascii=False, allow_nan=False, sort_keys=True)
            yield (separator + feature).encode("utf-8")
            separator = ",\n"
    yield b"\n]}\n"


def _row(record: GroundRecord, position: PositionRecord) -> list[Any]:
    joined = {key: "; ".join(position[key]) for key in ("shortfalls",)}
    joined["fixes"] = "; ".join(fix["words"] for fix in position["fixes"])
    ground = {"ground": record["code"], "name": record["name"], "path": record["path"], "sport": record["sport"]}
    values = {**position, **ground, **joined, "area": position.get("area_name")}
    return [values.get(column) for column in COLUMNS]


def _feature(record: GroundRecord, position: PositionRecord) -> dict[str, Any]:
    latitude, longitude = position.get("latitude"), position.get("longitude")
    point = None if latitude is None else {"type": "Point", "coordinates": [longitude, latitude]}
    told = (
        "role",
        "needed",
        "filled",
        "met",
        "z_m",
        "looks_compass_deg",
        "lens",
        "focal_mm",
        "coverage",
        "seen",
        "faces",
        "place",
    )
    properties = {key: position.get(key) for key in told}
    properties |= {"code": position["code"], "ground": record["code"], "name": record["name"], "sport": record["sport"]}
    return {"type": "Feature", "id": position["code"], "geometry": point, "properties": properties}
