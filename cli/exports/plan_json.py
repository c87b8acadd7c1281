"""The plan as a JSON document: stable keys, SI units, sorted, no NaN. docs/plan-json.md lists every key."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from standmark.cli.exports.advice_json import advice_part, camera_part, period_part, spot_document
from standmark.cli.exports.follow_json import follow_document
from standmark.cli.words.advice_words import stage_advice
from standmark.cli.words.naming import why_words
from standmark.cli.words.plain_data import document_bytes
from standmark.geometry.kept import kept
from standmark.optimizer.advice import StageAdvice
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.work.assignment import Assignment, PeriodPlan
from standmark.optimizer.work.danger import spot_dangers
from standmark.optimizer.work.duty import Duty
from standmark.optimizer.work.hold import hold_at

SCHEMA = "standmark.plan/1"


def plan_document(plan: Plan) -> dict[str, Any]:
    """Lay a plan out as plain data; shares are rounded to six places, coverage and its bound to twelve."""
    match = plan.match
    return {
        "schema": SCHEMA,
        "sport": match.sport.key,
        "preset": match.sport.preset,
        "title": match.title,
        "venue": match.venue.name,
        "deliverable": match.deliverable.key,
        "first_attack": match.first_attack,
        "side_names": dict(match.venue.side_names),
        "playing_area": {"length_m": match.sport.area.length_m, "width_m": match.sport.area.width_m},
        "rules": rules_document(match),
        "coverage": round(plan.coverage, 12),
        "upper_bound": round(plan.upper_bound, 12),
        "seen": _share(plan.seen),
        "faces": _share(plan.faces),
        "proven": plan.proven,
        "message": plan.message,
        "candidates": plan.n_candidates,
        "second_angle": _share(plan.second_angle),
        "can_hold_wide": [{"camera": name, "share": round(share, 6)} for name, share in plan.shape],
        "roles": None
        if plan.roles is None
        else {
            "value": round(plan.roles.value, 6),
            "upper_bound": round(plan.roles.upper_bound, 6),
            "proven": plan.roles.is_proven,
        },
        "held": [{"period": key, "cameras": list(names)} for key, names in plan.held],
        "given_up": _shares(asdict(plan.given_up)),
        "assumed_kit": [{"camera": c.name, "kit_of": c.kit_of} for c in match.cameras if c.kit_of is not None],
        "crossings": [
            {
                "period": c.period,
                "moment": c.moment,
                "attack": c.attack,
                "weight": round(c.weight, 6),
                "right": [c.right],
                "left": [c.left],
            }
            for c in plan.crossings
        ],
        "periods": [_period(period, plan) for period in plan.periods],
        "follow": [follow_document(f, match) for f in plan.follow],
        "advice": None if plan.advice is None else advice_part(plan.advice, match),
    }


@kept(2)  # the phone page names the plan by its bytes
def plan_bytes(plan: Plan) -> bytes:
    """Write the document as UTF-8 JSON with a final newline."""
    return document_bytes(plan_document(plan))


def rules_document(match: Match) -> dict[str, Any] | None:
    """Rules of the competition that a match keeps to, and the places that they take away; None: it keeps to none."""
    if match.profile is None:
        return None
    removed = [{"name": place.name, "reason": place.reason} for place in match.venue.removed]
    profile = match.profile
    return {
        "key": profile.key,
        "name": profile.name,
        "year": profile.year,
        "source": profile.source,
        "removed": removed,
        "wear": profile.wear,
        "say": list(profile.say),
    }


def _period(period: PeriodPlan, plan: Plan) -> dict[str, Any]:
    told = stage_advice(plan.advice, period.period.key)
    more = {} if told is None or plan.advice is None else period_part(told, plan.handover(period), plan.match)
    return more | period_document(period, plan.match, told=told)


def period_document(period: PeriodPlan, match: Match, *, told: StageAdvice | None = None) -> dict[str, Any]:
    """Lay what cameras cover in one period out as plain data, with what the advice adds to each."""
    return {
        "key": period.period.key,
        "name": period.period.name,
        "minutes": period.period.minutes,
        "coverage": round(period.coverage, 12),
        "by_moment": _shares(period.by_moment),
        "seen": _share(period.seen),
        "seen_by_moment": _shares(period.seen_by_moment),
        "faces": _share(period.faces),
        "faces_by_moment": _shares(period.faces_by_moment),
        "second_angle": _share(period.second_angle),
        "second_angle_by_moment": _shares(period.second_angle_by_moment),
        "duties": [_duty(duty) for duty in period.duties],
        "cameras": [_camera(assignment, told, match) for assignment in period.assignments],
    }


def _duty(duty: Duty) -> dict[str, Any]:
    return {
        "moment": duty.moment,
        "attack": duty.attack,
        "weight": _share(duty.weight),
        "coverage": _share(duty.coverage),
        "seen": _share(duty.seen),
        "faces": _share(duty.faces),
        "lost": _share(duty.lost),
        "primary": duty.primary,
        "primary_share": _share(duty.primary_share),
        "second": duty.second,
        "second_angle": _share(duty.second_angle),
        "angle_deg": None if duty.angle_deg is None else round(duty.angle_deg, 1),
        "wide": duty.wide,
        "tight": duty.tight,
        "crosses_line": duty.crosses_line,
    }


def _camera(assignment: Assignment, stage: StageAdvice | None, match: Match) -> dict[str, Any]:
    told = None if stage is None else next(c for c in stage.cameras if c.camera == assignment.camera)
    more = {} if told is None else camera_part(told, match)
    hold = hold_at(match, next(c for c in match.cameras if c.name == assignment.camera), assignment.spot)
    return more | {
        "name": assignment.camera,
        "position": spot_document(assignment.spot, match),
        "posture": hold.posture,
        "support": hold.support,
        "carried_by": hold.carried_by,
        "lens": assignment.lens.name,
        "kit": _kit(assignment, match),
        "focal_mm": list(assignment.focal_mm),
        "pan_deg": list(assignment.pan_deg),
        "tilt_deg": list(assignment.tilt_deg),
        "coverage": _share(assignment.coverage),
        "by_moment": _shares(assignment.by_moment),
        "seen": _share(assignment.seen),
        "seen_by_moment": _shares(assignment.seen_by_moment),
        "faces": _share(assignment.faces),
        "faces_by_moment": _shares(assignment.faces_by_moment),
        "carried": _share(assignment.carried),
        "factors": _shares(assignment.factors),
        "factors_by_moment": {key: _shares(value) for key, value in assignment.factors_by_moment.items()},
        "limit": assignment.limit,
        "role": assignment.role,
        "role_share": None if assignment.role_share is None else round(assignment.role_share, 6),
        "dangers": [{"name": d.name, "text": d.text} for d in spot_dangers(match, assignment.spot)],
        "why": why_words(assignment, match, limit=more["limits"]["words"] if more else ""),
    }


def _kit(assignment: Assignment, match: Match) -> dict[str, Any]:
    """What a camera's promise was worked out with: a log is held against it."""
    camera = next(c for c in match.cameras if c.name == assignment.camera)
    outfit = next(o for o in camera_outfits(match, camera) if o.lens == assignment.lens)
    return {
        "mode": outfit.mode.name,
        "width_mm": outfit.mode.width_mm,
        "height_mm": outfit.mode.height_mm,
        "width_px": outfit.mode.width_px,
        "height_px": outfit.mode.height_px,
        "lens_mm": list(outfit.lens.focal_mm),
        "support": outfit.support.name,
        "pan_deg_s": outfit.support.pan_deg_s,
        "tilt_deg_s": outfit.support.tilt_deg_s,
        "delay_s": outfit.operator.delay_s,
    }


def _share(value: float) -> float:
    return round(float(value), 6)


def _shares(values: dict[str, float]) -> dict[str, float]:
    return {key: _share(value) for key, value in values.items()}
