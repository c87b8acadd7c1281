"""The rows of the search: every position with every outfit of the match."""

from __future__ import annotations

import numpy as np

from standmark.optimizer.choice.candidates import Candidates, camera_positions
from standmark.optimizer.match.match import Match
from standmark.optimizer.value.outfit import Outfit, Rows, camera_outfits


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
