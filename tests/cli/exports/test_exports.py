"""Exports read back by independent libraries, and positions brought back to the pitch."""

import csv
import io
import json
import math
from dataclasses import replace
from datetime import datetime, timedelta
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import gpxpy
import numpy as np
import pytest
import shapely
from drawn_plans import hostile_plan, placed_plan, stretches_of
from geographiclib.geodesic import Geodesic
from icalendar import Calendar

from standmark.cli.commands.results import export_files
from standmark.cli.exports.calendar_file import calendar_bytes
from standmark.cli.exports.duties import COLUMNS, duties_csv
from standmark.cli.exports.earth import place_on_earth
from standmark.cli.exports.geojson import geojson_bytes
from standmark.cli.exports.gpx import gpx_bytes
from standmark.cli.exports.kml import kml_bytes
from standmark.cli.words.plan_sections import day_of, planned_cards_in
from standmark.cli.words.units import Units
from standmark.optimizer.match.match import Venue


def back_on_pitch(venue, latitude, longitude):
    """Pitch metres of a place, by the inverse geodesic."""
    back = Geodesic.WGS84.Inverse(venue.latitude_deg, venue.longitude_deg, latitude, longitude)
    turn = math.radians(venue.bearing_deg - back["azi1"])
    return back["s12"] * math.cos(turn), back["s12"] * math.sin(turn)


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [(51.5, -0.1), (-33.9, 151.2), (-34.6, -58.4), (69.6, 18.9), (-16.8, 179.9999), (0.0, 0.0)],
)
@pytest.mark.parametrize("bearing", [0.0, 70.0, 200.0, 328.0])
def test_places_come_back_to_the_pitch_within_a_tenth_of_a_metre(latitude, longitude, bearing):
    venue = Venue("ground", (), latitude_deg=latitude, longitude_deg=longitude, bearing_deg=bearing)
    for x, y in ((57.5, 12.0), (-60.0, -40.0), (0.0, 38.0), (230.0, 90.0)):
        placed = place_on_earth(venue, x, y)
        assert back_on_pitch(venue, *placed) == pytest.approx((x, y), abs=0.05)


def test_directions_are_those_of_the_compass():
    north = Venue("ground", (), latitude_deg=50.0, longitude_deg=8.0, bearing_deg=0.0)  # +x to the north
    assert place_on_earth(north, 100.0, 0.0)[0] > 50.0
    assert place_on_earth(north, 0.0, 100.0)[1] < 8.0  # +y is on the left, so to the west


def test_geojson_is_longitude_first_and_brings_back_every_position():
    plan = placed_plan()
    document = json.loads(geojson_bytes(plan, stretches_of(plan)))
    assert document["type"] == "FeatureCollection"
    assert "crs" not in document
    kinds = [f["properties"]["kind"] for f in document["features"]]
    assert kinds.count("position") == sum(len(s.first.assignments) for s in stretches_of(plan))
    assert "fallback" in kinds
    spots = [a.spot for s in stretches_of(plan) for a in s.first.assignments]
    points = [f for f in document["features"] if f["properties"]["kind"] == "position"]
    for feature, spot in zip(points, spots, strict=True):
        longitude, latitude = feature["geometry"]["coordinates"]
        assert longitude == pytest.approx(-9.3, abs=0.01)
        assert latitude == pytest.approx(38.7, abs=0.01)
        assert back_on_pitch(plan.match.venue, latitude, longitude) == pytest.approx((spot.x_m, spot.y_m), abs=0.1)


def test_geojson_outline_is_anticlockwise_closed_and_has_at_most_seven_digits():
    plan = placed_plan()
    text = geojson_bytes(plan, stretches_of(plan)).decode("utf-8")
    area = next(f for f in json.loads(text)["features"] if f["properties"]["kind"] == "playing area")
    ring = area["geometry"]["coordinates"][0]
    assert ring[0] == ring[-1]
    assert shapely.LinearRing(ring).is_ccw
    digits = [len(repr(v).partition(".")[2]) for point in ring for v in point]
    assert max(digits) <= 7


def test_ground_on_the_180th_meridian_is_cut_in_two():
    plan = placed_plan()
    venue = replace(plan.match.venue, latitude_deg=-16.8, longitude_deg=180.0)
    moved = replace(plan, match=replace(plan.match, venue=venue))
    document = json.loads(geojson_bytes(moved, stretches_of(plan)))
    shape = shapely.from_geojson(json.dumps(document["features"][0]["geometry"]))
    assert shape.geom_type == "MultiPolygon"
    assert -180 <= shape.bounds[0] <= shape.bounds[2] <= 180
    assert shape.area < 1e-6


def test_gpx_waypoints_are_read_back():
    plan = placed_plan()
    waypoints = gpxpy.parse(gpx_bytes(plan, stretches_of(plan)).decode("utf-8")).waypoints
    first = plan.periods[0].assignments[0]
    assert waypoints[0].name.startswith(f"Camera {first.camera}")
    assert "if refused" in waypoints[1].name
    back = back_on_pitch(plan.match.venue, waypoints[0].latitude, waypoints[0].longitude)
    assert back == pytest.approx((first.spot.x_m, first.spot.y_m), abs=0.1)


def test_duties_are_a_table_with_a_row_for_each_duty():
    plan = placed_plan()
    rows = list(csv.DictReader(io.StringIO(duties_csv(plan).decode("utf-8"), newline="")))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == sum(len(period.duties) for period in plan.periods)
    weights = [float(row["weight"]) for row in rows if row["period"] == rows[0]["period"]]
    assert sum(weights) == pytest.approx(1.0, abs=1e-4)


def test_times_are_events_of_a_calendar_in_the_right_zone():
    plan = placed_plan()
    files = export_files(plan, stretches_of(plan))
    events = Calendar.from_ical(files["times.ics"]).walk("VEVENT")
    start = next(e for e in events if str(e["SUMMARY"]).startswith("Start"))
    assert start["DTSTART"].dt == plan.match.start


def test_names_stay_harmless():
    plan = hostile_plan()
    files = export_files(plan, stretches_of(plan))
    for row in csv.reader(io.StringIO(files["duties.csv"].decode("utf-8"), newline="")):
        assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row if not _is_number(cell))
    document = json.loads(files["positions.geojson"])
    assert document["features"][0]["properties"]["name"] == plan.match.venue.name
    assert gpxpy.parse(files["positions.gpx"].decode("utf-8")).name == plan.match.title
    assert Calendar.from_ical(files["times.ics"]).walk("VEVENT")[0]["LOCATION"] == plan.match.venue.name


def test_without_a_bearing_nothing_is_placed_on_the_earth():
    plan = placed_plan()
    venue = replace(plan.match.venue, has_bearing=False)
    files = export_files(replace(plan, match=replace(plan.match, venue=venue)), stretches_of(plan))
    assert not {"positions.geojson", "positions.gpx"} & set(files)


def _is_number(cell):
    try:
        float(cell)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize(
    ("bearing_deg", "pan_deg", "compass"),
    # +x toward `bearing_deg`, pan anticlockwise from +x: with +x to the east, +y is north and -y south
    [
        (90.0, (80.0, 100.0), 0.0),
        (90.0, (-100.0, -80.0), 180.0),
        (90.0, (-10.0, 10.0), 90.0),
        (0.0, (30.0, 60.0), 315.0),
    ],
)
def test_geojson_says_where_a_camera_looks_by_the_compass(bearing_deg, pan_deg, compass):
    plan = placed_plan()
    venue = replace(plan.match.venue, bearing_deg=bearing_deg)
    periods = tuple(
        replace(p, assignments=tuple(replace(a, pan_deg=pan_deg) for a in p.assignments)) for p in plan.periods
    )
    plan = replace(plan, match=replace(plan.match, venue=venue), periods=periods, advice=None)
    features = json.loads(geojson_bytes(plan, stretches_of(plan)))["features"]
    assert {f["properties"].get("looks_compass_deg") for f in features} - {None} == {compass}


def test_calendar_entries_keep_their_own_when_the_start_moves():
    match = placed_plan().match
    times = day_of(placed_plan(), planned_cards_in(placed_plan(), units=Units.METRIC)).times
    first = calendar_bytes(match, times)
    moved = tuple(replace(time, at=time.at + timedelta(minutes=30)) for time in times)
    again = calendar_bytes(match, moved, before=first)
    before, after = (list(Calendar.from_ical(data).walk("VEVENT")) for data in (first, again))
    assert [str(e["uid"]) for e in before] == [str(e["uid"]) for e in after]
    assert {int(e["sequence"]) for e in before} == {0}
    assert {int(e["sequence"]) for e in after} == {1}
    assert calendar_bytes(match, times, before=first) == first
    for event in after:
        (alarm,) = event.walk("VALARM")
        assert alarm["trigger"].dt == timedelta(0)


@pytest.mark.parametrize("said", ["SEQUENCE:1\nSEQUENCE:2", "SEQUENCE:x", "SEQUENCE:" + "9" * 4300, "SEQUENCE:-1"])
def test_a_damaged_calendar_is_replaced_as_if_it_were_not_there(said):
    match = placed_plan().match
    (time,) = day_of(placed_plan(), planned_cards_in(placed_plan(), units=Units.METRIC)).times[:1]
    first = calendar_bytes(match, (time,))
    before = first.replace(b"SEQUENCE:0", said.encode())
    assert before != first
    assert calendar_bytes(match, (time,), before=before) == first


def test_entries_end_after_they_begin_in_the_hour_that_comes_twice():
    match = placed_plan().match
    (first,) = day_of(placed_plan(), planned_cards_in(placed_plan(), units=Units.METRIC)).times[:1]
    late = replace(first, at=datetime(2027, 10, 31, 2, 24, fold=1, tzinfo=ZoneInfo("Europe/Vatican")))
    (entry,) = Calendar.from_ical(calendar_bytes(match, (late,))).walk("VEVENT")
    assert entry["DTEND"].dt - entry["DTSTART"].dt == timedelta(minutes=30)


def test_placemarks_are_the_waypoints():
    plan = placed_plan()
    root = ElementTree.fromstring(kml_bytes(plan))
    assert root.tag == "{http://www.opengis.net/kml/2.2}kml"
    space = {"k": "http://www.opengis.net/kml/2.2"}
    places = [tuple(map(float, e.text.split(","))) for e in root.findall(".//k:coordinates", space)]
    waypoints = gpxpy.parse(gpx_bytes(plan).decode()).waypoints
    assert np.array(places) == pytest.approx(np.array([(w.longitude, w.latitude) for w in waypoints]), abs=1e-6)
