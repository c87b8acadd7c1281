"""An invented ground at sea as map files of every form, with its true place known."""

import json
import math

from standmark.geometry.fit.earth import degrees_of

MIDDLE = (3.1, 55.2)
BEARING_DEG = 328.0
LENGTH_M, WIDTH_M = 101.0, 64.0


def degrees(x, y, middle=MIDDLE, bearing=BEARING_DEG):
    """Longitude and latitude of a point of the pitch frame."""
    turn = math.radians(bearing)
    east, north = x * math.sin(turn) - y * math.cos(turn), x * math.cos(turn) + y * math.sin(turn)
    return degrees_of((east, north), middle)


def box(x0, y0, x1, y1):
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


PITCH = box(-LENGTH_M / 2, -WIDTH_M / 2, LENGTH_M / 2, WIDTH_M / 2)
SHAPES = {
    "pitch Gannet Bank": PITCH,
    "allowed pier side 1.2-1.8m": box(-45, -37, 45, -35.5),
    "forbidden tea queue": box(18, -38, 30, -35),
    "obstacle home dugout 2.4m": box(4, 35, 11, 37),
    "stand main 8m": box(-30, 42, 30, 52),
}


def ring(corners, **where):
    return [list(degrees(x, y, **where)) for x, y in [*corners, corners[0]]]


def feature(name, corners, where=None, **tags):
    geometry = {"type": "Polygon", "coordinates": [ring(corners, **(where or {}))]}
    return {"type": "Feature", "properties": {"name": name, **tags}, "geometry": geometry}


def collection(*features, **more):
    return {"type": "FeatureCollection", "features": list(features), **more}


def geojson(path, document=None):
    document = document or collection(*(feature(name, corners) for name, corners in SHAPES.items()))
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def kml_text(head=""):
    marks = []
    for name, corners in SHAPES.items():
        places = " ".join(f"{x:.8f},{y:.8f},0" for x, y in ring(corners))
        marks.append(
            f"<Placemark><name>{name}</name><Polygon><outerBoundaryIs><LinearRing><coordinates>{places}</coordinates>"
            "</LinearRing></outerBoundaryIs></Polygon></Placemark>"
        )
    space = "http://www.opengis.net/kml/2.2"
    return f'<?xml version="1.0"?>{head}<kml xmlns="{space}"><Document>{"".join(marks)}</Document></kml>'


def osm_text():
    """The same ground with the tags of the map."""
    tags = {
        "pitch Gannet Bank": {"leisure": "pitch", "sport": "soccer", "name": "Gannet Bank"},
        "obstacle home dugout 2.4m": {"building": "yes", "height": "2.4 m"},
        "stand main 8m": {"building": "grandstand", "height": "8"},
    }
    nodes, ways, number = [], [], 0
    for name, own in tags.items():
        ids = []
        for x, y in ring(SHAPES[name])[:-1]:
            number += 1
            ids.append(number)
            nodes.append(f'<node id="{number}" lat="{y:.8f}" lon="{x:.8f}"/>')
        refs = "".join(f'<nd ref="{i}"/>' for i in [*ids, ids[0]])
        words = "".join(f'<tag k="{k}" v="{v}"/>' for k, v in own.items())
        ways.append(f'<way id="{number + 1000}">{refs}{words}</way>')
    return f'<osm version="0.6" license="free to use">{"".join(nodes)}{"".join(ways)}</osm>'
