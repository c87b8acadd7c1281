"""What of the value hangs on people alone: how far others leave the subject in sight, and whether it shows its face."""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.compiled import kernel
from standmark.geometry.view.facing import facing_share, toward_lens
from standmark.geometry.view.line_of_sight import lines_of_sight
from standmark.optimizer.value.crowd import crowd_of, share_past_people
from standmark.optimizer.value.packed import NAME, fill_people
from standmark.optimizer.value.targets import Targets

AT_ONCE = 64  # positions
LEAST_WORTH = 1e-3  # that a wish for faces leaves: less is not told from nothing


def people_shares(positions_m: Floats, targets: Targets) -> tuple[Singles, Singles]:
    """Share of every target in sight past other people, and share of its picture that shows faces.

    Parameters
    ----------
    positions_m : shape (p, 3), lens positions

    Returns
    -------
    clear, faces : shape (p, t)
    """
    clear, faces = (np.empty((len(positions_m), len(targets.weight)), np.float32) for _ in range(2))
    compiled = kernel(NAME)
    if compiled is not None:
        fill_people(compiled, clear, faces, positions_m, targets)
        return clear, faces
    crowd = crowd_of(targets)
    for first in range(0, len(positions_m), AT_ONCE):
        part = slice(first, first + AT_ONCE)
        sight = lines_of_sight(positions_m[part], targets.xyz_m, dtype=np.float32)
        toward = toward_lens(sight, targets.facing_rad)
        clear[part] = share_past_people(sight, toward, targets, crowd)
        faces[part] = facing_share(toward, facing_pull=targets.facing_pull)
    return clear, faces


def face_worth(faces: Singles, *, faces_matter: Floats, wish: float) -> Singles:
    """Share of the value that a wish for faces leaves, ``1 - f m (1 - faces)``.

    Parameters
    ----------
    faces : shape (..., t), share of the picture that shows faces
    faces_matter : shape (t,)
    """
    return np.asarray(1.0 - (wish * faces_matter).astype(np.float32) * (1.0 - faces))


def seen_of(quality: Singles, faces: Singles, *, faces_matter: Floats, wish: float) -> Singles:
    """Share captured usably, from what it is worth under a wish for faces; all of shape (..., t)."""
    worth = face_worth(faces, faces_matter=faces_matter, wish=wish)
    return np.asarray(quality / np.maximum(worth, np.float32(LEAST_WORTH)))
