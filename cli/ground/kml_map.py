"""KML 2.2 and 2.3 (OGC 12-007r2), plain or zipped as KMZ."""

from __future__ import annotations

import io
import re
import zipfile

from standmark.cli.ground.map_file import (
    MAX_BYTES,
    Floats,
    MapFeature,
    MapFile,
    ShapeKind,
    name_of,
    places,
    plain_name,
    too_many,
)
from standmark.cli.ground.xml_stream import stream_xml
from standmark.geometry.errors import InputError

SHAPES: dict[str, ShapeKind] = {
    "Point": "point",
    "LineString": "line",
    "LinearRing": "line",
    "Polygon": "area",
    "Track": "line",
}
ENTRY = re.compile(r"\S+")
MOST_ENTRIES = 2000  # files in a KMZ


class _Reader:
    """Follows the path through the document and keeps every geometry of a placemark."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.path: list[str] = []
        self.words: list[str] = []
        self.tags: dict[str, str] = {}
        self.key = ""
        self.shapes: list[tuple[ShapeKind, list[Floats]]] = []
        self.features: list[MapFeature] = []
        self.n_placemarks = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Note an element's beginning."""
        self.path.append(tag)
        self.words = []
        if tag == "Placemark":
            self.n_placemarks += 1
            self.tags, self.shapes = {}, []
        elif tag in ("Data", "SimpleData"):
            self.key = attributes.get("name", "")[:60].lower()
        elif tag in SHAPES and not (tag == "LinearRing" and "Polygon" in self.path):
            self.shapes.append((SHAPES[tag], []))

    def text(self, words: str) -> None:
        """Collect the text of the innermost element."""
        self.words.append(words)

    def end(self, tag: str) -> None:
        """Use an element's text, and make features at the end of a placemark."""
        text = "".join(self.words)
        self.words = []
        where = f"placemark {self.n_placemarks}"
        if "Placemark" in self.path:
            if tag == "name" and self.path[-2] == "Placemark":
                self.tags["name"] = plain_name(text)
            elif tag in ("value", "SimpleData"):
                self.tags[self.key] = plain_name(text)
            elif tag == "coordinates" and self.shapes:
                entries = (found[0].split(",") for found in ENTRY.finditer(text))
                self.shapes[-1][1].append(places(entries, file=self.file, where=where))
            elif tag == "coord" and self.shapes:
                self.shapes[-1][1].append(places([text.split()], file=self.file, where=where))
            elif tag == "Placemark":
                self._keep(where)
        self.path.pop()

    def _keep(self, where: str) -> None:
        for kind, rings in self.shapes:
            joined = rings if kind == "area" or len(rings) < 2 else [np_joined(rings)]
            if joined and all(len(ring) for ring in joined):
                self.features.append(MapFeature(where, name_of(self.tags), kind, tuple(joined), dict(self.tags)))
        too_many(self.features, self.file)


def np_joined(parts: list[Floats]) -> Floats:
    """Places of a track that come one by one, as one line."""
    import numpy as np

    return np.concatenate(parts)


def read_kml(raw: bytes, *, file: str) -> MapFile:
    """Read every placemark of a KML document.

    Raises
    ------
    InputError : as `stream_xml`, or a place that is none
    """
    reader = _Reader(file)
    stream_xml(raw, file=file, start=reader.start, end=reader.end, words=reader.text)
    return MapFile(file, "KML", tuple(reader.features))


def read_kmz(raw: bytes, *, file: str) -> MapFile:
    """Read the first KML document of a KMZ archive, which may not grow beyond the size allowed for a map.

    Raises
    ------
    InputError : not a sound archive, none or too large a document inside
    """
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            entries = archive.infolist()
            inside = [entry for entry in entries if entry.filename.lower().endswith(".kml")]
            if len(entries) > MOST_ENTRIES or not inside:
                why = "holds no KML document" if not inside else f"holds more than {MOST_ENTRIES} files"
                raise InputError(f"{file}: {why}; save the map again as KML")
            with archive.open(inside[0]) as stream:
                text = stream.read(MAX_BYTES + 1)
    except InputError:
        raise
    except Exception as error:  # a damaged archive may fail in many ways, its table of contents most of all
        raise InputError(
            f"{file}: not a complete KMZ archive ({plain_name(error)}); save the map again as KML"
        ) from None
    if len(text) > MAX_BYTES:
        raise InputError(f"{file}: is over {MAX_BYTES >> 20} MiB when unpacked; not a map of a ground")
    return read_kml(text, file=file)
