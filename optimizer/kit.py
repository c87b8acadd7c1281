"""The rows of the search: which lens, on which camera body and support, at which position."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.camera import Lens, RecordingMode, Support, delivery_crop
from standmark.optimizer.candidates import Candidates, camera_positions
from standmark.optimizer.match import Camera, Match


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


def match_rows(match: Match, candidates: Candidates, *, outfits: tuple[Outfit, ...] | None = None) -> Rows:
    """Pair every position with every outfit of the match, and say which rows each camera may take.

    Parameters
    ----------
    outfits : all outfits, where there are more than those of the match or their order is given
    """
    kits = [camera_outfits(match, camera) for camera in match.cameras]
    outfits = outfits or tuple(dict.fromkeys(outfit for kit in kits for outfit in kit))
    n = len(candidates.xyz_m)
    by_camera = []
    for camera, kit in zip(match.cameras, kits, strict=True):
        positions = camera_positions(match, candidates, camera)
        by_camera.append(np.sort(np.concatenate([positions + outfits.index(outfit) * n for outfit in kit])))
    return Rows(outfits, n, tuple(by_camera))


def camera_outfits(match: Match, camera: Camera) -> tuple[Outfit, ...]:
    """What a camera can film with: each of its lenses on the part of the recorded area that is delivered."""
    mode = delivery_crop(camera.mode, aspect=match.deliverable.aspect)
    return tuple(Outfit(mode, lens, camera.support) for lens in camera.lenses)
