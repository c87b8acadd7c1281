"""A walk with play as plain data: stations, card, and what each way to work covers."""

from __future__ import annotations

from typing import Any

from standmark.cli.exports.advice_json import spot_document
from standmark.cli.words.roam_words import follow_card
from standmark.optimizer.match.match import Match
from standmark.optimizer.roam.card import CardLine
from standmark.optimizer.roam.follow import FollowPlan, Method, SceneFollow
from standmark.optimizer.work.assignment import spot_at


def follow_document(follow: FollowPlan, match: Match) -> dict[str, Any]:
    """Lay out the walk of one camera; shares are rounded to six places, metres to whole ones."""
    return {
        "camera": follow.camera.name,
        "speed_m_s": None if follow.camera.roam is None else follow.camera.roam.speed_m_s,
        "upper_bound": round(follow.upper_bound, 6),
        "free": round(follow.free, 6),
        "km_must_add": round(follow.worth_of_km, 6),
        "methods": [_method(m) for m in follow.methods],
        "beside": [
            {
                "camera": b.camera,
                "periods": [p.key for p in b.periods],
                "lens": b.lens,
                "position": spot_document(b.spot, match),
            }
            for b in follow.beside
        ],
        "curve": [_method(m) for m in follow.curve],
        "cards": [_card(follow, scene, match) for scene in follow.scenes],
    }


def _method(method: Method) -> dict[str, Any]:
    return {
        "name": method.name,
        "coverage": round(method.coverage, 6),
        "walked_m": round(method.walked_m),
        "longest_m": round(method.longest_m),
    }


def _card(follow: FollowPlan, scene: SceneFollow, match: Match) -> dict[str, Any]:
    told = follow_card(follow, scene, match)
    return {
        "periods": [p.key for p in scene.periods],
        "lenses": [lens.name for lens in scene.stations.lenses],
        "is_mirrored": scene.card.is_mirrored,
        "coverage": round(scene.card.average.reward, 6),
        "policy_coverage": round(scene.policy.reward, 6),
        "upper_bound": round(scene.upper_bound, 6),
        "lines": [
            _line(line, said, where, scene, match)
            for line, (_, said, where) in zip(scene.card.lines, told.lines, strict=False)
        ],
    }


def _line(line: CardLine, said: str, where: str, scene: SceneFollow, match: Match) -> dict[str, Any]:
    """One line, with its places for an attack toward +x and toward -x."""
    spots = {
        sign: spot_document(_spot(scene, place, match), match)
        for sign, place, holds in (("+x", line.place, line.attack_x >= 0), ("-x", line.mirror, line.attack_x <= 0))
        if holds
    }
    return {
        "kinds": list(line.kinds),
        "from_m": round(line.low_m, 2),
        "to_m": round(line.high_m, 2),
        "ahead_m": line.ahead_m,
        "places": spots,
        "when": said,
        "where": where,
    }


def _spot(scene: SceneFollow, place: int, match: Match) -> Any:
    area = match.venue.allowed[int(scene.stations.area[place])].key
    return spot_at(area, *scene.stations.xyz_m[place])
