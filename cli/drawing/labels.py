"""Labels that do not run into each other: each is laid beside its anchor where it disturbs least."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.ground import Box
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, box_ring
from standmark.cli.drawing.palette import STYLES
from standmark.cli.drawing.text_size import text_width_mm
from standmark.geometry.arrays import Floats

TURNS = 16  # directions tried round an anchor
REACHES_MM = (0.5, 1.0, 3.0, 6.0, 10.0, 15.0, 22.0)
ROUNDS = 4
LINE_HEIGHT = 1.3
PAD_MM = 0.5
OVERLAP_COST = 100.0  # of a square millimetre shared with another label or a camera
LEADER_FROM_MM = 2.5
REACH = np.repeat(REACHES_MM, TURNS)  # of every try
TURN_RAD = [2 * math.pi * turn / TURNS for turn in range(TURNS)]
ALONG_X, ALONG_Y = (np.tile([f(turn) for turn in TURN_RAD], len(REACHES_MM)) for f in (math.cos, math.sin))


Shunned = tuple[BaseGeometry, float]


@dataclass(frozen=True)
class Label:
    """Lines of text that belong to a place."""

    x_mm: float  # anchor
    y_mm: float
    rows: tuple[tuple[str, str], ...]  # style, text
    size_mm: float
    clear_mm: float = 0.0  # radius round the anchor that stays free
    toward: tuple[float, float] = (0.0, 0.0)  # preferred direction on the page


@dataclass(frozen=True)
class LaidLabel:
    """A label with its place: left, top, width, height of its box."""

    label: Label
    box: Box


def lay_labels(
    labels: Sequence[Label], *, window: Box, taken: Sequence[Box] = (), shunned: Sequence[Shunned] = ()
) -> list[LaidLabel]:
    """Choose a place for every label, inside the window, off each other, off what is taken, best off what is shunned.

    One label after the other takes its cheapest place, a few times over, so that early ones can give way.

    Parameters
    ----------
    shunned : shapes on the page, each with the cost of a square millimetre of it that is covered; a millimetre
        further away costs 1
    """
    tries = [_tries(label, window) for label in labels]
    boxes = [own for own, _ in tries]
    fixed = [
        costs
        + OVERLAP_COST * _overlaps_mm2(own, taken).sum(axis=1)
        + sum(cost * _covered_mm2(own, shape) for shape, cost in shunned)
        for own, costs in tries
    ]
    chosen = [0] * len(labels)
    for round_ in range(ROUNDS):
        before = list(chosen)
        for index, own in enumerate(boxes):
            others = [i for i in range(len(labels)) if i < index or (round_ and i > index)]
            shared = _overlaps_mm2(own, [boxes[i][chosen[i]] for i in others]).sum(axis=1)
            chosen[index] = int(np.argmin(fixed[index] + OVERLAP_COST * shared))
        if chosen == before:
            break
    return [LaidLabel(label, _box(boxes[i][chosen[i]])) for i, label in enumerate(labels)]


def label_marks(laid: LaidLabel) -> Iterator[Mark]:
    """Draw a label on a plate that lifts it off what lies under it, with a leader where it stands away."""
    label, (left, top, width, height) = laid.label, laid.box
    near_x = min(max(label.x_mm, left), left + width)
    near_y = min(max(label.y_mm, top), top + height)
    away = math.hypot(near_x - label.x_mm, near_y - label.y_mm)
    if away > label.clear_mm + LEADER_FROM_MM:
        start = label.clear_mm / away
        from_x, from_y = label.x_mm + (near_x - label.x_mm) * start, label.y_mm + (near_y - label.y_mm) * start
        yield Line("leader", (np.array([[from_x, from_y], [near_x, near_y]]),))
    yield Fill("plate", (box_ring(left, top, width, height),))
    for row, (style, text) in enumerate(label.rows):
        y = top + PAD_MM + label.size_mm * (0.82 + LINE_HEIGHT * row)
        yield Words(style, left + PAD_MM, y, text, label.size_mm)


def label_size_mm(label: Label) -> tuple[float, float]:
    """Width and height of a label's box."""
    widths = [text_width_mm(text, label.size_mm, is_bold=STYLES[style].is_bold) for style, text in label.rows]
    return max(widths) + 2 * PAD_MM, label.size_mm * (LINE_HEIGHT * len(label.rows) - 0.2) + 2 * PAD_MM


def _tries(label: Label, window: Box) -> tuple[Floats, Floats]:
    """Boxes to try, pushed inside the window, shape (n, 4), and the cost of each before overlaps, shape (n,)."""
    width, height = label_size_mm(label)
    left, top, window_width, window_height = window
    reach_mm = label.clear_mm + REACH
    x = label.x_mm + ALONG_X * reach_mm + (ALONG_X - 1) * width / 2
    y = label.y_mm + ALONG_Y * reach_mm + (ALONG_Y - 1) * height / 2
    inside_x = np.minimum(np.maximum(x, left), left + window_width - width)
    inside_y = np.minimum(np.maximum(y, top), top + window_height - height)
    pushed = np.abs(inside_x - x) + np.abs(inside_y - y)
    cost = REACH - 2.0 * (ALONG_X * label.toward[0] + ALONG_Y * label.toward[1]) + 2.0 * pushed
    away_x = np.maximum(np.maximum(inside_x - label.x_mm, 0.0), label.x_mm - inside_x - width)
    away_y = np.maximum(np.maximum(inside_y - label.y_mm, 0.0), label.y_mm - inside_y - height)
    near = label.clear_mm - np.hypot(away_x, away_y)
    size = np.full(len(x), width), np.full(len(x), height)
    return np.column_stack([inside_x, inside_y, *size]), cost + OVERLAP_COST * np.maximum(0.0, near)


def _box(row: Floats) -> Box:
    left, top, width, height = row.tolist()
    return left, top, width, height


def _covered_mm2(boxes: Floats, shape: BaseGeometry) -> Floats:
    """Area of a shape that each of some boxes covers, shape (n_boxes,)."""
    left, top, width, height = boxes.T
    return np.asarray(shapely.area(shapely.intersection(shapely.box(left, top, left + width, top + height), shape)))


def _overlaps_mm2(boxes: Floats, others: Sequence[Box] | Sequence[Floats]) -> Floats:
    """Area that each of some boxes shares with each of some others, shape (n_boxes, n_others)."""
    other = np.array(others, dtype=float).reshape(-1, 4)
    low = np.maximum(boxes[:, None, :2], other[None, :, :2])
    high = np.minimum(boxes[:, None, :2] + boxes[:, None, 2:], other[None, :, :2] + other[None, :, 2:])
    shared = np.maximum(high - low, 0.0)
    return np.asarray(shared[:, :, 0] * shared[:, :, 1])
