"""The sky over the ground as a dial in the direction of the drawing: north, and the sun through the match."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from standmark.cli.drawing.ground import Box
from standmark.cli.drawing.labels import Label, label_marks, lay_labels
from standmark.cli.drawing.marks import Fill, Line, Mark, Words, disc_ring, rings
from standmark.geometry.arrays import Floats
from standmark.optimizer.match.match import Match
from standmark.optimizer.picture.sun_path import SunAt, SunPath

RADIUS_MM = 11.0
DISC_MM = 1.1
LABEL_MM = 3.2  # 9 points
LOW_DEG = 15.0  # a sun lower than this dazzles and throws long shadows; common practice, no source
DIAL_MM = (62.0, 34.0)  # room that dial and labels need


def dial_marks(match: Match, sun: SunPath, box: Box, *, is_turned: bool = False) -> Iterator[Mark]:
    """Draw the dial into a box: the rim is the horizon, the middle is overhead, the ring marks a low sun.

    Directions are those of the drawing: whoever stands at the middle sees the sun where the dial has it.

    Parameters
    ----------
    is_turned : the ground is drawn with +x to the left
    """
    plus_x_deg = match.venue.bearing_deg + 180.0 * is_turned  # compass direction to the right on the page
    left, top, width, height = box
    x, y = left + width / 2, top + height / 2
    middle = np.array([x, y])
    yield Fill("sky", (disc_ring(x, y, RADIUS_MM),))
    yield Line("thin", (disc_ring(x, y, RADIUS_MM), disc_ring(x, y, RADIUS_MM * (1 - LOW_DEG / 90))))
    small = 0.42 * RADIUS_MM * (-1.0 if is_turned else 1.0)
    yield Line("marking", (middle + _miniature(match) * (small, -small),))
    north = _on_dial(plus_x_deg, 0.0, 0.0)
    yield Line("line", (middle + np.array([north * RADIUS_MM, north * (RADIUS_MM + 1.6)]),))
    n_x, n_y = (middle + north * (RADIUS_MM + 3.2)).tolist()
    yield Words("strong", n_x, n_y + 0.9, "N", LABEL_MM, "middle")
    above = [_on_dial(plus_x_deg, s.azimuth_deg, s.elevation_deg) for s in sun.path if s.elevation_deg > 0]
    if len(above) > 1:
        yield Line("sun-path", (middle + np.array(above) * RADIUS_MM,))
    labels = [_sun_label(plus_x_deg, at, x, y) for at in _told(sun)]
    for at, label in zip(_told(sun), labels, strict=True):
        style = "sun" if at.elevation_deg > LOW_DEG else "sun-low"
        yield Fill(style, (disc_ring(label.x_mm, label.y_mm, DISC_MM),))
    taken = [(x - RADIUS_MM, y - RADIUS_MM, 2 * RADIUS_MM, 2 * RADIUS_MM), (n_x - 1.6, n_y - 1.6, 3.2, 3.2)]
    for laid in lay_labels(labels, window=box, taken=taken):
        yield from label_marks(laid)


def _sun_label(plus_x_deg: float, sun: SunAt, x: float, y: float) -> Label:
    along = _on_dial(plus_x_deg, sun.azimuth_deg, max(sun.elevation_deg, 0.0))
    right, down = (along / (np.hypot(*along) or 1.0)).tolist()
    at_x, at_y = (along * RADIUS_MM + np.array([x, y])).tolist()
    return Label(at_x, at_y, (("text", sun_words(sun)),), LABEL_MM, DISC_MM + 0.3, (right, down))


def sun_words(sun: SunAt) -> str:
    """Time and height: "sun 15:00, 38° up"."""
    if sun.name in ("sunrise", "sunset"):
        return f"{sun.at:%H:%M} {sun.name}"
    return f"sun {sun.at:%H:%M}, {sun.elevation_deg:.0f}° up" if sun.elevation_deg > 0 else f"sun {sun.at:%H:%M}, down"


def _told(sun: SunPath) -> list[SunAt]:
    """Start, end, and at most two times between, so that labels stay apart."""
    between = [s for s in sun.times[1:-1] if s.name in ("sunrise", "sunset")]
    return [sun.times[0], *(between or sun.times[1:-1][:1]), sun.times[-1]]


def _on_dial(plus_x_deg: float, azimuth_deg: float, elevation_deg: float) -> Floats:
    turn = math.radians(plus_x_deg - azimuth_deg)
    return np.array([math.cos(turn), -math.sin(turn)]) * (1 - elevation_deg / 90)


def _miniature(match: Match) -> Floats:
    """Outline of the playing area, its longer side 2, round the origin."""
    xy = rings(match.sport.area.outline)[0]
    low, high = xy.min(axis=0), xy.max(axis=0)
    return np.asarray((xy - (low + high) / 2) * 2 / (high - low).max())
