"""Damaged and hostile maps: whatever the bytes, a ground or one line, never a traceback."""

import random

import pytest
from ground_files import geojson, kml_text, osm_text

from standmark.cli.ground.landmarks import landmarks
from standmark.cli.ground.lay import traced_areas
from standmark.cli.ground.make import GroundWish, make_ground
from standmark.cli.ground.marks_file import read_marks
from standmark.cli.ground.read_map import read_map
from standmark.cli.ground.table import table_grounds
from standmark.geometry.errors import InputError
from standmark.sports.library import load_sport

WANTED = GroundWish("handball", None, 101.0, 64.0)
WORDS = [
    b"NaN",
    b"1e999",
    b"-0",
    b"[",
    b"]",
    b"{",
    b'"',
    b"<",
    b">",
    b"&lol;",
    b"\x00",
    b"\xff\xfe",
    b"null",
    b"9" * 400,
]


def seeds(tmp_path):
    track = (
        "<gpx><trk><name>w</name><trkseg>"
        + "".join(
            f'<trkpt lat="{55.2 + i * 1e-4}" lon="{3.1 + (i % 7) * 1e-4}"><time>2027-03-06T10:00:{i:02d}Z</time>'
            "</trkpt>"
            for i in range(40)
        )
        + "</trkseg></trk></gpx>"
    )
    return {
        "geojson": geojson(tmp_path / "seed.geojson").read_bytes(),
        "kml": kml_text().encode(),
        "osm": osm_text().encode(),
        "gpx": track.encode(),
        "dxf": dxf_text().encode(),
    }


def dxf_text():
    """Pitch, lines, an arc and a polyline with a bulge; short, so that a mutant is hit where it hurts."""
    corners = [(0, 0), (101, 0), (101, 64), (0, 64)]
    pairs = [(0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, 6), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    for (x, y), (to_x, to_y) in zip(corners, corners[1:] + corners[:1], strict=True):
        pairs += [(0, "LINE"), (8, "pitch"), (10, x), (20, y), (11, to_x), (21, to_y)]
    pairs += [(0, "ARC"), (8, "bank"), (10, 50.5), (20, -9), (40, 6), (50, 0), (51, 180)]
    pairs += [(0, "POLYLINE"), (8, "stand 8 m"), (66, 1), (70, 1)]
    for x, y in ((0, -20), (90, -20), (90, -12)):
        pairs += [(0, "VERTEX"), (8, "stand 8 m"), (10, x), (20, y), (42, 0.2)]
    pairs += [(0, "SEQEND"), (0, "POINT"), (8, "lamp"), (10, -5), (20, -5), (0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def mutant(raw, rng):
    out = bytearray(raw)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(out))
        kind = rng.randrange(4)
        if kind == 0:
            out[at] = rng.randrange(256)
        elif kind == 1:
            del out[at : at + rng.randint(1, 40)]
        elif kind == 2:
            out[at:at] = rng.choice(WORDS)
        else:
            out[at:at] = out[rng.randrange(len(out)) :][: rng.randint(1, 60)]
        if not out:
            break
    return bytes(out)


@pytest.mark.parametrize("form", ["geojson", "kml", "osm", "gpx", "dxf"])
def test_mutants_are_read_or_refused_in_a_line(form, tmp_path):
    rng = random.Random(form)
    raw = seeds(tmp_path)[form]
    path = tmp_path / "mutant"
    refused = []
    for _ in range({"osm": 25, "dxf": 40}.get(form, 80)):
        path.write_bytes(mutant(raw, rng))
        try:
            map_file = read_map(path)
            for traced in traced_areas(map_file)[:1]:
                make_ground(map_file, traced, WANTED, fallback="m")
        except InputError as error:
            refused.append(str(error))
    assert len(refused) > 5
    assert [words for words in refused if not words.isprintable()] == []


TABLE = (
    b"name,sport,latitude,longitude,bearing,length,width,lamps,stand +y\n"
    b'Gannet Bank,football,55.2,3.1,328,101,64,yes,8\n"Auk Sands",soccer,55.26,3.04,nnw,110 yd,70 yd,metal halide,\n'
)
MARKS = b'mark,x,y\n"halfway line, bench side",812,532\n"centre mark",962,592\n"corner, right end, bench side",87,553\n'
SIDE_NAMES = {"+x": "right end", "-x": "left end", "+y": "far side", "-y": "bench side"}
KNOWN = landmarks(load_sport("football").area, SIDE_NAMES)


def rows_of_table(path):
    return list(table_grounds(path, sport=None))


def marks_of_photograph(path):
    return read_marks(path, KNOWN, SIDE_NAMES, (1920, 1080))


@pytest.mark.parametrize(("raw", "read"), [(TABLE, rows_of_table), (MARKS, marks_of_photograph)])
def test_mutants_of_tables_are_read_or_refused_in_a_line(raw, read, tmp_path):
    rng = random.Random(len(raw))
    path = tmp_path / "mutant.csv"
    refused = []
    for _ in range(60):
        path.write_bytes(mutant(raw, rng))
        try:
            found = read(path)
        except InputError as error:
            refused.append(str(error))
        else:
            refused += [row.reason for row in found if hasattr(row, "reason")]
    assert len(refused) > 5
    assert [words for words in refused if not words.isprintable()] == []
