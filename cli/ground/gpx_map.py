"""GPX 1.0 and 1.1: waypoints, routes and tracks, as a phone or a watch writes them."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np

from standmark.cli.ground.map_file import MapFeature, MapFile, ShapeKind, places, plain_name, too_many
from standmark.cli.ground.xml_stream import stream_xml

POINTS = {"wpt", "rtept", "trkpt"}
LINES = {"rte": "route", "trk": "track"}


class _Reader:
    """Keeps the points of every line, and the name of whatever holds them."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.path: list[str] = []
        self.words: list[str] = []
        self.name = self.point_name = ""
        self.point: tuple[str, str] = ("", "")
        self.when = float("nan")
        self.rows: list[tuple[str, str]] = []
        self.times: list[float] = []
        self.features: list[MapFeature] = []
        self.licence: list[str] = []
        self.counts = {"wpt": 0, "rte": 0, "trk": 0}

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Note an element's beginning."""
        self.path.append(tag)
        self.words = []
        if tag in POINTS:
            self.point = (attributes.get("lon", ""), attributes.get("lat", ""))
            self.when, self.point_name = float("nan"), ""
        elif tag in LINES:
            self.name, self.rows, self.times = "", [], []
        elif tag == "copyright":
            self.licence.append(plain_name(attributes.get("author", "")))

    def text(self, words: str) -> None:
        """Collect the text of the innermost element."""
        self.words.append(words)

    def end(self, tag: str) -> None:
        """Use an element's text; make a feature at the end of a waypoint or a line."""
        text = "".join(self.words).strip()
        self.words = []
        self.path.pop()
        above = self.path[-1] if self.path else ""
        if tag == "name" and above in LINES:
            self.name = plain_name(text)
        elif tag == "name" and above in POINTS:
            self.point_name = plain_name(text)
        elif tag == "time" and above in POINTS:
            self.when = _seconds(text)
        elif tag == "license" and above == "copyright":
            self.licence.append(plain_name(text))
        elif tag in ("rtept", "trkpt"):
            self.rows.append(self.point)
            self.times.append(self.when)
        elif tag == "wpt":
            self.counts["wpt"] += 1
            self._keep(f"waypoint {self.counts['wpt']}", self.point_name, "point", [self.point], None)
        elif tag in LINES:
            self.counts[tag] += 1
            self._keep(f"{LINES[tag]} {self.counts[tag]}", self.name, "line", self.rows, self.times)

    def _keep(
        self, where: str, name: str, kind: ShapeKind, rows: list[tuple[str, str]], times: list[float] | None
    ) -> None:
        line = places(rows, file=self.file, where=where)
        if not len(line):
            return
        when = None if times is None else np.array(times)
        is_timed = when is not None and bool(np.isfinite(when).all()) and bool((np.diff(when) >= 0).all())
        self.features.append(MapFeature(where, name, kind, (line,), {"name": name}, when if is_timed else None))
        too_many(self.features, self.file)


def read_gpx(raw: bytes, *, file: str) -> MapFile:
    """Read waypoints, routes and tracks; the segments of a track are one line.

    Raises
    ------
    InputError : as `stream_xml`, or a place that is none
    """
    reader = _Reader(file)
    stream_xml(raw, file=file, start=reader.start, end=reader.end, words=reader.text)
    return MapFile(file, "GPX", tuple(reader.features), " ".join(filter(None, reader.licence)))


def _seconds(text: str) -> float:
    """Seconds since 1970 of a time of the file; nan where it is none."""
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return float("nan")
    return (when if when.tzinfo else when.replace(tzinfo=UTC)).timestamp()
