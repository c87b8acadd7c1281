"""What a row of the search films with, lens and operator included, and which rows each camera may take."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.arrays import Indices
from standmark.geometry.optics.camera import Lens, Operator, RecordingMode, Support, delivery_crop
from standmark.optimizer.match.match import PRACTISED, Camera, Match


@dataclass(frozen=True)
class Outfit:
    """What one row films with: a recording mode, one lens, one support, and who points it."""

    mode: RecordingMode
    lens: Lens
    support: Support
    operator: Operator = PRACTISED


@dataclass(frozen=True, eq=False)
class Rows:
    """All pairs of position and outfit; row = outfit index x number of positions + position index."""

    outfits: tuple[Outfit, ...]
    n_positions: int
    by_camera: tuple[Indices, ...]  # rows that each camera may take

    def position(self, row: int) -> int:
        """Index of a row's position."""
        return row % self.n_positions

    def outfit(self, row: int) -> Outfit:
        """What a row films with."""
        return self.outfits[row // self.n_positions]


def camera_outfits(match: Match, camera: Camera) -> tuple[Outfit, ...]:
    """What a camera can film with: each of its lenses on the part of the recorded area that is delivered."""
    mode = delivery_crop(camera.mode, aspect=match.deliverable.aspect)
    return tuple(Outfit(mode, lens, camera.support, camera.operator) for lens in camera.lenses)
