"""How a camera is held at its spot, in plain sentences."""

from __future__ import annotations

from standmark.cli.words.spots import focal_words
from standmark.cli.words.units import Units, height_words
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Assignment
from standmark.optimizer.work.hold import Hold, hold_at

POSTURES = {"sit": ("Sit.",), "kneel": ("Kneel.",), "stand": ()}
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


def hold_words(hold: Hold) -> str:
    """Say what to do with oneself and the camera; nothing for one who stands there with the usual support.

    >>> hold_words(Hold("sit", "hands", False, ""))
    'Sit. No tripod or monopod here: hold the camera by hand.'
    """
    said = list(POSTURES[hold.posture])
    if hold.carried_by and not hold.is_raised:  # the name of a raised place says it
        said.append(f"A lens this high needs {hold.carried_by}.")
    if not hold.is_own:
        said.append(INSTEAD[hold.support])
    return " ".join(said)
