"""Inputs made to hurt, for `hostile.py`: sound files of every kind, their readers, and ways to spoil them."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from standmark.cli.exports.log_table import empty_log
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.exports.starter import starter_text
from standmark.cli.ground.landmarks import landmarks
from standmark.cli.ground.marks_file import read_marks
from standmark.cli.ground.read_map import read_map
from standmark.cli.ground.table import table_grounds
from standmark.cli.input.events_file import read_events
from standmark.cli.input.log_file import counts_of, read_log
from standmark.cli.input.logged_plan import read_planned
from standmark.cli.input.plan_file import read_plan
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
NAMES = (
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "</text><a href='javascript:alert(1)'>",
    "]]><b>",
    "<!--",
    "&lt;b&gt; &amp; &#x3c;",
    '" onload="alert(1)',
    "' or 1=1 --",
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\uff1d1+1",
    " =1+1",
    "\t=1",
    "%s%n%x",
    "${7*7}",
    "{{7*7}}",
    "{% for x in y %}",
    "$x^2$",
    "\\frac{1}{2}",
    "\\textbf{x}",
    "a_b^c~d#e",
    "\x1b[31mred\x1b[0m",
    "\x07bell",
    "\x00nul",
    "a\nb",
    "a\r\nb",
    "a\tb",
    "\u2028line",
    "\u2029paragraph",
    "\u202eevil",
    "\u2066isolate\u2069",
    "\u200b\u200b",
    "\ufeffmark",
    "\u00ad",
    "\ud7ff",
    "e\u0301\u0301\u0301\u0301",
    "Z\u0351\u036b\u0343",
    "🏟️🎥",
    "👩‍👩‍👧‍👦",
    "מגרש",
    "ملعب",
    "体育場",
    "สนาม",
    "../../etc/escaped",
    "/etc/escaped",
    "..\\..\\escaped",
    "C:\\escaped",
    "\\\\host\\share",
    "CON",
    "nul.txt",
    ".",
    "..",
    "~root",
    "-rf",
    "--out=/",
    "a" * 200,
    "a" * 10_000,
    "\U0010ffff",
    "ﬃ ﷽",
    "name ",
)
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
PIECES = b"[", b'"', b"'''", b"[[", b"\\u", b"\xff\xfe", b"1e999", b"\x00", b"-", b"="
KEYS = "x", "ｘ", '""', "__class__", '"a.b"'
VALUES: tuple[Any, ...] = (
    None,
    True,
    False,
    0,
    -1,
    1,
    10**400,
    -(10**18),
    0.0,
    -0.0,
    1e308,
    -1e308,
    5e-324,
    float("inf"),
    float("nan"),
    "",
    " ",
    "a" * 20_000,
    [],
    [[]],
    {},
    [1],
    [1, 2],
    [[1, 2]] * 300,
    {"a": {"b": {"c": 1}}},
    ["x"] * 1000,
    *NAMES[:20],
)


@dataclass(frozen=True)
class Kind:
    """One kind of input: a sound file of it, and what reads it."""

    name: str
    file: str
    text: str
    read: Callable[[Path], object]


@lru_cache(maxsize=1)
def kinds() -> tuple[Kind, ...]:
    """Every kind of file that people hand in."""
    tennis = load_sport("tennis")
    events = "x_m,y_m,moment,period,weight\n11.2,-3.5,serve,1,1\n-4,2.25,,2,0.5\n"
    made = plan(default_match("netball"), advice="none")
    with TemporaryDirectory() as folder:
        Path(folder, "plan.json").write_bytes(plan_bytes(made))
        planned = read_planned(Path(folder, "plan.json"))
    log = empty_log(planned).decode("utf-8-sig")
    known = landmarks(load_sport("football").area, SIDE_NAMES)
    return (
        Kind("match", "match.toml", starter_text(tennis) + MATCH_MORE, read_match),
        Kind("sport", "own.toml", (ROOT / "sports/definitions/netball.toml").read_text("utf-8"), load_sport),
        Kind("standard", "standard.toml", GENERAL.read_text("utf-8"), read_standard),
        Kind("rules", "rules.toml", (ROOT / "sports/profiles/badminton-world-2018.toml").read_text("utf-8"),
             lambda path: load_profile(path, load_sport("badminton"))),
        Kind("events", "events.csv", events, lambda path: list(read_events(path, tennis))),
        Kind("plan", "plan.json", plan_bytes(made).decode("utf-8"), read_plan),
        Kind("map", "map.geojson", json.dumps(MAP, indent=1), read_map),
        Kind("dxf", "map.dxf", _drawing(), read_map),
        Kind("table", "grounds.csv", (GROUNDS / "league.csv").read_text("utf-8"),
             lambda path: list(table_grounds(path, sport=None))),
        Kind("marks", "marks.csv", (GROUNDS / "seat.csv").read_text("utf-8"),
             lambda path: read_marks(path, known, SIDE_NAMES, PHOTOGRAPH_PX)),
        Kind("operator", "operator.toml", OPERATOR, read_operator),
        Kind("log", "log.csv", log, lambda path: counts_of(read_log(path), planned)),
    )  # fmt: skip


def _drawing() -> str:
    """Lines of a pitch and an arc, as short as DXF may be."""
    corners = [(0, 0), (101, 0), (101, 64), (0, 64), (0, 0)]
    pairs = [(0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, 6), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    for (x, y), (to_x, to_y) in pairwise(corners):
        pairs += [(0, "LINE"), (8, "pitch"), (10, x), (20, y), (11, to_x), (21, to_y)]
    pairs += [(0, "ARC"), (8, "bank"), (10, 50.5), (20, -9), (40, 6), (50, 0), (51, 180), (0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def spoiled_bytes(kind: Kind, rng: random.Random) -> bytes:
    """Change, drop, double or move a few bytes."""
    data = bytearray(kind.text.encode())
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data) or 1)
        match rng.randrange(5):
            case 0 if data:
                data[at] = rng.randrange(256)
            case 1:
                del data[at : at + rng.randint(1, 40)]
            case 2:
                data[at:at] = data[at : at + rng.randint(1, 60)] * rng.choice((1, 1, 50))
            case 3:
                data[at:at] = rng.choice(
                    (b"[", b'"', b"'''", b"[[", b"\\u", b"\xff\xfe", b"1e999", b"\x00", b"-", b"=")
                )
            case _:
                end = rng.randrange(len(data) or 1)
                data[at:at] = data[end : end + rng.randint(1, 30)]
    return bytes(data)


def spoiled_structure(kind: Kind, rng: random.Random) -> bytes:
    """Keep the form sound and spoil what it says: values, keys, entries."""
    if kind.file.endswith(".csv"):
        rows = [line.split(",") for line in kind.text.splitlines()]
        for _ in range(rng.randint(1, 4)):
            row = rng.choice(rows)
            row[rng.randrange(len(row))] = str(rng.choice(VALUES))
        return "\n".join(",".join(row) for row in rows).encode("utf-8", "surrogatepass")
    if kind.file.endswith("json"):
        document = json.loads(kind.text)
        for _ in range(rng.randint(1, 4)):
            _spoil(document, rng)
        return json.dumps(document).encode("utf-8", "surrogatepass")
    lines = kind.text.splitlines()
    if kind.file.endswith(".dxf"):
        for _ in range(rng.randint(1, 4)):
            lines[rng.randrange(len(lines))] = str(rng.choice(VALUES))
        return "\n".join(lines).encode("utf-8", "surrogatepass")
    said = [i for i, line in enumerate(lines) if re.match(r"\s*[\w-]+ *= ", line)]
    for _ in range(rng.randint(1, 4)):
        i = rng.choice(said)
        match rng.randrange(4):
            case 0 | 1:
                lines[i] = f"{lines[i].split('=')[0]}= {_toml(rng.choice(VALUES))}"
            case 2:
                lines[i] = f"{rng.choice(KEYS)} ={lines[i].partition('=')[2]}"
            case _:
                lines.append(lines[i])
    return "\n".join(lines).encode("utf-8", "surrogatepass")


def _spoil(document: Any, rng: random.Random) -> None:
    """Replace, drop or double one entry somewhere in a document."""
    places = list(_places(document))
    if not places:
        return
    parent, key = rng.choice(places)
    match rng.randrange(3):
        case 0 | 1:
            parent[key] = rng.choice(VALUES)
        case _:
            if isinstance(parent, list):
                parent.append(parent[key])
            else:
                del parent[key]


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in list(entries):
        yield value, key
        yield from _places(inner)


def _toml(value: Any) -> str:
    """Write a value as TOML would; what TOML has no word for as a text."""
    if value is None:
        return '""'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value)
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{k} = {_toml(v)}' for k, v in value.items())}}}"
    return repr(value)
