"""Where the autofocus should look, by how wide the shot is."""

from __future__ import annotations

from standmark.optimizer.settings.notation import length_text
from standmark.optimizer.settings.sharpness import Aperture

WIDE_BELOW_SHARE = 0.2  # of the frame height: many people small in the frame
TIGHT_FROM_SHARE = 0.9  # head to toe and closer


def focus_area(subject_share: float, *, sharp: Aperture, by_hand_m: float) -> str:
    """Advise on focus area and drive, in generic terms.

    Common practice, no source.

    Parameters
    ----------
    subject_share : share of the frame height that the subject fills
    by_hand_m : focus distance for a lens that is left alone
    """
    zone = f"{length_text(sharp.near_m)} to {length_text(sharp.far_m)}"
    if subject_share < WIDE_BELOW_SHARE:
        return (
            f"Wide shot: focus by hand at {length_text(by_hand_m)} and leave it ({zone} is sharp), or one area "
            "across the middle; a wide automatic area runs to boards, nets and the crowd in front."
        )
    if subject_share < TIGHT_FROM_SHARE:
        return (
            "Full figures: continuous focus with a small flexible area held on the player with the ball, set to be "
            f"slow to let go when someone crosses; sharp zone {zone}."
        )
    return (
        f"Tight shot: person or eye tracking with a small area to fall back on; only {zone} is sharp, so start the "
        "tracking early and keep the chest in the area when the face turns away."
    )
