"""What kinds of place there are to film from: what carries the lens, and what one may do there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Posture = Literal["sit", "kneel", "stand"]
HeldBy = Literal["tripod", "monopod", "hands"]

POSTURES: tuple[Posture, ...] = ("sit", "kneel", "stand")
SUPPORTS: tuple[HeldBy, ...] = ("tripod", "monopod", "hands")
# Lens height above what the operator stands or sits on, by posture, and where the eye is; common practice, no source.
POSTURE_LENS_M: dict[Posture, tuple[float, float]] = {"sit": (0.4, 1.0), "kneel": (0.7, 1.3), "stand": (1.3, 1.9)}
POSTURE_EYE_M: dict[Posture, float] = {"sit": 0.8, "kneel": 1.2, "stand": 1.6}
OVER_HEAD_LENS_M = 1.9  # a lens higher than this needs something to stand on; common practice, no source
OVERHEAD_M = 2.5  # a floor this high has room for people under it; common practice, no source


@dataclass(frozen=True)
class PlaceKind:
    """One kind of place."""

    key: str
    carries: str  # what holds the lens up there, as the end of "from ..."
    supports: tuple[HeldBy, ...] = SUPPORTS
    postures: tuple[Posture, ...] = ("stand",)


GROUND = PlaceKind("ground", "steps or a platform that the ground agrees to, with a tripod", SUPPORTS, POSTURES)
KINDS = {
    kind.key: kind
    for kind in (
        GROUND,
        PlaceKind("bank", "the grass bank and a tripod"),
        PlaceKind("low-bleacher", "a low bench stand", ("monopod", "hands"), ("sit", "stand")),
        PlaceKind("bleacher", "the top rows of a bench stand", ("monopod", "hands"), ("sit", "stand")),
        PlaceKind("stand-row", "a seat in the stand", ("monopod", "hands"), ("sit", "stand")),
        PlaceKind("terrace", "a standing terrace", ("monopod", "hands")),
        PlaceKind("gantry", "a camera gantry and a tripod"),
        PlaceKind("press-box", "the press box"),
        PlaceKind("press-box-roof", "the railed roof of the press box and a tripod"),
        PlaceKind("balcony", "a balcony"),
        PlaceKind("clubhouse", "the clubhouse balcony"),
        PlaceKind("scaffold", "a scaffold tower with rails, built by somebody who is qualified, and a tripod"),
        PlaceKind("step", "a low platform or stable steps"),
        PlaceKind("wall", "the wall above the playing area"),
    )
}
RAISED_KINDS = tuple(key for key in KINDS if key != GROUND.key)


def lens_range_m(postures: Sequence[Posture]) -> tuple[float, float]:
    """Lowest and highest lens height above the ground for people who may take these postures.

    >>> lens_range_m(("sit", "kneel"))
    (0.4, 1.3)
    """
    low, high = zip(*(POSTURE_LENS_M[posture] for posture in postures), strict=True)
    return min(low), max(high)


def posture_at(height_m: float, postures: Sequence[Posture] = POSTURES) -> Posture:
    """Posture of those allowed whose eye is nearest to a lens so high above what the operator stands on.

    >>> posture_at(0.6), posture_at(1.15), posture_at(2.4)
    ('sit', 'kneel', 'stand')
    """
    return min(postures, key=lambda posture: (abs(POSTURE_EYE_M[posture] - height_m), posture))
