"""Tables and map features: parseable, true to RFC 7946, safe to open in a spreadsheet."""

import csv
import io
import json

import pytest
from geographiclib.geodesic import Geodesic

from standmark.cli.book.tables import csv_chunks, csv_rows, geojson_chunks


def read_records(out):
    return [json.loads(path.read_text("utf-8")) for path in sorted((out / "grounds").glob("*.json"))]


@pytest.mark.parametrize(
    ("text", "written"),
    [
        *((text, f"'{text}") for text in ("=1+1", "@SUM(A1)", "\tx", "\rx", "  =1+1", "＝1+1", "＠SUM(A1)")),
        ("-1+1", "−1+1"),
        (" －1", " −1"),
        ("+x end", "⁺x end"),
        ("\u00a0＋1", "\u00a0⁺1"),
        ("a=1", "a=1"),
        ("", ""),
    ],
)
def test_formulas_are_disarmed(text, written):
    """OWASP, CSV Injection: the characters with which spreadsheets take a text for a formula."""
    row = next(csv.reader(io.StringIO(csv_rows([[text, -1.5]]).decode("utf-8"), newline="")))
    assert row == [written, "-1.5"]


def test_table_has_every_position(league_book):
    _, out, _ = league_book
    records = read_records(out)
    rows = list(csv.DictReader(io.StringIO((out / "positions.csv").read_text("utf-8"))))
    assert [row["code"] for row in rows] == [p["code"] for r in records for p in r["positions"]]
    assert b"".join(csv_chunks(records)).decode("utf-8") == (out / "positions.csv").read_bytes().decode("utf-8")
    filled = next(row for row in rows if row["filled"] == "yes")
    assert float(filled["z_m"]) > 0
    assert filled["place"]


def test_features_are_where_the_geodesic_says(league_book):
    """Longitude first (RFC 7946, 3.1.1); distance and azimuth against geographiclib's inverse solution."""
    _, out, _ = league_book
    document = json.loads((out / "positions.geojson").read_text("utf-8"))
    assert document["type"] == "FeatureCollection"
    records = {r["code"]: r for r in read_records(out)}
    placed = [f for f in document["features"] if f["geometry"] is not None]
    assert len(placed) > 15
    for feature in placed:
        record = records[feature["properties"]["ground"]]
        position = next(p for p in record["positions"] if p["code"] == feature["id"])
        longitude, latitude = feature["geometry"]["coordinates"]
        assert abs(longitude) < 10 < 45 < latitude
        way = Geodesic.WGS84.Inverse(record["latitude"], record["longitude"], latitude, longitude)
        assert way["s12"] == pytest.approx((position["x_m"] ** 2 + position["y_m"] ** 2) ** 0.5, abs=0.02)


@pytest.mark.parametrize("latitude", [51.0, -33.9])
@pytest.mark.parametrize("longitude", [12.0, -70.0, 179.9999])
def test_axes_on_earth(latitude, longitude):
    """A position 100 m along +x, with +x to the east, lies east; 100 m to the left of that lies north."""
    from types import SimpleNamespace as Bag

    from standmark.cli.book.record import earth_places

    def place(x, y):
        spot = Bag(x_m=x, y_m=y)
        found = Bag(positions=[Bag(filled=Bag(station=Bag(spot=spot)))])
        match = Bag(venue=Bag(latitude_deg=latitude, longitude_deg=longitude, bearing_deg=90.0))
        return earth_places(match, found, has_bearing=True)[0]

    east, north = place(100.0, 0.0), place(0.0, 100.0)
    assert (east["longitude"] - longitude + 540) % 360 - 180 > 0
    assert east["latitude"] == pytest.approx(latitude, abs=1e-6)
    assert north["latitude"] > latitude
    assert north["longitude"] == pytest.approx(longitude, abs=1e-6)


def test_without_a_place_the_geometry_is_null():
    record = {
        "code": "AAA01", "name": "n", "sport": "s",
        "positions": [{"code": "AAA01-M", "role": "Main", "needed": True, "filled": False, "met": False}],
    }  # fmt: skip
    document = json.loads(b"".join(geojson_chunks([record])))
    assert document["features"][0]["geometry"] is None
    assert json.loads(b"".join(geojson_chunks([])))["features"] == []
