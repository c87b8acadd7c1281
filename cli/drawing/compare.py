"""Two plans on one ground, and what each gets."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from standmark.cli.drawing.attack_arrows import arrow_marks, is_turned
from standmark.cli.drawing.chart import ROW_MM, names_width_mm, pair_marks
from standmark.cli.drawing.ground import Box, Ground, bounds_of, fit_ground, ground_height_mm
from standmark.cli.drawing.hot_zones import hot_zone_marks
from standmark.cli.drawing.legend import scale_bar_marks
from standmark.cli.drawing.maps import split_surface
from standmark.cli.drawing.marks import Fill, Line, Mark, Picture, Words, disc_ring
from standmark.cli.drawing.plan import MARGIN_MM, WIDTH_MM
from standmark.cli.drawing.playing_area import area_marks
from standmark.cli.drawing.text_size import cut_mm
from standmark.cli.words.attack import attack_words
from standmark.cli.words.naming import percent
from standmark.cli.words.plan_difference import got_pair, moment_pairs
from standmark.cli.words.units import Units
from standmark.optimizer.comparison import Comparison, PeriodDifference, alike_periods
from standmark.sports.sport import Sport

TALLEST_MM = 150.0
TITLE_MM, HEADING_MM, SMALL_MM = 4.2, 3.6, 2.7
DISC_MM, LETTER_MM = 2.3, 3.0


def compare_picture(difference: Comparison, sport: Sport | None, *, units: Units = Units.METRIC) -> Picture:
    """Lay out ground panels and one row for each key moment; without its sport, no ground is drawn."""
    width = WIDTH_MM - 2 * MARGIN_MM
    marks: list[Mark] = list(_title_marks(difference, width))
    y = MARGIN_MM + 19.0
    for together in alike_periods(difference.periods) if sport is not None else []:
        assert sport is not None
        bounds = _bounds(difference, sport)
        height = ground_height_mm(bounds, width, most_mm=TALLEST_MM)
        first, second = got_pair(together[0])
        periods = ", ".join(period.name for period in together)
        heading = f"{periods}: {percent(first)} and {percent(second)}"
        marks.append(Words("strong", MARGIN_MM, y + 3.0, cut_mm(heading, HEADING_MM, width_mm=width), HEADING_MM))
        ground = fit_ground(bounds, (MARGIN_MM, y + 6.0, width, height), is_turned=is_turned(sport.area))
        marks += _ground_marks(together[0], sport, ground)
        keys = {period.key for period in together}
        own = [period for period in sport.periods if period.key in keys]
        marks += arrow_marks(sport.area, attack_words(own, _first_attack(difference)), ground)
        marks += scale_bar_marks(ground, MARGIN_MM + 3.0, y + height + 9.0, units)
        y += height + 20.0
    names = {} if sport is None else {moment.key: moment.name for moment in sport.moments}
    ranked = sorted(moment_pairs(difference).items(), key=lambda pair: pair[1][1] - pair[1][0])
    rows = [(names.get(key, key), first, second) for key, (first, second) in ranked]
    marks.append(Words("strong", MARGIN_MM, y + 3.0, "What you get of each key moment", HEADING_MM))
    if rows:
        room = names_width_mm([name for name, _, _ in rows], most_mm=70.0)
        marks += pair_marks(rows, MARGIN_MM, y + 6.0, names_mm=room, width_mm=width - room - 4.0)
    height = y + 16.0 + ROW_MM * len(rows)
    shares = [percent(plan.coverage if plan.seen is None else plan.seen) for plan in difference.plans]
    described = f"First {shares[0]}, second {shares[1]}."
    return Picture(WIDTH_MM, height, tuple(marks), "Two plans compared", described)


def _first_attack(difference: Comparison) -> str | None:
    """Return the end that is attacked first, where both plans say the same."""
    first, second = (plan.first_attack for plan in difference.plans)
    return first if first == second else None


def _bounds(difference: Comparison, sport: Sport) -> Box:
    spots = [
        shapely.Point(side.x_m, side.y_m)
        for period in difference.periods
        for camera in period.cameras
        for side in (camera.first, camera.second)
        if side is not None
    ]
    return bounds_of([sport.area.outline, *spots], margin_m=0.03 * sport.area.length_m)


def _title_marks(difference: Comparison, width: float) -> Iterator[Mark]:
    y = MARGIN_MM + 4.0
    looks = (("camera-0", 1.6, "first"), ("fallback-1", 1.9, "second"))
    for (style, radius, label), plan in zip(looks, difference.plans, strict=True):
        yield Fill(style, (disc_ring(MARGIN_MM + 2.0, y - 1.4, radius),))
        share = f"worth {percent(plan.coverage)}" if plan.seen is None else f"you get {percent(plan.seen)}"
        words = f"{label}: {share}, {plan.title}, {plan.venue}"
        yield Words("strong", MARGIN_MM + 6.0, y, cut_mm(words, TITLE_MM, width_mm=width - 6, is_bold=True), TITLE_MM)
        y += 6.0
    yield Line("rule", (np.array([[MARGIN_MM, y - 1.0], [MARGIN_MM + width, y - 1.0]]),))


def _ground_marks(period: PeriodDifference, sport: Sport, ground: Ground) -> Iterator[Mark]:
    surface, drawn = split_surface(list(area_marks(sport.area, ground)))
    yield from (*surface, *hot_zone_marks(sport, ground), *drawn)
    for camera in period.cameras:
        sides = [side for side in (camera.first, camera.second) if side is not None]
        places = np.array([ground.point(side.x_m, side.y_m) for side in sides])
        if camera.apart_m:
            yield Line("looks-short", (places,))
    yield from _spot_marks(period, ground)


def _spot_marks(period: PeriodDifference, ground: Ground) -> Iterator[Mark]:
    """Rings of the second plan, then discs of the first, which stay visible inside them."""
    for is_first in (False, True):
        for camera in period.cameras:
            side = camera.first if is_first else camera.second
            if side is None:
                continue
            x, y = ground.point(side.x_m, side.y_m)
            yield Fill("camera-0" if is_first else "fallback-1", (disc_ring(x, y, DISC_MM + (0 if is_first else 0.7)),))
            style = "on-camera" if is_first else "name-1"
            yield Words(style, x, y + 0.36 * LETTER_MM, camera.camera[:1], LETTER_MM, "middle")
