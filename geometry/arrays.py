"""Names of the kinds of arrays that all floors use."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]  # where speed and memory count
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]
