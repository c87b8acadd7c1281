"""Any map file: its form is recognised by its content, not by its name."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from standmark.cli.ground.dxf_map import read_dxf
from standmark.cli.ground.geojson_map import read_geojson
from standmark.cli.ground.gpx_map import read_gpx
from standmark.cli.ground.kml_map import read_kml, read_kmz
from standmark.cli.ground.map_file import MapFile, check_degrees, plain_name, read_bytes
from standmark.cli.ground.osm_map import read_osm
from standmark.geometry.errors import InputError

DXF_HEAD = re.compile(rb"(999\s[^\n]*\n\s*)*0\s+SECTION\b")
FORMS = "GeoJSON, KML, KMZ, GPX, OpenStreetMap XML or DXF"
XML_FORMS = {b"<kml": read_kml, b"<gpx": read_gpx, b"<osm": read_osm}


def read_map(path: Path, *, swap: bool = False, unit: str | None = None) -> MapFile:
    """Read a map file of any form known.

    Parameters
    ----------
    swap : the file has latitude before longitude
    unit : of a drawing, where it does not say

    Raises
    ------
    InputError : none of the forms, or wrong in itself
    """
    raw = read_bytes(path)
    map_file = _read(raw, str(path), unit)
    if not map_file.features:
        raise InputError(f"{path}: holds no place at all; draw the playing area and name it pitch")
    if swap:
        turned = [replace(f, rings=tuple(ring[:, ::-1].copy() for ring in f.rings)) for f in map_file.features]
        map_file = replace(map_file, features=tuple(turned))
    for feature in () if map_file.is_drawing else map_file.features:
        for ring in feature.rings:
            check_degrees(ring, file=str(path), where=feature.where)
    return replace(map_file, name=path.name)


def _read(raw: bytes, file: str, unit: str | None) -> MapFile:
    head = raw[:4096].removeprefix(b"\xef\xbb\xbf").lstrip()
    if head.startswith(b"PK\x03\x04"):
        return read_kmz(raw, file=file)
    if head.startswith(b"{"):
        return read_geojson(raw, file=file)
    if DXF_HEAD.match(head):
        return read_dxf(raw, file=file, unit=unit)
    if head.startswith(b"<") or head.startswith((b"\xff\xfe", b"\xfe\xff")):
        first = (
            min((head.find(mark), mark) for mark in XML_FORMS if mark in head)
            if any(m in head for m in XML_FORMS)
            else None
        )
        if first is None:
            raise InputError(f"{file}: XML, but neither KML nor GPX nor OpenStreetMap; allowed: {FORMS}")
        return XML_FORMS[first[1]](raw, file=file)
    raise InputError(
        f"{file}: not a map that can be read ({plain_name(head[:20].decode('latin-1'))!r}); allowed: {FORMS}"
    )
