import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.geometry.sightlines.point_group import group_points


@given(st.integers(1, 400), st.integers(1, 50), st.floats(0.0, 100.0), st.floats(0.0, 100.0))
@settings(deadline=None)
def test_tiles_hold_every_point_within_their_disc(n, size, width, depth):
    xy = np.random.default_rng(n).uniform(size=(n, 2)) * [width, depth]
    tiles = group_points(xy, size=size)
    assert set(tiles.index.ravel().tolist()) == set(range(n))
    assert tiles.index.shape == (-(-n // size), size)
    away = np.hypot(*np.moveaxis(xy[tiles.index] - tiles.centre_m[:, None], 2, 0))
    assert (away <= tiles.radius_m[:, None] + 1e-12).all()


@pytest.mark.parametrize("size", [16, 32, 64])
def test_tiles_of_a_pitch_are_compact(size):
    """Mean radius within a third of that of squares of the same area."""
    xy = np.random.default_rng(1).uniform(size=(5000, 2)) * [105.0, 68.0]
    square = np.sqrt(105.0 * 68.0 * size / 5000 / 2)
    assert group_points(xy, size=size).radius_m.mean() < 4 / 3 * square
