"""Pictures as data between processes: laid out by one, painted by another."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np

from standmark.cli.drawing.marks import ANCHORS, Fill, Line, Mark, Picture, Words
from standmark.cli.drawing.palette import STYLES
from standmark.geometry.arrays import Floats


def pictures_bytes(pictures: Sequence[Picture]) -> bytes:
    """Write pictures as JSON, in hundredths of a millimetre."""
    data = [
        [p.width_mm, p.height_mm, p.title, p.description, [_mark_data(mark) for mark in p.marks]] for p in pictures
    ]  # fmt: skip
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode("utf-8")


def read_pictures(content: bytes) -> list[Picture]:
    """Read what `pictures_bytes` wrote: numbers, words and known styles, never markup.

    Raises
    ------
    ValueError, KeyError, TypeError : something else was found
    """
    return [
        Picture(width_mm, height_mm, tuple(_mark(mark) for mark in marks), title, description)
        for width_mm, height_mm, title, description, marks in json.loads(content)
    ]


def _mark_data(mark: Mark) -> list[Any]:
    match mark:
        case Fill():
            return ["f", mark.style, [_points(ring) for ring in mark.rings]]
        case Line():
            return ["l", mark.style, [_points(part) for part in mark.parts]]
        case Words():
            at = [round(mark.x_mm, 2), round(mark.y_mm, 2)]
            return ["w", mark.style, *at, mark.text, round(mark.size_mm, 2), mark.anchor, mark.turn_deg]


def _mark(data: list[Any]) -> Mark:
    kind, style, *rest = data
    STYLES[style]  # a style that nobody knows is refused
    if kind == "w":
        x_mm, y_mm, text, size_mm, anchor, turn_deg = rest
        if anchor not in ANCHORS:
            raise ValueError(f"unknown anchor {anchor!r}")
        return Words(style, float(x_mm), float(y_mm), str(text), float(size_mm), anchor, float(turn_deg))
    parts = tuple(np.array(part, dtype=float).reshape(-1, 2) for part in rest[0])
    return Fill(style, parts) if kind == "f" else Line(style, parts)


def _points(xy_mm: Floats) -> list[list[float]]:
    return [[round(x, 2), round(y, 2)] for x, y in xy_mm.tolist()]
