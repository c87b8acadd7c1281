"""Where a camera could stand: sampled places in the allowed areas."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Candidates:
    """One row for each place and height."""

    xyz_m: NDArray[np.float64]  # shape (n, 3), lens position
    area: NDArray[np.intp]  # shape (n,), index into area_keys
    area_keys: tuple[str, ...]
