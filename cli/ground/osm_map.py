"""OpenStreetMap XML: nodes, ways and multipolygon relations with the tags of the map."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from standmark.cli.ground.map_file import Floats, MapFeature, MapFile, ShapeKind, plain_name, too_many
from standmark.cli.ground.xml_stream import stream_xml

LICENCE = "(c) OpenStreetMap contributors, Open Database Licence 1.0: keep this line with whatever you pass on"
KEPT = ("leisure", "building", "barrier")  # features that carry none of these, nor a name, are not looked at


@dataclass
class _Thing:
    kind: str
    id: str
    nodes: list[str] = field(default_factory=list)
    members: list[tuple[str, str]] = field(default_factory=list)  # way, role
    tags: dict[str, str] = field(default_factory=dict)


class _Reader:
    """Keeps of the stream what features are made of."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.places: dict[str, tuple[float, float]] = {}
        self.ways: dict[str, _Thing] = {}
        self.relations: list[_Thing] = []
        self.points: list[_Thing] = []
        self.licence = ""
        self.now: _Thing | None = None

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Note an element's beginning."""
        get = attributes.get
        if tag == "node":
            try:
                self.places[get("id", "")] = (float(get("lon", "")), float(get("lat", "")))
            except ValueError:
                return  # deleted nodes have no place
            self.now = _Thing("node", get("id", ""))
        elif tag in ("way", "relation"):
            self.now = _Thing(tag, get("id", ""))
        elif tag == "nd" and self.now is not None:
            self.now.nodes.append(get("ref", ""))
        elif tag == "member" and self.now is not None and get("type") == "way":
            self.now.members.append((get("ref", ""), get("role", "")))
        elif tag == "tag" and self.now is not None:
            self.now.tags[get("k", "")[:60]] = plain_name(get("v", ""))
        elif tag == "osm":
            self.licence = " ".join(plain_name(get(k)) for k in ("copyright", "attribution", "license") if get(k))

    def end(self, tag: str) -> None:
        """Keep a whole element."""
        thing = self.now
        if thing is None or tag != thing.kind:
            return
        if tag == "way":
            self.ways[thing.id] = thing
        elif tag == "relation" and thing.tags.get("type") == "multipolygon":
            self.relations.append(thing)
        elif tag == "node" and (thing.tags.get("name") or "leisure" in thing.tags):
            self.points.append(thing)
        self.now = None

    def line(self, nodes: list[str]) -> Floats:
        """Places of nodes; those outside the cut are left out."""
        return np.array([self.places[node] for node in nodes if node in self.places], float).reshape(-1, 2)

    def ring(self, members: list[str]) -> list[list[str]]:
        """Ways joined end to end into closed rings, as lists of nodes."""
        open_ways = [list(self.ways[ref].nodes) for ref in members if ref in self.ways and self.ways[ref].nodes]
        rings = []
        while open_ways:
            ring = open_ways.pop()
            while ring[0] != ring[-1]:
                following = next((way for way in open_ways if ring[-1] in (way[0], way[-1])), None)
                if following is None:
                    break
                open_ways.remove(following)
                ring += following[1:] if following[0] == ring[-1] else following[-2::-1]
            if ring[0] == ring[-1] and len(ring) > 3:
                rings.append(ring)
        return rings


def read_osm(raw: bytes, *, file: str) -> MapFile:
    """Read what may stand round a ground: everything named, and pitches, buildings and barriers.

    Raises
    ------
    InputError : as `stream_xml`, or a place that is none
    """
    reader = _Reader(file)
    stream_xml(raw, file=file, start=reader.start, end=reader.end)
    features: list[MapFeature] = []
    for thing in [*reader.points, *reader.ways.values(), *reader.relations]:
        if thing.tags.get("name") or any(key in thing.tags for key in KEPT):
            features.extend(_features(reader, thing))
    too_many(features, file)
    return MapFile(file, "OpenStreetMap XML", tuple(features), reader.licence or LICENCE)


def _features(reader: _Reader, thing: _Thing) -> list[MapFeature]:
    where, name = f"{thing.kind} {plain_name(thing.id)}", thing.tags.get("name", "")
    shapes: list[tuple[ShapeKind, list[Floats]]]
    if thing.kind == "node":
        shapes = [("point", [reader.line([thing.id])])]
    elif thing.kind == "way":
        line = reader.line(thing.nodes)
        closed = len(thing.nodes) > 3 and thing.nodes[0] == thing.nodes[-1] and len(line) == len(thing.nodes)
        shapes = [("area" if closed else "line", [line])]
    else:
        outer = reader.ring([ref for ref, role in thing.members if role != "inner"])
        inner = reader.ring([ref for ref, role in thing.members if role == "inner"])
        rings = [[reader.line(ring), *(map(reader.line, inner) if len(outer) == 1 else ())] for ring in outer]
        shapes = [("area", ring) for ring in rings]
    features = []
    for kind, lines in shapes:
        least = {"point": 1, "line": 2, "area": 4}[kind]
        lines = [line for line in lines if len(line) >= least]
        if lines:
            features.append(MapFeature(where, name, kind, tuple(lines), thing.tags))
    return features
