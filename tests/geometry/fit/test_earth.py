"""Degrees and metres: there and back through geographiclib, at every kind of place."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.geometry.fit.earth import degrees_of, middle_of, plane_m, quick_plane_m


@settings(max_examples=100, deadline=None)
@given(st.floats(-180, 180), st.floats(-85, 85), st.floats(-800, 800), st.floats(-800, 800))
def test_round_trip(longitude, latitude, east, north):
    place = degrees_of((east, north), (longitude, latitude))
    assert plane_m([place], (longitude, latitude))[0] == pytest.approx((east, north), abs=1e-6)


def test_the_quick_plane_agrees_near_the_middle():
    for latitude in (-33.9, 0.0, 51.5, 65.0):
        places = [degrees_of((e, n), (3.1, latitude)) for e in (-700, 0, 700) for n in (-700, 0, 700)]
        exact, quick = plane_m(places, (3.1, latitude)), quick_plane_m(places, (3.1, latitude))
        assert np.abs(exact - quick).max() < 0.2


def test_the_antimeridian_is_no_border():
    places = np.array([(179.999, -17.0), (-179.999, -17.0), (-179.999, -17.001)])
    longitude, latitude = middle_of(places)
    assert abs(abs(longitude) - 180.0) < 1e-9
    assert latitude == pytest.approx(-17.0005)
    assert np.abs(quick_plane_m(places, (longitude, latitude))).max() < 120
    assert np.abs(plane_m(places, (longitude, latitude))).max() < 120
