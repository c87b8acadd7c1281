"""Every kind of file that people hand in, for `hostile.py`: a sound one, and what reads it."""

from __future__ import annotations

import io
import json
import zipfile
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from types import SimpleNamespace
from typing import Any

from hostile_inputs import Kind
from hostile_outputs import small_match
from hostile_page import page_kinds

from standmark.cli.book.editions import read_edition
from standmark.cli.book.tree import read_source
from standmark.cli.exports.calendar_file import calendar_bytes
from standmark.cli.exports.log_table import empty_log
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.exports.starter import starter_text
from standmark.cli.exports.tournament_json import SCHEMA, with_past
from standmark.cli.ground.landmarks import landmarks
from standmark.cli.ground.marks_file import read_marks
from standmark.cli.ground.photo import read_photo
from standmark.cli.ground.read_map import read_map
from standmark.cli.ground.table import table_grounds
from standmark.cli.input.card_file import read_card
from standmark.cli.input.events_file import read_events
from standmark.cli.input.given_positions import parse_at
from standmark.cli.input.log_file import counts_of, read_log
from standmark.cli.input.logged_plan import read_planned
from standmark.cli.input.plan_file import read_plan
from standmark.cli.input.sequences_file import read_sequences
from standmark.cli.input.timed_events import read_timed_events
from standmark.optimizer.day.call_times import call_times
from standmark.optimizer.day.tournament.read import read_tournament
from standmark.optimizer.match.operator_file import read_operator
from standmark.optimizer.match.read_match import default_match, read_match
from standmark.optimizer.planning import plan
from standmark.optimizer.standard.read_standard import GENERAL, read_standard
from standmark.sports.competition import load_profile
from standmark.sports.library import load_sport

ROOT = Path(__file__).resolve().parents[1]
GROUNDS = ROOT / "examples/grounds"
MATCH_MORE = """
[[venue.allowed]]
name = "bank"
polygon = [[20, 0], [24, 0], [24, 6], [20, 6]]
lens_height_m = [1.2, 1.8]
[[venue.obstacle]]
name = "chair"
polygon = [[-1, 7], [1, 7], [1, 8], [-1, 8]]
base_m = 0
top_m = 2
"""
MAP = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "properties": {"name": "pitch"},
            "geometry": {
                "type": "Polygon",
                "coordinates": [
                    [[-30.01, 45.0], [-30.0087, 45.0], [-30.0087, 45.0006], [-30.01, 45.0006], [-30.01, 45.0]]
                ],
            },
        },
        {
            "type": "Feature",
            "properties": {"name": "stand 8 m"},
            "geometry": {"type": "LineString", "coordinates": [[-30.01, 44.9998], [-30.009, 44.9998]]},
        },
    ],
}
CARD = {
    "camera": "A",
    "cards": [{"lines": [
        {"kinds": ["open"], "from_m": -20, "to_m": 20.5, "ahead_m": 8, "places": {"+x": {"x_m": 4, "y_m": -36}}},
        {"kinds": ["corner"], "from_m": 20.5, "to_m": 50, "ahead_m": None, "places": {"-x": {"x_m": 9, "y_m": -36}}},
    ]}],
}  # fmt: skip
BOOK = {
    "schema": "standmark.book/1", "standard": {"name": "General", "edition": 1}, "grounds": 1, "digest": "ab",
    "program": "1",
}  # fmt: skip
CODES = {
    "schema": "standmark.codes/1", "retired": [{"code": "OLD", "path": "old.toml", "name": "Old"}],
    "grounds": [{"code": "ASH", "path": "ash.toml", "name": "Ash"}],
}  # fmt: skip
ROSTER = {
    "schema": SCHEMA,
    "matches": [
        {"pitch": "Pitch 1", "slot": "09:28", "start": "2027-06-12T09:28:00+01:00", "filmed_by": ["Ash"]},
        {"pitch": "Pitch 2", "slot": "12:16", "start": "2027-06-12T12:16:00+01:00", "filmed_by": []},
    ],
}  # fmt: skip
OPERATOR = """schema_version = 1
matches = 4
delay_s = 0.42
wish_for_size = 1.1

[rates.tennis]
serve = 80
winner = 12.5
"""
SIDE_NAMES = {"+x": "right end", "-x": "left end", "+y": "far side", "-y": "bench side"}
PHOTOGRAPH_PX = (1920, 1080)


@lru_cache(maxsize=1)
def kinds() -> tuple[Kind, ...]:
    """Every kind of file that people hand in, and what the page of `open` sends."""
    tennis, football = load_sport("tennis"), load_sport("football")
    flow: Any = SimpleNamespace(flow=football.play_flow, main_kind=_first_kind(football.play_flow))
    made = plan(default_match("netball"), advice="none")
    planned_bytes = plan_bytes(made)
    with TemporaryDirectory() as folder:
        Path(folder, "plan.json").write_bytes(planned_bytes)
        planned = read_planned(Path(folder, "plan.json"))
    with_card = json.dumps(json.loads(planned_bytes) | {"follow": [CARD]}, indent=1)
    known = landmarks(football.area, SIDE_NAMES)
    match_text = starter_text(tennis) + MATCH_MORE
    cup = read_tournament(ROOT / "examples/tournament/reed-cup.toml")
    match = small_match("Final")
    assert match.start is not None
    times = call_times(match.start, match.sport.periods)

    def again(path: Path) -> bytes:
        """Write a calendar that takes the place of another."""
        return calendar_bytes(match, times, before=path.read_bytes())

    texts = (
        ("match", "match.toml", match_text, read_match),
        ("ground", "ground.toml", match_text, lambda path: read_source(path.name, path, root=path.parent)),
        ("sport", "own.toml", (ROOT / "sports/definitions/netball.toml").read_text("utf-8"), load_sport),
        ("standard", "standard.toml", GENERAL.read_text("utf-8"), read_standard),
        ("rules", "rules.toml", (ROOT / "sports/profiles/badminton-world-2018.toml").read_text("utf-8"),
         lambda path: load_profile(path, load_sport("badminton"))),
        ("tournament", "cup.toml", (ROOT / "examples/tournament/reed-cup.toml").read_text("utf-8"), read_tournament),
        ("operator", "operator.toml", OPERATOR, read_operator),
        ("events", "events.csv", "x_m,y_m,moment,period,weight\n11.2,-3.5,serve,1,1\n-4,2.25,,2,0.5\n",
         lambda path: list(read_events(path, tennis))),
        ("sequences", "play.csv",
         "sequence,x_m,y_m,moment,side,kind,from_m,walk_s\n1,40,3,goal,A,,20,\n2,-9,1,shot,B,,,4\n",
         lambda path: read_sequences(path, football, flow)),
        ("flow", "flow.csv", "match_id,time_s,x_m,side\nm,1,-20,A\nm,3.5,10,A\nm,9,-8,B\n", read_timed_events),
        ("log", "log.csv", empty_log(planned).decode("utf-8-sig"), lambda path: counts_of(read_log(path), planned)),
        ("marks", "marks.csv", (GROUNDS / "seat.csv").read_text("utf-8"),
         lambda path: read_marks(path, known, SIDE_NAMES, PHOTOGRAPH_PX)),
        ("table", "grounds.csv", (GROUNDS / "league.csv").read_text("utf-8"),
         lambda path: list(table_grounds(path, sport=None))),
        ("plan", "plan.json", planned_bytes.decode("utf-8"), read_plan),
        ("planned", "plan.json", planned_bytes.decode("utf-8"), read_planned),
        ("card", "plan.json", with_card, lambda path: read_card(path, "A")),
        ("book", "book.json", json.dumps(BOOK, indent=1), _edition),
        ("codes", "codes.json", json.dumps(CODES, indent=1), _edition),
        ("map", "map.geojson", json.dumps(MAP, indent=1), read_map),
        ("kml", "map.kml", (GROUNDS / "gannet-bank.kml").read_text("utf-8"), read_map),
        ("gpx", "walk.gpx", (GROUNDS / "gannet-bank-walk.gpx").read_text("utf-8"), read_map),
        ("osm", "map.osm", (GROUNDS / "gannet-bank.osm").read_text("utf-8"), read_map),
        ("dxf", "map.dxf", _drawing(), read_map),
        ("answer", "tournament.json", json.dumps(ROSTER, indent=1), lambda path: with_past(cup, path, from_min=800.0)),
        ("at", "at.txt", "A@first-half=52.5,-8,1.6:70-200", lambda path: parse_at(path.read_text("utf-8", "replace"))),
    )  # fmt: skip
    photograph = (GROUNDS / "seat.jpg").read_bytes()[:4000]
    return (
        *(Kind(name, file, text.encode("utf-8"), read) for name, file, text, read in texts),
        Kind("kmz", "map.kmz", _packed((GROUNDS / "gannet-bank.kml").read_bytes()), read_map),
        Kind("photograph", "seat.jpg", photograph, read_photo),
        Kind("calendar", "times.ics", calendar_bytes(match, times), again),
        *page_kinds(match_text, json.dumps(MAP).encode("utf-8")),
    )


def _first_kind(flow: Any) -> str:
    return str(flow.kinds[0].key)


def _packed(content: bytes) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("doc.kml"), content)
    return packed.getvalue()


def _edition(path: Path) -> object:
    """Read an earlier edition of a book, one document of which is the file."""
    folder = path.parent
    for name, content in {"book.json": json.dumps(BOOK), "codes.json": json.dumps(CODES)}.items():
        if name != path.name and not (folder / name).exists():
            (folder / name).write_text(content)
    if not (folder / "grounds").exists():
        (folder / "standard.toml").write_bytes(GENERAL.read_bytes())
        (folder / "grounds").mkdir()
        (folder / "grounds/ash.json").write_text("{}")
    return read_edition(folder)


def _drawing() -> str:
    """Lines of a pitch and an arc, as short as DXF may be."""
    corners = [(0, 0), (101, 0), (101, 64), (0, 64), (0, 0)]
    pairs = [(0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, 6), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    for (x, y), (to_x, to_y) in pairwise(corners):
        pairs += [(0, "LINE"), (8, "pitch"), (10, x), (20, y), (11, to_x), (21, to_y)]
    pairs += [(0, "ARC"), (8, "bank"), (10, 50.5), (20, -9), (40, 6), (50, 0), (51, 180), (0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in pairs)
