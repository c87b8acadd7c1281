"""Damaged and hostile maps: whatever the bytes, a ground or one line, never a traceback."""

import random

import pytest
from ground_files import geojson, kml_text, osm_text

from standmark.cli.ground.lay import traced_areas
from standmark.cli.ground.make import GroundWish, make_ground
from standmark.cli.ground.read_map import read_map
from standmark.geometry.errors import InputError

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
    }


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


@pytest.mark.parametrize("form", ["geojson", "kml", "osm", "gpx"])
def test_mutants_are_read_or_refused_in_a_line(form, tmp_path):
    rng = random.Random(form)
    raw = seeds(tmp_path)[form]
    path = tmp_path / "mutant"
    refused = []
    for _ in range(25 if form == "osm" else 80):
        path.write_bytes(mutant(raw, rng))
        try:
            map_file = read_map(path)
            for traced in traced_areas(map_file)[:1]:
                make_ground(map_file, traced, WANTED, fallback="m")
        except InputError as error:
            refused.append(str(error))
    assert len(refused) > 5
    assert [words for words in refused if not words.isprintable()] == []
