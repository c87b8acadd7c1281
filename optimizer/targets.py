"""What has to be seen: the key moments of one period, sampled over their zones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Targets:
    """One row for each sampled place of a key moment; weights sum to 1 over the period."""

    xyz_m: Floats  # shape (n, 3), middle of the action
    weight: Floats  # shape (n,)
    moment: NDArray[np.intp]  # shape (n,), index into moment_keys
    moment_keys: tuple[str, ...]
    facing_rad: Floats  # shape (n,), mean direction the faces look
    facing_pull: Floats  # shape (n,), exp(-spread^2 / 2): 1 one direction, 0 any direction
    faces_matter: Floats  # shape (n,), 0..1
    extent_m: Floats  # shape (n, 2), width and height to hold
    subject_m: Floats  # shape (n,), height of the subject
    action_m: Floats  # shape (n, 2), lowest and highest point
    speed_m_s: Floats  # shape (n,)
    crowd_per_m2: Floats  # shape (n,)
    crowd_radius_m: Floats  # shape (n,)
