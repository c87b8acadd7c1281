"""Where the grounds of a book lie: a plain chart with meridians, parallels and a scale; no tiles, no network."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from standmark.cli.book.inline_svg import inline_svg
from standmark.cli.drawing.labels import Label, label_marks, lay_labels
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, box_ring, disc_ring

EARTH_KM_PER_DEG = 111.195  # mean: 40,030 km round, 6371.0 km radius (IUGG mean radius)
DOTS_MM = ((60, 1.3), (250, 1.0), (600, 0.75), (1_000_000, 0.55))  # radius of a pin, for up to so many
TEXT_MM = 3.2  # 9 points
LONGITUDE_MM = 12.0  # room for the name of a meridian
MOST_LABELS = 60
LEAST_SPAN_DEG = 0.02  # a single ground still gets a chart
STEPS_DEG = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30)
STEPS_KM = (0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
FOOT_MM = 9.0
SHORT = ' class="short"'
TALLEST = 1.1  # height of the chart over its width, at most


Place = Callable[[float, float], tuple[float, float]]  # longitude from the middle, latitude -> millimetres


@dataclass(frozen=True)
class Pin:
    """A ground on the chart."""

    code: str
    name: str
    latitude: float
    longitude: float
    is_short: bool


@dataclass(frozen=True)
class Chart:
    """The chart without its pins, and where they go on it."""

    picture: Picture
    pins: tuple[tuple[Pin, float, float], ...]  # pin, x and y in millimetres
    dot_mm: float  # radius of a pin


def league_chart(pins: Sequence[Pin], *, width_mm: float, most_mm: float | None = None) -> Chart:
    """Lay a chart round some grounds; true distances along its middle parallel, north up.

    Longitudes are counted from the middle of the grounds, so that a league on both sides of the 180th meridian
    stays together. Many grounds get smaller pins.

    Parameters
    ----------
    most_mm : height at most, with the scale under it; if left out, somewhat more than the width
    """
    tallest_mm = TALLEST * width_mm if most_mm is None else most_mm - FOOT_MM
    dot_mm = next(size for most, size in DOTS_MM if len(pins) <= most)
    latitude = np.array([pin.latitude for pin in pins])
    longitude, middle = _unwrapped([pin.longitude for pin in pins])
    low_lat, high_lat = _spread(latitude)
    narrow = max(math.cos(math.radians((low_lat + high_lat) / 2)), 0.05)
    low_x, high_x = _spread(longitude * narrow)
    mm_per_deg = min(width_mm / (high_x - low_x), tallest_mm / (high_lat - low_lat))
    height_mm = mm_per_deg * (high_lat - low_lat)
    centre_x = (low_x + high_x) / 2

    def place(lon: float, lat: float) -> tuple[float, float]:
        """Millimetres from the left and from the top of the map."""
        return width_mm / 2 + (lon * narrow - centre_x) * mm_per_deg, (high_lat - lat) * mm_per_deg

    half_deg = width_mm / 2 / mm_per_deg / narrow
    span = (centre_x / narrow - half_deg, low_lat, centre_x / narrow + half_deg, high_lat)
    marks: list[Mark] = [Fill("beyond", (box_ring(0.0, 0.0, width_mm, height_mm),))]
    marks += _grid_marks(span, middle, place, width_mm, height_mm)
    marks.append(Line("thin", (box_ring(0.0, 0.0, width_mm, height_mm),)))
    marks += _scale_marks(mm_per_deg, 1.0, height_mm + 2.5)
    placed = [(pin, *place(float(lon), pin.latitude)) for pin, lon in zip(pins, longitude, strict=True)]
    if len(pins) <= MOST_LABELS:
        labels = [Label(x, y, (("text", pin.code),), TEXT_MM, dot_mm) for pin, x, y in placed]
        for laid in lay_labels(
            labels, window=(0.0, 0.0, width_mm, height_mm), taken=[_box_round(x, y, dot_mm) for _, x, y in placed]
        ):
            marks += label_marks(laid)
    told = f"{len(pins)} grounds between {low_lat:.2f} and {high_lat:.2f} degrees of latitude."
    return Chart(
        Picture(width_mm, height_mm + FOOT_MM, tuple(marks), "Map of the grounds", told), tuple(placed), dot_mm
    )


def chart_marks(chart: Chart) -> Iterator[Mark]:
    """Marks of a chart with its pins, for paper."""
    yield from chart.picture.marks
    for pin, x, y in chart.pins:
        yield Fill("position-short" if pin.is_short else "position", (disc_ring(x, y, chart.dot_mm, points=16),))


def chart_html(chart: Chart) -> str:
    """Write a chart with a link on every pin, for a screen; round each a finger's width to touch."""
    dots = "".join(
        f'<a href="grounds/{pin.code.lower()}.html"{SHORT if pin.is_short else ""}>'
        f'<circle class="near" cx="{x:.2f}" cy="{y:.2f}" r="{2 * chart.dot_mm:g}"/>'
        f'<circle class="pin" cx="{x:.2f}" cy="{y:.2f}" r="{chart.dot_mm:g}"/>'
        f"<title>{escape(f'{pin.code} {pin.name}')}</title></a>"
        for pin, x, y in chart.pins
    )
    plain = inline_svg(chart.picture).replace('role="img"', 'role="group"')
    return plain.replace("</svg>", f'<g class="pins">{dots}</g></svg>')


def _unwrapped(longitudes: Sequence[float]) -> tuple[np.ndarray[tuple[int], np.dtype[np.float64]], float]:
    """Longitudes counted from their middle, which is given as well."""
    turn = np.radians(np.array(longitudes))
    middle = math.degrees(math.atan2(float(np.sin(turn).mean()), float(np.cos(turn).mean())))
    return (np.array(longitudes) - middle + 180.0) % 360.0 - 180.0, middle


def _spread(values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> tuple[float, float]:
    """Range of some values with a margin, never too narrow to draw."""
    low, high = float(values.min()), float(values.max())
    half = max((high - low) * 0.56, LEAST_SPAN_DEG / 2)
    return (low + high) / 2 - half, (low + high) / 2 + half


def _grid_marks(
    span: tuple[float, float, float, float], middle: float, place: Place, width: float, height: float
) -> Iterator[Mark]:
    low_lon, low_lat, high_lon, high_lat = span
    step = next((s for s in STEPS_DEG if (high_lat - low_lat) / s <= 6 and (high_lon - low_lon) / s <= 9), 30)
    for lat in _multiples(max(low_lat, -90.0), min(high_lat, 90.0), step):
        _, y = place(0.0, lat)
        yield Line("rule", (np.array([[0.0, y], [width, y]]),))
        yield Words("quiet", 0.8, y - 0.7, _degrees(lat, "N", "S", step), TEXT_MM)
    for lon in _multiples(low_lon + middle, high_lon + middle, step):
        x, _ = place(lon - middle, 0.0)
        yield Line("rule", (np.array([[x, 0.0], [x, height]]),))
        named = (lon + 180.0) % 360.0 - 180.0
        if x < width - LONGITUDE_MM:
            yield Words("quiet", x + 0.6, height - 0.9, _degrees(named, "E", "W", step), TEXT_MM)


def _multiples(low: float, high: float, step: float) -> list[float]:
    return [n * step for n in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)]


def _degrees(value: float, positive: str, negative: str, step: float) -> str:
    digits = 0 if step >= 1 else 1 if step >= 0.1 else 2 if step >= 0.01 else 3
    side = "" if abs(value) < 1e-9 or abs(value) > 179.999999 else positive if value > 0 else negative
    return f"{abs(value):.{digits}f}° {side}".rstrip()


def _scale_marks(mm_per_deg: float, x_mm: float, y_mm: float) -> Iterator[Mark]:
    km_mm = mm_per_deg / EARTH_KM_PER_DEG
    length = next((s for s in reversed(STEPS_KM) if s * km_mm <= 45.0), STEPS_KM[0])
    yield Fill("scale-dark", (box_ring(x_mm, y_mm, length * km_mm, 0.9),))
    words = f"{length:g} km" if length >= 1 else f"{length * 1000:g} m"
    yield Words("quiet", x_mm, y_mm + 4.0, f"{words}, north is up", TEXT_MM)


def _box_round(x: float, y: float, half: float) -> tuple[float, float, float, float]:
    return x - half, y - half, 2 * half, 2 * half
