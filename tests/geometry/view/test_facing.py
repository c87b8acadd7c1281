import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from standmark.geometry.view.facing import facing_share, toward_lens
from standmark.geometry.view.line_of_sight import lines_of_sight

TARGET = np.array([[0.0, 0.0, 1.0]])


def share(camera, *, facing_rad, facing_pull):
    return facing_share(toward_lens(lines_of_sight([camera], TARGET), facing_rad), facing_pull=facing_pull)[0, 0]


def test_front_profile_and_back():
    same_way = {"facing_rad": 0.0, "facing_pull": 1.0}
    assert share((10, 0, 1), **same_way) == pytest.approx(1.0)
    assert share((0, 10, 1), **same_way) == pytest.approx(0.5)
    assert share((-10, 0, 1), **same_way) == pytest.approx(0.0, abs=1e-12)


def test_any_direction_shows_half_of_the_faces():
    assert share((-10, 3, 1), facing_rad=0.3, facing_pull=0.0) == pytest.approx(0.5)


def test_straight_above_counts_as_profile():
    assert share((0, 0, 9), facing_rad=0.0, facing_pull=1.0) == pytest.approx(0.5)


@pytest.mark.parametrize("sigma", [0.2, 0.7, 1.5])
@pytest.mark.parametrize("delta", [0.0, 0.8, 2.5])
def test_expectation_over_a_wrapped_normal(sigma, delta):
    # numeric expectation over the unwrapped normal: the cosine does the wrapping
    expected = quad(lambda a: norm.pdf(a, delta, sigma) * (1 + np.cos(a)) / 2, delta - 9 * sigma, delta + 9 * sigma)[0]
    camera = (7 * np.cos(0.4), 7 * np.sin(0.4), 2.0)
    got = share(camera, facing_rad=0.4 + delta, facing_pull=np.exp(-(sigma**2) / 2))
    assert got == pytest.approx(expected, abs=1e-9)


def test_shape():
    toward = toward_lens(lines_of_sight(np.zeros((4, 3)), np.ones((6, 3))), np.zeros(6))
    assert facing_share(toward, facing_pull=np.full(6, 0.5)).shape == (4, 6)
