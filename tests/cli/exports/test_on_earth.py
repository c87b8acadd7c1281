"""Places on the earth to the last digit that is written, and cells that a spreadsheet takes as text."""

import json

import pytest
import shapely

from standmark.cli.exports.earth import has_place, place_on_earth, ring_on_earth
from standmark.cli.exports.geojson import _cut_at_180, _mapping
from standmark.cli.exports.spreadsheet import csv_rows
from standmark.optimizer.match.match import Venue

LINE = 180.0


def ground(latitude=0.0, longitude=0.0, bearing=90.0, **more):
    return Venue("ground", (), latitude_deg=latitude, longitude_deg=longitude, bearing_deg=bearing, **more)


def test_a_degree_of_the_equator_is_an_arc_of_its_radius():
    # WGS84: the equator is a circle of 6 378 137 m, so that a metre is 8.983 152 8e-6 degrees
    assert place_on_earth(ground(), 1000.0, 0.0) == (0.0, 0.0089832)
    assert place_on_earth(ground(), -1000.0, 0.0) == (0.0, -0.0089832)
    assert str(place_on_earth(ground(), 0.0, -0.001)) == "(0.0, 0.0)"  # no -0


def test_a_place_needs_latitude_longitude_and_bearing():
    assert has_place(ground())
    for missing in ({"latitude": None}, {"longitude": None}, {"has_bearing": False}):
        assert not has_place(ground(**missing))


@pytest.mark.parametrize(("longitude", "sign"), [(180.0, 1.0), (179.9999, 1.0), (-179.9999, -1.0)])
def test_a_ring_runs_on_past_the_180th_meridian(longitude, sign):
    ring = ring_on_earth(ground(longitude=longitude), [(-50.0 * sign, 0.0), (50.0 * sign, 0.0), (0.0, 0.0)])
    assert abs(ring[1][0]) > LINE
    assert ring[1][0] * sign - ring[0][0] * sign == pytest.approx(100 * 8.9831528e-6, abs=2e-7)
    assert {latitude for _, latitude in ring} == {0.0}


@pytest.mark.parametrize(
    ("west", "east", "parts"),
    [
        (179.0, 181.5, [(-180.0, -178.5), (179.0, 180.0)]),
        (-181.5, -179.0, [(-180.0, -179.0), (178.5, 180.0)]),
        (10.0, 12.0, [(10.0, 12.0)]),
        (-180.0, -179.0, [(-180.0, -179.0)]),
        (179.0, 180.0, [(179.0, 180.0)]),
        (180.2, 180.6, [(-179.8, -179.4)]),
        (-180.6, -180.2, [(179.4, 179.8)]),
        (181.0, 182.0, [(-179.0, -178.0)]),
        (-182.0, -181.0, [(178.0, 179.0)]),
    ],
)
@pytest.mark.parametrize(("south", "north"), [(-88.0, -70.0), (60.0, 89.0)])
def test_a_shape_is_cut_where_the_180th_meridian_crosses_it(west, east, parts, south, north):
    shape = _cut_at_180(shapely.box(west, south, east, north))
    bounds = sorted(tuple(part.bounds) for part in shapely.get_parts(shape))
    assert bounds == [pytest.approx((low, south, high, north)) for low, high in parts]
    written = _mapping(shape)
    assert written["type"] == ("Polygon" if len(parts) == 1 else "MultiPolygon")
    assert shapely.from_geojson(json.dumps(written)).area == pytest.approx((east - west) * (north - south))


def test_a_hole_is_written_clockwise_after_its_ring_to_seven_digits():
    shape = shapely.Polygon([(0, 0), (0, 3), (3, 3), (3, 0)], [[(1, 1), (2, 1), (2, 2.123456789), (1, 2)]])
    outer, hole = _mapping(shape)["coordinates"]
    assert (shapely.LinearRing(outer).is_ccw, shapely.LinearRing(hole).is_ccw) == (True, False)
    assert [2.0, 2.1234568] in hole
    turned = _mapping(shapely.transform(shape, lambda xy: xy[:, ::-1]))["coordinates"]
    assert [2.1234568, 2.0] in turned[1]


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("=1", "'=1"), ("@a", "'@a"), ("\uff1d1", "'\uff1d1"), ("\uff201", "'\uff201"), ("  =1", "'  =1"),
        ("-x-y", "\u2212x-y"), ("\uff0d1", "\u22121"), (" -1", " \u22121"),
        ("+x+y", "\u207ax+y"), ("\uff0b1", "\u207a1"),
        ("\tA", "'\tA"), ("\n=A", '"\'\n=A"'), ("\rA", '"\'\rA"'), ("a=1", "a=1"), ("a-b", "a-b"), ("", ""), (" ", " "),
        (True, "yes"), (False, "no"), (None, ""), (-1.5, "-1.5"), (0, "0"), ("a,b", '"a,b"'),
    ],
)  # fmt: skip
def test_a_cell_is_text_and_a_number_stays_one(value, cell):
    assert csv_rows([["x", value]]).decode() == f"x,{cell}\r\n"
    assert csv_rows([]) == b""
