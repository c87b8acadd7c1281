"""How a camera is held at its spot, in plain sentences."""

from __future__ import annotations

from standmark.optimizer.work.hold import Hold

POSTURES = {"sit": ("Sit.",), "kneel": ("Kneel.",), "stand": ()}
INSTEAD = {
    "tripod": "Use a tripod here.",
    "monopod": "No tripod here: use a monopod or your hands.",
    "hands": "No tripod or monopod here: hold the camera by hand.",
}


def hold_words(hold: Hold) -> str:
    """Say what to do with oneself and the camera; nothing for one who stands there with the usual support.

    >>> hold_words(Hold("sit", "hands", False, ""))
    'Sit. No tripod or monopod here: hold the camera by hand.'
    """
    said = list(POSTURES[hold.posture])
    if hold.carried_by:
        said.append(f"A lens this high needs {hold.carried_by}.")
    if not hold.is_own:
        said.append(INSTEAD[hold.support])
    return " ".join(said)
