"""The answer as the page reads it: where each camera stands, what it sees and gets, how to set it, and what happens."""

from __future__ import annotations

from typing import Any

import numpy as np

from standmark.cli.drawing.scene import match_scene
from standmark.cli.open.walk_data import walks_data
from standmark.cli.open.worth import Ground, Kept, packed
from standmark.cli.sheet.answers import camera_answers, camera_stays
from standmark.cli.sheet.data import frame_data, full_reach
from standmark.cli.words.dial import LABELS, dial_notes
from standmark.cli.words.plan_sections import day_of, planned_cards_in
from standmark.cli.words.proof_words import proof_words, sure_words
from standmark.cli.words.role_words import kept_words, role_words
from standmark.cli.words.strengths import few_faces_at, good_for, weak_at
from standmark.cli.words.summary import caution_words, gain_words
from standmark.cli.words.units import Units
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.role import role_wish
from standmark.optimizer.planning import Plan
from standmark.optimizer.value.outfit import camera_outfits


def answer_data(plan: Plan, kept: Kept) -> dict[str, Any]:
    """What a plan says before there is any advice."""
    match = plan.match
    grounds: list[Ground] = []
    for ground in kept.grounds.values():
        if all(ground is not g for g in grounds):
            grounds.append(ground)
    index = {key: next(i for i, g in enumerate(grounds) if g is ground) for key, ground in kept.grounds.items()}
    return {
        "proven": plan.proven,
        "left": round(max(plan.upper_bound - plan.coverage, 0.0), 6),
        "worth": round(plan.coverage, 6),
        "seen": round(plan.seen, 6),
        "words": {
            "get": gain_words(plan),
            "proof": proof_words(plan) if plan.proven else sure_words(plan),
            "more": " ".join(filter(None, (kept_words(plan), role_words(plan)))),
            "caution": caution_words(match),
        },
        "cameras": [camera_data(plan, i) for i in range(len(match.cameras))],
        "periods": [
            {
                "key": planned.period.key,
                "name": planned.period.name,
                "worth": round(planned.coverage, 6),
                "seen": round(planned.seen, 6),
                "stretch": index[planned.period.key],
                "moments": {key: round(share, 4) for key, share in planned.seen_by_moment.items()},
            }
            for planned in plan.periods
        ],
        "walks": walks_data(plan),
        "rings": _rings(grounds, index),
        "frame": frame_data(match, match_scene(match)),
    }


def set_up_data(plan: Plan) -> list[dict[str, Any]]:
    """How to set each camera, what to film with it, when to be there, and the cautions that concern it."""
    cards = planned_cards_in(plan, units=Units.METRIC)
    day = day_of(plan, cards)
    return [
        {
            "name": answer.name,
            "gets": [
                {"key": g.key, "name": g.name, "how": g.how, "hint": g.hint, "grades": list(g.grades)}
                for g in answer.gets
            ],
            "missed": answer.missed,
            "dial": {
                "rows": [[label, value] for label, value in zip(LABELS, answer.dial.cells, strict=True)],
                "focus_on": answer.dial.focus_on,
                "notes": dial_notes(answer.dial),
                "warnings": list(answer.dial.warnings),
            },
            "times": [list(row) for row in answer.times],
            "cautions": list(answer.cautions),
        }
        for answer in camera_answers(plan, cards, day)
    ]


def camera_data(plan: Plan, index: int) -> dict[str, Any]:
    """Where one camera stands in each stretch, what it is good for and weak at."""
    camera = plan.match.cameras[index]
    return {
        "name": camera.name,
        "good": good_for(plan, camera.name),
        "weak": weak_at(plan, camera.name),
        "faces": few_faces_at(plan, camera.name),
        "stays": [
            {
                "periods": [p.period.key for p in stay.periods],
                "when": stay.when,
                "at": [round(v, 3) for v in (spot.x_m, spot.y_m, spot.z_m)],
                "area": spot.area,
                "where": stay.where.words,
                "name": stay.where.name,
                "detail": stay.where.detail,
                "lens": a.lens.name,
                "focal_mm": [round(v, 1) for v in a.focal_mm],
                "lens_mm": list(a.lens.focal_mm),
                **recorded(plan.match, index),
                "pan_deg": list(a.pan_deg),
                "kit": stay.kit,
                "held": stay.held,
                "walk": stay.walk_words,
                "walk_m": [] if stay.walk is None else [[round(x, 2), round(y, 2)] for x, y in stay.walk.points_m],
                "share": round(a.seen, 4),
                "carried": round(a.carried, 4),
                "missing": stay.missing,
            }
            for stay in camera_stays(plan, index)
            for a in [stay.assignment]
            for spot in [a.spot]
        ],
    }


def recorded(match: Match, index: int) -> dict[str, Any]:
    """What a camera records, and at which distance for each millimetre of focal length it films each moment [m/mm]."""
    camera = match.cameras[index]
    mode = camera_outfits(match, camera)[0].mode
    reach = full_reach(match, mode, role_wish(match, camera))
    return {"mm": [mode.width_mm, mode.height_mm], "px": [mode.width_px, mode.height_px], "reach": reach}


def _rings(grounds: list[Ground], index: dict[str, int]) -> dict[str, Any]:
    """What happens in each cell, and what each camera gets of it, one byte each."""
    first = grounds[0].mesh
    return {
        "step_m": round(first.step_m, 3),
        "stretches": [
            {
                "periods": [key for key, i in index.items() if i == at],
                "xy": [float(v) for v in ground.mesh.xy_m.round(2).ravel()],
                "amount": packed(ground.mesh.worth / ground.mesh.worth.max()),
                "captured": [packed(shares) for shares in ground.captured],
                "moment": _most(ground),
            }
            for at, ground in enumerate(grounds)
        ],
    }


def _most(ground: Ground) -> str:
    """Kind of moment that happens most in each cell, as its index, one byte each."""
    mesh = ground.mesh
    order = np.lexsort((mesh.targets.weight, mesh.cell))
    top = np.zeros(len(mesh.worth))
    top[mesh.cell[order]] = mesh.targets.moment[order]  # the weightiest comes last and stays
    return packed(top / 255)
