"""Why a shape is none, in words."""

from __future__ import annotations

import re

import shapely
from shapely.geometry.base import BaseGeometry

SAID = {"Self-intersection": "its edges cross", "Ring Self-intersection": "its edges touch"}


def why_unsound(geometry: BaseGeometry) -> str:
    """Say why a shape is not a simple one, and where.

    >>> why_unsound(shapely.Polygon([(0, 0), (4, 4), (4, 0), (0, 4)]))
    'its edges cross at 2, 2'
    """
    reason = shapely.is_valid_reason(geometry)
    parts = re.fullmatch(r"([^\[]+)\[(\S+) (\S+)\]", reason)
    if parts is None:
        return f"not a simple shape: {reason}"
    what = SAID.get(parts[1], f"not a simple shape: {parts[1]}")
    return f"{what} at {float(parts[2]):.6g}, {float(parts[3]):.6g}"
