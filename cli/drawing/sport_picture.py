"""A sport's playing area with its hot zones and surroundings, and a sheet of many."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely

from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground
from standmark.cli.drawing.hot_zones import hot_zone_marks
from standmark.cli.drawing.legend import scale_bar_marks
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, box_ring, hatch, rings
from standmark.cli.drawing.playing_area import area_marks
from standmark.cli.drawing.surroundings import CLEAR_MM
from standmark.cli.drawing.text_size import cut_mm, text_width_mm
from standmark.cli.words.units import Units
from standmark.sports.sport import PlayingArea, Sport

COLUMNS = 5
PANEL_MM = (82.0, 75.0)
MARGIN_MM = 10.0
TITLE_MM, NAME_MM, SMALL_MM = 7.0, 3.6, 3.2
N_TONES = 5


def sport_marks(sport: Sport, box: Box) -> tuple[list[Mark], float]:
    """Draw a sport into a box on the page.

    Returns
    -------
    the marks, and the scale 1 : scale
    """
    area = sport.area
    shown = [area.outline, *(place.shape for place in area.places), *(entry.shape for entry in area.keep_clear)]
    ground = fit_ground(bounds_of(shown, margin_m=0.01 * area.length_m), box)
    marks: list[Mark] = []
    clear = shapely.union_all([entry.shape for entry in area.keep_clear]).difference(area.outline)
    marks.append(Line("clear", hatch(ground.shape(clear), spacing_mm=CLEAR_MM)))
    marks += [Fill("allowed", rings(ground.shape(place.shape))) for place in area.places]
    ground_marks, drawn = _split_ground(area_marks(area, ground))
    marks += [*ground_marks, *hot_zone_marks(sport, ground), *drawn]
    return marks, ground.scale


def contact_sheet(sports: Sequence[Sport]) -> Picture:
    """Lay out one panel a sport, each to a scale of its own, with a bar."""
    rows = math.ceil(len(sports) / COLUMNS)
    width = 2 * MARGIN_MM + COLUMNS * PANEL_MM[0]
    top = MARGIN_MM + 14.0
    height = top + rows * PANEL_MM[1] + 12.0
    marks: list[Mark] = [Words("strong", MARGIN_MM, MARGIN_MM + 6.0, "Playing areas and where it happens", TITLE_MM)]
    for index, sport in enumerate(sports):
        row, column = divmod(index, COLUMNS)
        marks += _panel_marks(sport, MARGIN_MM + column * PANEL_MM[0], top + row * PANEL_MM[1])
    marks += heat_legend_marks(MARGIN_MM, top + rows * PANEL_MM[1] + 2.0)
    return Picture(width, height, tuple(marks), "Playing areas and hot zones", _description(sports))


def heat_legend_marks(x_mm: float, y_mm: float) -> Iterator[Mark]:
    """Say what tones, tint and hatch mean."""
    yield Words("quiet", x_mm, y_mm + 2.4, "worth filming, per square metre: less", SMALL_MM)
    x = x_mm + text_width_mm("worth filming, per square metre: less", SMALL_MM) + 4.0
    for tone in range(1, N_TONES + 1):
        yield Fill(f"heat-{tone}", (box_ring(x, y_mm, 6.0, 3.2),))
        x += 6.0
    for kind, words in (("", "more"), ("allowed", "people who film usually may stand"), ("clear", "keep clear")):
        x += 1.5
        if kind:
            box = box_ring(x, y_mm, 6.0, 3.2)
            yield (
                Fill(kind, (box,))
                if kind == "allowed"
                else Line(kind, hatch(shapely.Polygon(box), spacing_mm=CLEAR_MM))
            )
            x += 7.5
        yield Words("quiet", x, y_mm + 2.4, words, SMALL_MM)
        x += text_width_mm(words, SMALL_MM) + 4.0


def sport_scale_marks(scale: float, x_mm: float, y_mm: float, units: Units) -> Iterator[Mark]:
    """Draw the bar of a drawing at 1 : scale."""
    yield from scale_bar_marks(Ground(scale, 0.0, 0.0, (0.0, 0.0, 0.0, 0.0)), x_mm, y_mm, units, size_mm=SMALL_MM)


def size_words(area: PlayingArea) -> str:
    """Length by width, to the decimetre."""
    length, width = (f"{round(side, 1):g}" for side in (area.length_m, area.width_m))
    return f"{length} x {width} m"


def _panel_marks(sport: Sport, x: float, y: float) -> list[Mark]:
    width, height = PANEL_MM[0] - 6.0, PANEL_MM[1] - 18.0
    marks, scale = sport_marks(sport, (x, y + 6.5, width, height))
    return [
        Words("strong", x, y + 2.5, sport.name, NAME_MM),
        Words(
            "quiet", x, y + 5.8, cut_mm(f"{size_words(sport.area)}; {sport.preset}", SMALL_MM, width_mm=width), SMALL_MM
        ),
        *marks,
        *sport_scale_marks(scale, x, y + 6.5 + height + 1.5, Units.METRIC),
    ]


def _split_ground(marks: Iterator[Mark]) -> tuple[list[Mark], list[Mark]]:
    """Surface first, so that hot zones lie over it and under the lines."""
    every = list(marks)
    return [m for m in every if m.style == "ground"], [m for m in every if m.style != "ground"]


def _description(sports: Sequence[Sport]) -> str:
    return "; ".join(f"{sport.name} {size_words(sport.area)}" for sport in sports)
