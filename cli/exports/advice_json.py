"""Advice as plain data: what is added to cameras and periods of the plan document, and its own part at the top."""

from __future__ import annotations

from typing import Any

from standmark.cli.exports.spreadsheet import csv_rows
from standmark.cli.words.advice_words import limit_words
from standmark.cli.words.ask_words import ask_area, ask_name
from standmark.cli.words.naming import place_words
from standmark.optimizer.advice import Advice, CameraAdvice, StageAdvice
from standmark.optimizer.advice.bag import BagAdvice
from standmark.optimizer.advice.fallback import Fallback
from standmark.optimizer.advice.handover import Handover
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot
from standmark.optimizer.work.walk import Walk


def spot_document(spot: Spot, match: Match) -> dict[str, Any]:
    """Lay out a position with its words."""
    return {
        "id": spot.id,
        "x_m": spot.x_m,
        "y_m": spot.y_m,
        "z_m": spot.z_m,
        "area": spot.area,
        "words": place_words(spot, match),
    }


def walk_document(walk: Walk) -> dict[str, Any]:
    """Lay out a way on foot: true metres, minutes with kit, paces, its corners, what it has to cross."""
    return {
        "distance_m": round(walk.length_m, 2),
        "minutes": round(walk.minutes, 1),
        "paces": walk.paces,
        "way_m": [[round(x, 2) + 0.0, round(y, 2) + 0.0] for x, y in walk.points_m],
        "crosses": walk.crosses,
    }


def camera_part(told: CameraAdvice, match: Match) -> dict[str, Any]:
    """What advice adds to one camera of one period."""
    return {
        "fallback": _fallback(told.fallback, match),
        "other_area": _fallback(told.other_area, match),
        "tolerance_m": {
            d.direction: {"one_point": d.one_point_m, "three_points": d.three_points_m, "edge": d.edge_m}
            for d in told.tolerance
        },
        "limits": {
            "factor": told.limits.factor,
            "cost": {name: _share(cost) for name, cost in told.limits.cost.items()},
            "remedies": [
                {"change": r.change, "amount": round(r.amount, 3), "gain": _share(r.gain)} for r in told.limits.remedies
            ],
            "words": limit_words(told.limits),
        },
    }


def period_part(stage: StageAdvice, lines: tuple[Handover, ...], match: Match) -> dict[str, Any]:
    """What advice adds to one period."""
    more = stage.next_camera
    return {
        "next_camera": None if more is None else {
            "position": spot_document(more.spot, match), "lens": more.lens.name, "gain": _share(more.gain)
        },
        "handover": [{"cameras": list(line.cameras), "points_m": [list(p) for p in line.points_m]} for line in lines],
    }  # fmt: skip


def bag_document(bag: BagAdvice) -> dict[str, Any]:
    """Lay out what the sport asks of the bag, how far it reaches, and what to hire."""
    hire = bag.hire
    return {
        "asked_mm": list(bag.asked_mm),
        "longest_mm": round(bag.longest_mm, 1),
        "is_short": bag.is_short,
        "coverage": _share(bag.coverage),
        "seen": _share(bag.seen),
        "hire": None if hire is None else {
            "lens": hire.lens.name, "focal_mm": list(hire.lens.focal_mm), "camera": hire.camera,
            "coverage": _share(hire.coverage), "seen": _share(hire.seen), "gain": _share(hire.gain),
        },
    }  # fmt: skip


def advice_part(advice: Advice, match: Match) -> dict[str, Any]:
    """Lay out advice on the whole match."""
    return {
        "intervals": [
            {
                "before": i.before,
                "after": i.after,
                "gain": _maybe(i.gain),
                "cameras": [
                    {"name": m.camera, **walk_document(m.walk), "gain": _maybe(m.gain)} for m in i.moves
                ],
            }
            for i in advice.intervals
        ],
        "toss": [
            {
                "first_attack": o.first_attack,
                "stay": _share(o.stay),
                "best": _share(o.best),
                "switches": [
                    {"period": s.period, "camera": s.camera, "position": spot_document(s.spot, match),
                     "lens": s.lens.name, **walk_document(s.walk)}
                    for s in o.switches
                ],
            }
            for o in advice.toss
        ],
        "refused_areas": [
            {"area": r.area, "coverage": _maybe(r.coverage), "loss": _maybe(r.loss)} for r in advice.refusals
        ],
        "ask": [
            {"area": a.area, "name": ask_name(a, match), "kind": ask_area(a, match).kind, "camera": a.camera,
             "position": spot_document(a.spot, match), "height_m": a.spot.z_m, "lens": a.lens.name,
             "coverage": _share(a.coverage), "gain": _share(a.gain)}
            for a in advice.ask
        ],
        "objections": [
            {"rules": o.profile, "name": o.name, "camera": o.camera, "reasons": list(o.reasons)}
            for o in advice.objections
        ],
        "height": [
            {"side": h.side, "name": match.venue.side_names[h.side], "x_m": round(h.x_m, 2), "y_m": round(h.y_m, 2),
             "height_m": h.height_m, "lens": h.lens.name, "coverage": _share(h.coverage),
             "seen": _share(h.seen)}
            for h in advice.height
        ],
        "refused_kinds": [
            {"kind": r.kind, "areas": list(r.areas), "coverage": _maybe(r.coverage), "loss": _maybe(r.loss)}
            for r in advice.kind_refusals
        ],
        "lost": [
            {
                "camera": gone.camera,
                "coverage": _maybe(gone.coverage),
                "seen": _maybe(gone.seen),
                "loss": _maybe(gone.loss),
                "cameras": [
                    {"periods": list(p.periods), "name": p.camera, "position": spot_document(p.spot, match),
                     "lens": p.lens.name, "moved": p.is_moved}
                    for p in gone.posts
                ],
            }
            for gone in advice.lost
        ],
        "one_side_loss": _maybe(advice.one_side_loss),
        "faces": [
            {"wish": t.wish, "seen": _share(t.seen), "faces": _share(t.faces), "coverage": _share(t.coverage),
             "proven": t.proven, "cameras": [
                {"period": s.period, "name": s.camera, "position": spot_document(s.spot, match), "lens": s.lens.name}
                for s in t.spots
             ]}
            for t in advice.faces
        ],
        "doubt": None if advice.doubt is None else {
            "draws": advice.doubt.n_draws, "as_good": _share(advice.doubt.as_good),
            "worst_regret": _share(advice.doubt.worst_regret),
        },
        "bag": None if advice.bag is None else bag_document(advice.bag),
        "kit": None if advice.kit is None else [
            {"lens": k.lens.name, "focal_mm": list(k.lens.focal_mm), "camera": k.camera, "coverage": _share(k.coverage),
             "seen": _share(k.seen), "gain": _share(k.gain), "proven": k.proven}
            for k in advice.kit
        ],
        "curve": None if advice.curve is None else [
            {"cameras": p.n_cameras, "coverage": _share(p.coverage), "upper_bound": _share(p.upper_bound),
             "proven": p.proven, "seen": _share(p.seen), "gain": _share(p.gain)}
            for p in advice.curve
        ],
    }  # fmt: skip


def spots_csv(advice: Advice) -> bytes:
    """Value of every allowed spot for every camera and period, the other cameras kept, as CSV; best first."""
    rows: list[tuple[Any, ...]] = [("period", "camera", "x_m", "y_m", "z_m", "coverage")]
    for stage in advice.stages:
        for period in stage.periods:
            for told in stage.cameras:
                xyz_m = (told.spots.xyz_m.round(3) + 0.0).tolist()
                shares = zip(xyz_m, told.spots.coverage.round(6).tolist(), strict=True)
                rows += [(period, told.camera, *place_m, share) for place_m, share in shares]
    return csv_rows(rows)


def _fallback(fallback: Fallback | None, match: Match) -> dict[str, Any] | None:
    if fallback is None:
        return None
    return {
        "position": spot_document(fallback.spot, match),
        "lens": fallback.lens.name,
        "coverage": _share(fallback.coverage),
        "loss": _share(fallback.loss),
    }


def _share(value: float) -> float:
    return round(float(value), 6)


def _maybe(value: float | None) -> float | None:
    return None if value is None else _share(value)
