"""Signs of danger on a book's drawings: one at every position with a marked danger, covered by no label."""

import pytest
import shapely
from small_match import EAST, SIDE, small_match

from standmark.cli.book.plan_panel import panel_bounds_m, panel_height_mm, panel_marks
from standmark.cli.book.record import ground_record
from standmark.cli.words.units import Units
from standmark.optimizer.match.match import AllowedArea
from standmark.optimizer.standard.apply import apply_standard
from standmark.optimizer.standard.cover import Cover
from standmark.optimizer.standard.read_standard import read_standard

BEHIND = AllowedArea("behind", "behind the goal", shapely.LineString([(-57, -6), (-57, 6)]), (1.2, 2.2))


@pytest.fixture(scope="module")
def ground():
    match = small_match(areas=(SIDE, EAST, BEHIND))
    standard, steps, _ = read_standard()
    found = apply_standard(match, standard, steps=steps)
    zeros = (0.0,) * sum(p.filled is not None for p in found.positions)
    nothing = Cover(zeros, tuple({} for _ in zeros), zeros, zeros, 0.0, 0.0, 0.0)
    return match, ground_record(match, found, nothing, code="X", path="x", has_bearing=False, units=Units.METRIC)


@pytest.mark.parametrize(("width_mm", "with_heights"), [(180.0, True), (120.0, False)])
def test_every_marked_danger_has_a_sign_that_can_be_seen(ground, width_mm, with_heights):
    match, record = ground
    bounds_m = panel_bounds_m(match, record)
    height = panel_height_mm(bounds_m, width_mm=width_mm, most_mm=150.0)
    box = (0.0, 0.0, width_mm, height)
    marks = list(panel_marks(match, record, box, bounds_m=bounds_m, units=Units.METRIC, with_heights=with_heights))
    signs = [(i, shapely.Polygon(mark.rings[0])) for i, mark in enumerate(marks) if mark.style == "danger"]
    marked = [p for p in record["positions"] if p["filled"] and any(d["marked"] for d in p["dangers"])]
    assert len(signs) == len(marked) > 0
    plates = [(i, shapely.Polygon(mark.rings[0])) for i, mark in enumerate(marks) if mark.style == "plate"]
    for at, sign in signs:
        assert not any(i > at and plate.intersection(sign).area > 1e-6 for i, plate in plates)
        assert sum(plate.intersection(sign).area for _, plate in plates) < 0.2 * sign.area
