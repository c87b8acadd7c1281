"""What a row of the search films with, lens and operator included, and which rows each camera may take."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.arrays import Indices
from standmark.geometry.optics.camera import Lens, Operator, RecordingMode, Support, delivery_crop
from standmark.optimizer.match.match import PRACTISED, Camera, Match

SAME_RATE = 0.99  # 59.94 frames a second count as 60


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
    mode = delivery_crop(working_mode(match, camera), aspect=match.deliverable.aspect)
    return tuple(Outfit(mode, lens, camera.support, camera.operator) for lens in camera.lenses)


def asked_fps(match: Match) -> float:
    """Least frame rate that the film asks of its cameras."""
    return match.filming.least_fps or max(match.deliverable.min_fps, delivery_fps(match))


def delivery_fps(match: Match) -> float:
    """Frame rate that is delivered: after the mains, unless the match says."""
    return match.filming.delivery_fps or (25.0 if match.venue.mains_hz == 50.0 else 30.0)


def working_mode(match: Match, camera: Camera) -> RecordingMode:
    """Mode of a body that the film takes: the widest that has the frame rate asked for, else the fastest.

    Plan, frames and settings all film in it: a mode that crops makes the same lens longer.
    """
    modes = (camera.mode, *camera.more_modes)
    fast = [mode for mode in modes if max(mode.fps) >= asked_fps(match) * SAME_RATE]
    return max(fast, key=lambda mode: mode.width_mm) if fast else max(modes, key=lambda mode: max(mode.fps))
