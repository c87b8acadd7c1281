"""Letters of cameras and of their spare places are never covered, however close together the places lie."""

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from worded_plans import worded_plan

from standmark.cli.drawing.apart import apart
from standmark.cli.drawing.field_plan import StandSpot, field_marks
from standmark.cli.drawing.marks import Fill, Words
from standmark.cli.drawing.text_size import text_width_mm
from standmark.sports.library import sport_keys

LETTERS = ("on-camera", "name-")
NUMBER = st.floats(-5.0, 5.0)
POINTS = st.lists(st.tuples(NUMBER, NUMBER), min_size=1, max_size=6)


def covered(marks):
    """Letters that something drawn later lies on."""
    for at, mark in enumerate(marks):
        if isinstance(mark, Words) and len(mark.text) == 1 and mark.style.startswith(LETTERS):
            box = box_of(mark)
            for other in marks[at + 1 :]:
                shapes = [shapely.Polygon(ring) for ring in other.rings] if isinstance(other, Fill) else []
                shapes += [box_of(other)] if isinstance(other, Words) and not other.turn_deg else []
                if any(shape.intersects(box) for shape in shapes):
                    yield mark.text, other.style


def box_of(mark):
    wide = text_width_mm(mark.text, mark.size_mm, is_bold=True)
    left = mark.x_mm - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor] * wide
    return shapely.box(left, mark.y_mm - 0.7 * mark.size_mm, left + wide, mark.y_mm)


@pytest.mark.parametrize("cameras", [2, 3])
@pytest.mark.parametrize("sport", sport_keys())
def test_no_letter_is_covered_when_cameras_and_spare_places_crowd(sport, cameras):
    plan = worded_plan(sport, cameras)
    first, *others = plan.periods[0].assignments
    crowded = [first, *(replace(a, spot=moved(first.spot, 0.8 * n)) for n, a in enumerate(others, start=1))]
    stands = [StandSpot(a, n, "", moved(first.spot, 0.5 * n)) for n, a in enumerate(crowded)]
    for told in (stands, [StandSpot(a, n, "") for n, a in enumerate(plan.periods[0].assignments)]):
        _, marks = field_marks(plan, told, (0.0, 0.0, 163.0, 75.0), with_sun=False)
        letters = [m.text for m in marks if isinstance(m, Words) and m.style.startswith(LETTERS) and len(m.text) == 1]
        assert sorted(letters) == sorted([a.camera for a in crowded] * (2 if told is stands else 1))
        assert not list(covered(marks))


def moved(spot, away_m):
    return replace(spot, x_m=spot.x_m + away_m)


@given(POINTS, POINTS)
def test_discs_end_apart_and_move_only_where_they_must(places, fixed):
    found = [*fixed, *apart(places, 2.0, fixed=fixed, fixed_mm=3.0)]
    for at in range(len(fixed), len(found)):
        gaps = [math.dist(found[at], other) - (3.0 if n < len(fixed) else 2.0) for n, other in enumerate(found[:at])]
        assert min(gaps) >= -1e-9
        place = places[at - len(fixed)]
        is_free = all(math.dist(place, p) >= (3.0 if n < len(fixed) else 2.0) for n, p in enumerate(found[:at]))
        assert (found[at] == place) == is_free
