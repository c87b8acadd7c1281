"""What of the value hangs on people alone: how far others leave the subject in sight, and whether it shows its face."""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Floats, Singles
from standmark.geometry.sightlines.blockage import BODY_HEIGHT_M, Crowd, clear_share, crowd_round
from standmark.geometry.view.facing import facing_share, toward_lens
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals, lines_of_sight
from standmark.optimizer.value.targets import Targets

AT_ONCE = 64  # positions


def crowd_of(targets: Targets) -> Crowd:
    """People round the targets; they are like the subject, but never lower than a standing adult."""
    return crowd_round(
        targets.crowd_per_m2,
        targets.crowd_radius_m,
        beyond_per_m2=targets.beyond_per_m2,
        body_height_m=np.maximum(BODY_HEIGHT_M, targets.subject_m),
        lean=targets.crowd_lean,
    )


def share_past_people(sight: LinesOfSight, toward: Reals, targets: Targets, crowd: Crowd) -> Reals:
    """Mean share of every target in sight past other people, shape (p, t)."""
    return clear_share(sight, crowd, subject_m=targets.subject_m, feet_m=targets.feet_m, toward=toward)


def people_shares(positions_m: Floats, targets: Targets) -> tuple[Singles, Singles]:
    """Share of every target in sight past other people, and share of its picture that shows faces.

    Parameters
    ----------
    positions_m : shape (p, 3), lens positions

    Returns
    -------
    clear, faces : shape (p, t)
    """
    crowd = crowd_of(targets)
    clear, faces = (np.empty((len(positions_m), len(targets.weight)), np.float32) for _ in range(2))
    for first in range(0, len(positions_m), AT_ONCE):
        part = slice(first, first + AT_ONCE)
        sight = lines_of_sight(positions_m[part], targets.xyz_m, dtype=np.float32)
        toward = toward_lens(sight, targets.facing_rad)
        clear[part] = share_past_people(sight, toward, targets, crowd)
        faces[part] = facing_share(toward, facing_pull=targets.facing_pull)
    return clear, faces
