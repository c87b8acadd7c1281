"""GeoJSON (RFC 7946): degrees on WGS84, longitude first."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from standmark.cli.ground.map_file import (
    MapFeature,
    MapFile,
    ShapeKind,
    name_of,
    places,
    plain_name,
    text_tags,
    too_many,
)
from standmark.geometry.errors import InputError

SIMPLE: dict[str, ShapeKind] = {"Point": "point", "LineString": "line", "Polygon": "area"}
DEGREES_CRS = ("CRS84", "4326")  # the ends of names that stand for degrees on WGS84


def read_geojson(raw: bytes, *, file: str) -> MapFile:
    """Read a FeatureCollection, a Feature or a bare geometry.

    Raises
    ------
    InputError : not JSON, not GeoJSON, or in coordinates other than degrees
    """
    try:
        document = json.loads(raw.decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError:
        raise InputError(f"{file}: not UTF-8 text; save the map again as GeoJSON in UTF-8") from None
    except json.JSONDecodeError as error:
        raise InputError(f"{file}:{error.lineno}: not JSON ({error.msg}, column {error.colno})") from None
    except (ValueError, RecursionError):
        raise InputError(f"{file}: not usable JSON (a number that cannot be read, or nested too deep)") from None
    if not isinstance(document, dict) or "type" not in document:
        raise InputError(f'{file}: not GeoJSON; it needs "type": "FeatureCollection" with "features"')
    notes = _crs_notes(document, file)
    features: list[MapFeature] = []
    for where, geometry, tags in _geometries(document, file):
        features.extend(_features(geometry, tags, file=file, where=where, depth=0))
        too_many(features, file)
    licence = " ".join(
        dict.fromkeys(
            plain_name(document[k]) for k in ("attribution", "copyright", "license", "licence") if document.get(k)
        )
    )
    return MapFile(file, "GeoJSON", tuple(features), licence, notes)


def _no_number(word: str) -> float:
    raise ValueError(word)


def _crs_notes(document: dict[str, Any], file: str) -> tuple[str, ...]:
    crs = document.get("crs")
    if crs is None:
        return ()
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = plain_name(properties.get("name")) if isinstance(properties, dict) else ""
    if name.endswith(DEGREES_CRS):
        return (
            f"the file names its coordinate system ({name}), as GeoJSON no longer does; read as longitude, latitude",
        )
    raise InputError(
        f'{file}: has "crs": {name or "of an unknown form"}; GeoJSON is in degrees: save it again as WGS 84 (EPSG:4326)'
    )


def _geometries(document: dict[str, Any], file: str) -> Iterator[tuple[str, Any, dict[str, str]]]:
    if document["type"] == "FeatureCollection":
        entries = document.get("features")
        if not isinstance(entries, list):
            raise InputError(f'{file}: "features" must be a list')
        for number, entry in enumerate(entries, start=1):
            if not isinstance(entry, dict):
                raise InputError(f"{file}: feature {number}: must be a table with geometry and properties")
            yield f"feature {number}", entry.get("geometry"), text_tags(entry.get("properties"))
    elif document["type"] == "Feature":
        yield "feature 1", document.get("geometry"), text_tags(document.get("properties"))
    else:
        yield "feature 1", document, {}


def _features(geometry: Any, tags: dict[str, str], *, file: str, where: str, depth: int) -> Iterator[MapFeature]:
    """Features of one geometry; of a collection or of several parts one each. None stands for no place at all."""
    if geometry is None:
        return
    form = geometry.get("type") if isinstance(geometry, dict) else None
    if form == "GeometryCollection" and depth < 5:
        for part in geometry.get("geometries") or ():
            yield from _features(part, tags, file=file, where=where, depth=depth + 1)
        return
    single = str(form).removeprefix("Multi")
    coordinates = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if single not in SIMPLE or not isinstance(coordinates, list):
        raise InputError(f"{file}: {where}: not a geometry of GeoJSON ({plain_name(form) or 'no type'})")
    for part in coordinates if form != single else [coordinates]:
        rings = part if single == "Polygon" else [part] if single == "LineString" else [[part]]
        if not isinstance(rings, list):
            raise InputError(f"{file}: {where}: coordinates are not lists of places")
        shape = tuple(places(ring, file=file, where=where) for ring in rings)
        if shape and all(len(ring) for ring in shape):
            yield MapFeature(where, name_of(tags), SIMPLE[single], shape, tags)
