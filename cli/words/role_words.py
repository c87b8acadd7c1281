"""What cameras with a role do, which ones keep the place of an earlier plan, and who could film wide."""

from __future__ import annotations

from standmark.cli.words.shares import about
from standmark.optimizer.planning import Plan

CAN_HOLD_WIDE = 0.5  # of the shape of play that a camera must hold to be called the wide one


def kept_words(plan: Plan) -> str:
    """Name the cameras that stay all match where they stood in the plan that was to be kept; empty for none."""
    held = [set(names) for _, names in plan.held]
    all_match = [
        c.name
        for c in plan.match.cameras
        if held and c.role not in ("wide", "faces") and all(c.name in names for names in held)
    ]
    if not all_match:
        return ""
    *most, last = all_match
    who = f"{', '.join(most)} and {last} stand" if most else f"{last} stands"
    return f"Camera{'s' if most else ''} {who} where the earlier plan had {'them' if most else 'it'}."


def role_words(plan: Plan) -> str:
    """Say what a wide camera holds, or whether one of several cameras could hold wide."""
    return wide_words(plan) or could_hold_words(plan)


def wide_words(plan: Plan) -> str:
    """Say for how much of the match the wide camera holds the shape of play; "" where none has that role."""
    wide = [c.name for c in plan.match.cameras if c.role == "wide"]
    if wide:
        share = [
            (p.period.minutes, a.role_share or 0.0) for p in plan.periods for a in p.assignments if a.camera == wide[0]
        ]
        held = sum(m * s for m, s in share) / sum(m for m, _ in share)
        return f"Camera {wide[0]} has the whole shape of play in the frame for {about(held)} of the match."
    return ""


def could_hold_words(plan: Plan) -> str:
    """Say which of several cameras without roles could film wide; "" where nobody asked."""
    if not plan.shape:
        return ""
    name, most = max(plan.shape, key=lambda pair: pair[1])
    if most < CAN_HOLD_WIDE:
        return 'No camera can film wide from its place; give one role = "wide" to plan for that.'
    return f"Camera {name} can also film wide: it'd show the shape of play for {about(most)} of the match."
