"""Plans that the tests of drawings, sheets and exports share; each is made once."""

from __future__ import annotations

import json
import textwrap
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from standmark.cli.sheet.content import SheetContent, sheet_content
from standmark.optimizer.match.read_match import default_match, read_match
from standmark.optimizer.picture.stretch import Stretch, plan_stretches
from standmark.optimizer.planning import Plan, plan

PLACED = """
    [match]
    sport = "tennis"
    title = "Evening singles"
    start = 2027-06-12T17:00:00
    timezone = "Europe/Lisbon"
    [venue]
    name = "Court 3"
    latitude = 38.7
    longitude = -9.3
    bearing_deg = 70
    side_names = { "+x" = "road end", "-x" = "wood end" }
    usual_places = ["side", "end-plus-right", "end-minus-left"]
    [[venue.forbidden]]
    name = "umpire's path"
    polygon = [[-3, 9], [3, 9], [3, 12], [-3, 12]]
    [[venue.obstacle]]
    name = "hut"
    polygon = [[9, -11], [12, -11], [12, -9.5], [9, -9.5]]
    base_m = 0
    top_m = 2.2
    [[camera]]
    name = "A"
    [[camera]]
    name = "B"
    lenses = ["24-105/4"]
"""

HOSTILE = (
    "=cmd()<script>alert(1)</script>$\\frac{$ \u05e9\u05dc\u05d5\u05dd \U0001f3a5 {{7*7}} \u6771\u4eac &amp;</style>"
)
"""Markup, a formula, broken mathematics, right-to-left, an emoji, a template, letters that the paper font lacks."""


KNOWN: dict[int, tuple[Plan, tuple[Stretch, ...]]] = {}  # a plan is kept, so that its identity stays its own

CONTENTS: dict[int, SheetContent] = {}


@cache
def default_plan(sport: str, cameras: int = 2) -> Plan:
    """Plan of a sport with nothing else known."""
    return plan(default_match(sport, cameras=cameras), advice="quick")


@cache
def placed_plan() -> Plan:
    """Plan of a match with place, time, obstacles and two kits."""
    return planned_text(PLACED)


@cache
def walking_plan() -> Plan:
    """Plan of the example in which one camera changes ends at half-time: the most that a page has to say."""
    return plan(read_match(Path(__file__).parents[1] / "examples" / "heron-lane.toml"), advice="quick")


@cache
def long_plan() -> Plan:
    """Plan in which every name is long."""
    text = PLACED
    for short, long in {
        "Evening singles": "Evening singles of the county's over-forties second division, return leg",
        "Court 3": "The Bartholomew Memorial Recreation Ground, Court Number Three",
        "road end": "far end beside the allotments and the railway line",
        "wood end": "near end under the big copper beeches",
    }.items():
        text = text.replace(short, long)
    return planned_text(text)


@cache
def hostile_plan() -> Plan:
    """Plan in which every name tries to be something else."""
    text, quoted = PLACED, json.dumps(HOSTILE, ensure_ascii=False)
    for name in ("Evening singles", "Court 3", "road end", "umpire's path", "hut", "A"):
        text = text.replace(f'"{name}"', quoted)
    return planned_text(text)


def planned_text(text: str) -> Plan:
    """Plan a match file given as text."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "match.toml"
        path.write_text(textwrap.dedent(text), encoding="utf-8")
        return plan(read_match(path), advice="quick")


def stretches_of(found: Plan) -> tuple[Stretch, ...]:
    """Stretches of one of these plans."""
    if id(found) not in KNOWN:
        KNOWN[id(found)] = (found, plan_stretches(found))
    return KNOWN[id(found)][1]


def content_of(found: Plan) -> SheetContent:
    """What the sheets of one of these plans say."""
    if id(found) not in CONTENTS:
        CONTENTS[id(found)] = sheet_content(found, stretches_of(found))
    return CONTENTS[id(found)]
