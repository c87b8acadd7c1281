"""The card of a walk as a picture: everything on it, nothing off the page, the stations where the plan has them."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from standmark.cli.drawing.follow_card import HEIGHT_MM, WIDTH_MM, card_picture, cards_picture
from standmark.cli.drawing.follow_ground import walk_on_plan_marks, zone_lines
from standmark.cli.drawing.ground import fit_ground
from standmark.cli.drawing.marks import Fill, Line, Words
from standmark.cli.drawing.palette import STYLES
from standmark.cli.drawing.plan import plan_bounds
from standmark.cli.drawing.text_size import text_width_mm
from standmark.cli.open.walk_data import walks_data
from standmark.cli.words.roam_words import follow_card
from standmark.optimizer.match.match import Roam
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning import plan


@cache
def walked(sport):
    match = default_match(sport)
    return plan(replace(match, cameras=(replace(match.cameras[0], roam=Roam()),)))


@pytest.mark.parametrize("sport", ["american-football", "field-hockey"])
def test_a_card_holds_its_lines_within_its_edges(sport):
    found = walked(sport)
    follow = found.follow[0]
    card = card_picture(found, follow, follow.scenes[0])
    told = [mark for mark in card.marks if isinstance(mark, Words)]
    whole = " ".join(mark.text for mark in told)
    for _, when, where in follow_card(follow, follow.scenes[0], found.match).lines:
        assert all(word in whole for word in f"{when} {where}".split())
    for mark in told:
        wide = text_width_mm(mark.text, mark.size_mm, is_bold=STYLES[mark.style].is_bold)
        left = mark.x_mm - {"start": 0.0, "middle": wide / 2, "end": wide}[mark.anchor]
        assert left >= 0
        assert left + wide <= WIDTH_MM
        assert 0 <= mark.y_mm <= HEIGHT_MM
    for mark in card.marks:
        parts = mark.rings if isinstance(mark, Fill) else mark.parts if isinstance(mark, Line) else ()
        for xy in parts:
            assert np.all((xy >= -0.01) & (xy <= (WIDTH_MM + 0.01, HEIGHT_MM + 0.01)))


def test_a_plan_where_nobody_walks_has_no_cards():
    assert cards_picture(plan(default_match("badminton"))) is None
    assert cards_picture(walked("american-football")).height_mm == HEIGHT_MM


@pytest.mark.parametrize("sport", ["american-football", "field-hockey"])
def test_the_plan_shows_stations_zones_and_ways(sport):
    found = walked(sport)
    follow = found.follow[0]
    scene = follow.scenes[0]
    ground = fit_ground(plan_bounds(found), (0.0, 0.0, 180.0, 120.0))
    marks = list(walk_on_plan_marks(found, found.periods[0], ground, only=None))
    told = [mark.text for mark in marks if isinstance(mark, Words)]
    zones = zone_lines(follow, scene, scene.ours_x or 1)
    assert [text for text in told if text.startswith("ball: ")] == [f"ball: {n}" for n, _ in zones]
    discs = [mark.rings[0] for mark in marks if isinstance(mark, Fill) and mark.style == "station-0"]
    assert len(discs) == len(scene.card.lines)
    attack = scene.ours_x or 1
    for disc, line in zip(reversed(discs), scene.card.lines, strict=True):
        place = line.place if (line.attack_x or attack) > 0 else line.mirror
        middle = ground.point(*scene.stations.xyz_m[place, :2])
        assert np.allclose((disc.min(axis=0) + disc.max(axis=0)) / 2, middle, atol=0.05)
    goes = {line.place if attack > 0 else line.mirror for _, line in zones}
    dots = [mark for mark in marks if isinstance(mark, Fill) and mark.style == "camera-0"]
    assert len(dots) >= len(goes) - 1
    assert list(walk_on_plan_marks(found, found.periods[0], ground, only=1)) == []


def test_the_page_shows_the_same_stations_zones_and_words():
    found = walked("field-hockey")
    scene = found.follow[0].scenes[0]
    ((walk,),) = [data["scenes"] for data in walks_data(found)]
    ground = fit_ground(plan_bounds(found), (0.0, 0.0, 180.0, 120.0))
    marks = list(walk_on_plan_marks(found, found.periods[0], ground, only=None))
    discs = [mark.rings[0] for mark in marks if isinstance(mark, Fill) and mark.style == "station-0"]
    for disc, station in zip(reversed(discs), walk["stations"], strict=True):
        assert np.allclose((disc.min(axis=0) + disc.max(axis=0)) / 2, ground.point(*station["at"]), atol=0.05)
    ticks = [mark.parts[0][0, 0] for mark in marks if isinstance(mark, Line) and mark.style == "ray-0"]
    assert np.allclose(ticks, [ground.point(x, 0)[0] for zone in walk["zones"] for x in zone["span"]], atol=0.01)
    ends = [way[i] for way in walk["ways"] for i in (0, -1)]
    assert ends == [station["at"] for station in walk["stations"]]
    assert tuple(map(tuple, walk["lines"])) == follow_card(found.follow[0], scene, found.match).lines
    assert any("never across" in note for note in walk["notes"])
