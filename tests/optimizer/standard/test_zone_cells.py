"""Cells by arithmetic are those that the geometry library cuts."""

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.optimizer.standard.zone_cells import zone_cells
from standmark.optimizer.value.targets import sample_zone

sides = st.tuples(st.floats(-60.0, 60.0), st.floats(-40.0, 40.0), st.floats(0.5, 50.0), st.floats(0.5, 50.0))


def box(side):
    x, y, wide, high = side
    return shapely.box(x, y, x + wide, y + high)


@settings(max_examples=100, deadline=None)
@given(sides, st.floats(0.1, 30.0), st.booleans())
def test_rectangles_are_cut_alike(side, gap, is_double):
    zone = box(side)
    if is_double:
        zone = shapely.union_all([zone, shapely.affinity.translate(zone, side[2] + gap, gap)])
    same(zone)


@pytest.mark.parametrize("zone", [shapely.Point(3.0, 4.0).buffer(9.15), shapely.Polygon([(0, 0), (9, 1), (4, 7)])])
def test_other_zones_are_cut_by_geometry(zone):
    same(zone)


def same(zone):
    (xy_m, share), (own_m, own) = sample_zone(zone), zone_cells(zone)
    assert own_m == pytest.approx(xy_m, abs=1e-9)
    assert own == pytest.approx(share, abs=1e-12)
    assert np.isclose(own.sum(), 1.0)
