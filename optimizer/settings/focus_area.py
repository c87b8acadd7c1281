"""Where the autofocus should look, by how wide the shot is."""

from __future__ import annotations

WIDE_BELOW_SHARE = 0.2  # of the frame height: many people small in the frame
TIGHT_FROM_SHARE = 0.9  # head to toe and closer


def focus_area(subject_share: float, *, by_hand: str) -> str:
    """Advise on focus area and drive, in generic terms.

    Common practice, no source.

    Parameters
    ----------
    subject_share : share of the frame height that the subject fills
    by_hand : focus distance for a lens that is left alone, in words
    """
    if subject_share < WIDE_BELOW_SHARE:
        return (
            f"focus by hand at {by_hand} and leave it, or one area "
            "across the middle; a wide automatic area runs to boards, nets and the crowd in front."
        )
    if subject_share < TIGHT_FROM_SHARE:
        return (
            "continuous focus, a small flexible area held on the player with the ball, set to be "
            "slow to let go when someone crosses."
        )
    return (
        "person or eye tracking with a small area to fall back on; start it early, and keep the chest in "
        "the area when the face turns away."
    )
