"""The rows of the search: which lens, on which camera body and support, at which position."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.camera import Lens, RecordingMode, Support
from standmark.optimizer.candidates import Candidates, camera_positions
from standmark.optimizer.match import Match


@dataclass(frozen=True)
class Outfit:
    """What one row films with: a recording mode, one lens, one support."""

    mode: RecordingMode
    lens: Lens
    support: Support


@dataclass(frozen=True, eq=False)
class Rows:
    """All pairs of position and outfit; row = outfit index x number of positions + position index."""

    outfits: tuple[Outfit, ...]
    n_positions: int
    by_camera: tuple[NDArray[np.intp], ...]  # rows that each camera may take

    def position(self, row: int) -> int:
        """Index of a row's position."""
        return row % self.n_positions

    def outfit(self, row: int) -> Outfit:
        """What a row films with."""
        return self.outfits[row // self.n_positions]


def match_rows(match: Match, candidates: Candidates) -> Rows:
    """Pair every position with every outfit of the match, and say which rows each camera may take."""
    outfits = tuple(
        dict.fromkeys(Outfit(camera.mode, lens, camera.support) for camera in match.cameras for lens in camera.lenses)
    )
    n = len(candidates.xyz_m)
    by_camera = []
    for camera in match.cameras:
        positions = camera_positions(match, candidates, camera)
        own = [outfits.index(Outfit(camera.mode, lens, camera.support)) for lens in camera.lenses]
        by_camera.append(np.sort(np.concatenate([positions + index * n for index in own])))
    return Rows(outfits, n, tuple(by_camera))
