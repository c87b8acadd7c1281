"""How a camera is held at its spot, in plain sentences."""

from __future__ import annotations

from standmark.cli.words.spots import focal_words
from standmark.cli.words.units import Units, height_words
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Assignment
from standmark.optimizer.work.hold import Hold, hold_at

POSTURES = {"sit": ("Sit.",), "kneel": ("Kneel.",), "stand": ()}
POSTURE_ENDS = {"sit": ", sitting", "kneel": ", kneeling", "stand": ""}
FORBIDDEN = {"monopod": "no tripod here", "hands": "no supports"}
SUPPORTS = {"hands": "held by hand"}
INSTEAD = {
    "tripod": "Use a tripod here.",
    "monopod": "No tripod here: use a monopod or your hands.",
    "hands": "No tripod or monopod here: hold the camera by hand.",
}


def kit_words(assignment: Assignment, match: Match, units: Units) -> str:
    """Focal lengths, what holds the camera at its place, and the height of the lens."""
    camera = next(c for c in match.cameras if c.name == assignment.camera)
    hold = hold_at(match, camera, assignment.spot)
    support = camera.support.name if hold.is_own else SUPPORTS.get(hold.support, hold.support)
    return f"{focal_words(assignment)}, {support}, lens {height_words(assignment.spot.z_m, units)} up"


def kit_and_posture(assignment: Assignment, match: Match, units: Units) -> str:
    """Kit, what the place doesn't allow, and the posture: "70-200 mm, monopod (no tripod here), ..., kneeling"."""
    camera = next(c for c in match.cameras if c.name == assignment.camera)
    hold = hold_at(match, camera, assignment.spot)
    said = kit_words(assignment, match, units)
    if not hold.is_own and hold.support in FORBIDDEN:
        support = SUPPORTS.get(hold.support, hold.support)
        said = said.replace(support, f"{support} ({FORBIDDEN[hold.support]})", 1)
    return f"{said}{POSTURE_ENDS[hold.posture]}"


def carried_words(hold: Hold) -> str:
    """Say what a high lens needs under it; "" where the place has it, or where somebody simply holds the camera."""
    return f"A lens this high needs {hold.carried_by}." if hold.carried_by and not hold.is_raised else ""


def hold_words(hold: Hold) -> str:
    """Say what to do with oneself and the camera; nothing for one who stands there with the usual support.

    >>> hold_words(Hold("sit", "hands", False, ""))
    'Sit. No tripod or monopod here: hold the camera by hand.'
    """
    said = list(POSTURES[hold.posture])
    said += filter(None, (carried_words(hold),))
    if not hold.is_own:
        said.append(INSTEAD[hold.support])
    return " ".join(said)
