"""People round the targets, and how far they leave a target in sight."""

from __future__ import annotations

import numpy as np

from standmark.geometry.sightlines.blockage import BODY_HEIGHT_M, Crowd, clear_share, crowd_round
from standmark.geometry.view.line_of_sight import LinesOfSight, Reals
from standmark.optimizer.value.targets import Targets


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
