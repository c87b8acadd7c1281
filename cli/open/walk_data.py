"""Cameras that walk with play, as the page shows them: the card, its stations, the ways, the zones of the ball."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from standmark.cli.drawing.follow_ground import camera_index, zone_lines, zone_on_ground
from standmark.cli.open.shapes import points
from standmark.cli.words.roam_words import follow_card
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.roam.follow import FollowPlan, SceneFollow
from standmark.optimizer.work.walk import walk_between


def walks_data(plan: Plan) -> list[dict[str, Any]]:
    """Every camera that walks, with one card for each stretch of the match."""
    return [
        {"camera": camera_index(plan.match, follow), "scenes": [_scene(plan.match, follow, s) for s in follow.scenes]}
        for follow in plan.follow
    ]


def _scene(match: Match, follow: FollowPlan, scene: SceneFollow) -> dict[str, Any]:
    attack = scene.ours_x or 1
    zones = zone_lines(follow, scene, attack)
    places = [line.place if attack > 0 else line.mirror for _, line in zones]
    card = follow_card(follow, scene, match)
    return {
        "periods": [period.key for period in scene.periods],
        "title": card.title,
        "kit": card.kit,
        "lines": [list(line) for line in card.lines],
        "notes": list(card.notes),
        "stations": list(_stations(scene, attack)),
        "zones": [
            {"number": number, "span": [round(attack * edge, 2) for edge in zone_on_ground(match, line)]}
            for number, line in (zones if len(zones) > 1 else ())
        ],
        "ways": [
            points(walk_between(match, *(_at(scene, place) for place in ends)).points_m)
            for ends in pairwise(places)
            if ends[0] != ends[1]
        ],
    }


def _stations(scene: SceneFollow, attack: int) -> Iterator[dict[str, Any]]:
    """Where each line of a card sends one, by its number."""
    for number, line in enumerate(scene.card.lines, start=1):
        at = _at(scene, line.place if (line.attack_x or attack) > 0 else line.mirror)
        yield {"number": number, "at": [round(v, 2) for v in at]}


def _at(scene: SceneFollow, place: int) -> tuple[float, float]:
    x, y = scene.stations.xyz_m[place, :2]
    return float(x), float(y)
