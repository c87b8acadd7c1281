"""Map files of every form give the same ground; what is wrong with one is told in a line."""

import json
import math
import re
import time
import tomllib
import zipfile

import gpxpy.gpx
import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from ground_files import (
    BEARING_DEG,
    LENGTH_M,
    MIDDLE,
    PITCH,
    SHAPES,
    WIDTH_M,
    collection,
    degrees,
    feature,
    geojson,
    kml_text,
    osm_text,
    ring,
)

from standmark.cli.ground.lay import traced_areas
from standmark.cli.ground.make import GroundWish, make_ground
from standmark.cli.ground.map_file import MAX_BYTES
from standmark.cli.ground.read_map import read_map
from standmark.geometry.errors import InputError

KNOWN = GroundWish(sport="football", length_m=LENGTH_M, width_m=WIDTH_M, toward="nw")


def made(path, wanted=KNOWN, **read):
    map_file = read_map(path, **read)
    return make_ground(map_file, traced_areas(map_file)[0], wanted, fallback=path.stem)


def venue(path, wanted=KNOWN, **read):
    return tomllib.loads(made(path, wanted, **read).text)["venue"]


def off_m(found):
    """Distance of a venue's middle from the true one."""
    line = Geodesic.WGS84.Inverse(MIDDLE[1], MIDDLE[0], found["latitude"], found["longitude"])
    return line["s12"]


def write(path, text):
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return path


def kmz(path, inside):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doc.kml", inside)
    return path


def gpx_walk(path):
    """The outline as a track without errors, written by a library of others."""
    document = gpxpy.gpx.GPX()
    track, segment = gpxpy.gpx.GPXTrack(name="Gannet Bank"), gpxpy.gpx.GPXTrackSegment()
    line = shapely.LinearRing(PITCH)
    for x, y in shapely.get_coordinates(shapely.line_interpolate_point(line, np.arange(0, line.length, 4.0))):
        longitude, latitude = degrees(x, y)
        segment.points.append(gpxpy.gpx.GPXTrackPoint(latitude, longitude))
    track.segments.append(segment)
    document.tracks.append(track)
    return write(path, document.to_xml())


FORMS = {
    "g.geojson": geojson,
    "g.kml": lambda path: write(path, kml_text()),
    "g.kmz": lambda path: kmz(path, kml_text()),
    "g.osm": lambda path: write(path, osm_text()),
    "g.gpx": gpx_walk,
}


@pytest.mark.parametrize("name", FORMS)
def test_every_form_gives_the_ground_its_place(name, tmp_path):
    found = venue(FORMS[name](tmp_path / name))
    assert off_m(found) < 0.05
    assert found["bearing_deg"] == pytest.approx(BEARING_DEG, abs=0.05)
    assert (found["length_m"], found["width_m"]) == (LENGTH_M, WIDTH_M)


def test_shapes_come_back_in_the_pitch_frame(tmp_path):
    found = venue(geojson(tmp_path / "g.geojson"))
    assert found["allowed"][0]["name"] == "pier side"
    assert found["allowed"][0]["lens_height_m"] == [1.2, 1.8]
    for table, name in (
        (found["allowed"][0], "allowed pier side 1.2-1.8m"),
        (found["obstacle"][0], "obstacle home dugout 2.4m"),
    ):
        true, drawn = shapely.Polygon(SHAPES[name]), shapely.Polygon(table["polygon"])
        assert true.symmetric_difference(drawn).area < 0.05 * true.area
    assert found["obstacle"][0]["top_m"] == 2.4
    assert found["stand_height_m"] == {"+y": 8}
    assert found["forbidden"][0]["name"] == "tea queue"


def test_tags_of_the_map_are_understood(tmp_path):
    found = venue(write(tmp_path / "g.osm", osm_text()), GroundWish(length_m=LENGTH_M, width_m=WIDTH_M))
    assert found["name"] == "Gannet Bank"
    assert found["obstacle"][0]["top_m"] == 2.4
    assert found["stand_height_m"] == {"+y": 8}
    assert "free to use" in made(tmp_path / "g.osm", GroundWish(length_m=LENGTH_M, width_m=WIDTH_M)).text


@pytest.mark.parametrize(
    ("toward", "bearing"), [("se", 148), ("north-west", 328), ("330", 328), ("lamp", 148), (None, 328)]
)
def test_the_end_toward_which_x_points_can_be_chosen(toward, bearing, tmp_path):
    lamp = {
        "type": "Feature",
        "properties": {"name": "lamp"},
        "geometry": {"type": "Point", "coordinates": degrees(-90, 5)},
    }
    path = geojson(tmp_path / "g.geojson", collection(feature("pitch", PITCH), lamp))
    found = venue(path, GroundWish("football", None, LENGTH_M, WIDTH_M, toward))
    assert found["bearing_deg"] == pytest.approx(bearing, abs=0.05)


def test_a_height_that_the_map_does_not_give_is_asked_for(tmp_path):
    document = collection(feature("pitch", PITCH), feature("obstacle hut", SHAPES["obstacle home dugout 2.4m"]))
    text = made(geojson(tmp_path / "g.geojson", document)).text
    assert "How high is this?" in text
    assert "obstacle" not in tomllib.loads(text)["venue"]
    assert re.search(r"^# top_m = $", text, re.MULTILINE)


def test_the_size_is_asked_for_not_taken_from_a_trace(tmp_path):
    path = geojson(tmp_path / "g.geojson")
    with pytest.raises(InputError, match="--length and --width"):
        made(path, GroundWish(sport="football"))
    with pytest.raises(InputError, match="add --sport"):
        made(path, GroundWish(length_m=LENGTH_M, width_m=WIDTH_M))


def test_a_size_that_the_rules_fix_is_known(tmp_path):
    path = geojson(tmp_path / "g.geojson", collection(feature("court", [(-20, -10), (20, -10), (20, 10), (-20, 10)])))
    assert venue(path, GroundWish(sport="handball"))["length_m"] == 40


def test_what_is_drawn_is_not_replaced_by_a_track(tmp_path):
    map_file = read_map(gpx_walk(tmp_path / "g.gpx"))
    both = read_map(geojson(tmp_path / "g.geojson"))
    joined = type(both)("both", "GPX", (*map_file.features, *both.features))
    assert [traced.is_walked for traced in traced_areas(joined)] == [False]


def test_the_antimeridian_is_no_border(tmp_path):
    where = {"middle": (180.0, -17.0)}
    corners = [[x if x <= 180 else x - 360, y] for x, y in ring(PITCH, **where)]
    assert {math.copysign(1, x) for x, _ in corners} == {1.0, -1.0}
    document = collection(
        {"type": "Feature", "properties": {"name": "pitch"}, "geometry": {"type": "Polygon", "coordinates": [corners]}}
    )
    found = venue(geojson(tmp_path / "g.geojson", document))
    assert Geodesic.WGS84.Inverse(-17.0, 180.0, found["latitude"], found["longitude"])["s12"] < 0.05


def test_a_hole_in_an_allowed_area_is_forbidden_ground(tmp_path):
    area = feature("allowed bank", [(-40, -50), (40, -50), (40, -36), (-40, -36)])
    area["geometry"]["coordinates"].append(ring([(-5, -45), (5, -45), (5, -40), (-5, -40)]))
    found = venue(geojson(tmp_path / "g.geojson", collection(feature("pitch", PITCH), area)))
    assert found["forbidden"][0]["name"] == "hole in bank"


def test_latitude_first_is_noticed_and_can_be_read(tmp_path):
    north = {"middle": (140.0, -30.0)}  # swapped, the longitude is no latitude
    document = collection(feature("pitch", PITCH, where=north))
    document["features"][0]["geometry"]["coordinates"] = [[[y, x] for x, y in ring(PITCH, **north)]]
    path = geojson(tmp_path / "g.geojson", document)
    with pytest.raises(InputError, match=r"swapped.*--swap"):
        made(path)
    found = venue(path, swap=True)
    assert found["longitude"] == pytest.approx(140.0, abs=1e-5)


def test_latitude_first_within_the_range_shows_in_the_shape(tmp_path):
    document = collection(feature("pitch", PITCH))
    document["features"][0]["geometry"]["coordinates"] = [[[y, x] for x, y in ring(PITCH)]]
    path = geojson(tmp_path / "g.geojson", document)
    with pytest.raises(InputError, match=r"swapped.*--swap"):
        made(path)
    assert off_m(venue(path, swap=True)) < 0.05


def outlined(corners, *more, **kwargs):
    return json.dumps(collection(feature("pitch", corners), *more, **kwargs))


BOW_TIE = [(0, -40), (9, -50), (9, -40), (0, -50)]
MERCATOR = {"type": "name", "properties": {"name": "EPSG:3857"}}
WRONG = {
    "metres of a projection": (lambda: outlined(PITCH).replace("3.1", "345086.1"), "degrees"),
    "crs": (lambda: outlined(PITCH, crs=MERCATOR), "EPSG:3857"),
    "bow tie": (lambda: outlined([PITCH[0], PITCH[2], PITCH[1], PITCH[3]]), "crosses itself"),
    "bow tie allowed": (lambda: outlined(PITCH, feature("allowed x", BOW_TIE)), "crosses itself"),
    "another size": (lambda: outlined([(0, 0), (60, 0), (60, 40), (0, 40)]), "not 101 x 64"),
    "not json": (lambda: '{"type": "FeatureCollection",', "not JSON"),
    "nan": (lambda: '{"type": "Point", "coordinates": [NaN, 1]}', "not usable JSON"),
    "deep": (lambda: '{"type": "x", "a": ' + "[" * 100_000, "JSON"),
    "strings": (lambda: '{"type": "Point", "coordinates": ["a", 1]}', "pairs of numbers"),
    "nothing": (lambda: json.dumps(collection()), "holds no place"),
    "doctype": (lambda: kml_text('<!DOCTYPE kml [<!ENTITY a "b">]>'), "DOCTYPE"),
    "deep xml": (lambda: "<kml>" + "<a>" * 5000, "100 deep"),
    "broken xml": (lambda: "<gpx><trk></gpx>", "not valid XML"),
    "other xml": (lambda: "<svg></svg>", "neither KML nor GPX"),
    "binary": (lambda: b"\x00\x01\x02", "not a map"),
    "zip of nothing": (lambda: b"PK\x03\x04broken", "KMZ"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_wrong_files_are_refused_in_a_line(case, tmp_path):
    text, words = WRONG[case]
    path = write(tmp_path / "bad", text())
    with pytest.raises(InputError, match=words) as error:
        made(path)
    assert str(error.value).count("\n") == 0
    assert "bad" in str(error.value)


def test_a_zip_bomb_is_capped(tmp_path):
    path = kmz(tmp_path / "bomb.kmz", b"<kml>" + b" " * (MAX_BYTES + 10))
    assert path.stat().st_size < 200_000
    with pytest.raises(InputError, match="MiB when unpacked"):
        read_map(path)


def test_entities_are_never_expanded(tmp_path):
    laughs = "".join(f'<!ENTITY l{i} "{f"&l{i - 1};" * 10 if i else "ha"}">' for i in range(12))
    path = write(tmp_path / "bad.gpx", f"<!DOCTYPE gpx [{laughs}]><gpx><trk><name>&l11;</name></trk></gpx>")
    start = time.process_time()
    with pytest.raises(InputError, match="DOCTYPE"):
        read_map(path)
    assert time.process_time() - start < 1.0


def test_ten_megabytes_of_map_are_read_in_seconds(tmp_path):
    n = 90_000
    nodes = "".join(
        f'<node id="{10_000 + i}" visible="true" version="1" lat="{55.3 + i * 1e-7:.7f}" lon="{3.3 + i * 1e-7:.7f}"/>\n'
        for i in range(n)
    )
    refs = [f'<nd ref="{10_000 + i}"/>' for i in range(n)]
    ways = "".join(
        f'<way id="{i}">{refs[i]}{refs[i + 1]}{refs[i + 2]}{refs[i]}<tag k="building" v="yes"/></way>\n'
        for i in range(0, n - 3, 3)
    )
    path = write(tmp_path / "big.osm", osm_text().replace("</osm>", nodes + ways + "</osm>"))
    assert path.stat().st_size > 10_000_000
    start = time.process_time()
    found = venue(path)
    assert time.process_time() - start < 10.0
    assert off_m(found) < 0.05
