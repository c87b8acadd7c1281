import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from standmark.geometry.view.facing import facing_share
from standmark.geometry.view.line_of_sight import lines_of_sight

TARGET = np.array([[0.0, 0.0, 1.0]])


def share(camera, **given):
    return facing_share(lines_of_sight([camera], TARGET), **given)[0, 0]


def test_front_profile_and_back():
    same_way = {"facing_rad": 0.0, "facing_pull": 1.0, "faces_matter": 1.0}
    assert share((10, 0, 1), **same_way) == pytest.approx(1.0)
    assert share((0, 10, 1), **same_way) == pytest.approx(0.5)
    assert share((-10, 0, 1), **same_way) == pytest.approx(0.0, abs=1e-12)


def test_faces_that_do_not_matter_cost_nothing():
    assert share((-10, 3, 1), facing_rad=0.3, facing_pull=0.9, faces_matter=0.0) == 1.0


def test_any_direction_costs_half_of_what_matters():
    assert share((-10, 3, 1), facing_rad=0.3, facing_pull=0.0, faces_matter=0.6) == pytest.approx(0.7)


def test_straight_above_counts_as_profile():
    assert share((0, 0, 9), facing_rad=0.0, facing_pull=1.0, faces_matter=1.0) == pytest.approx(0.5)


@pytest.mark.parametrize("sigma", [0.2, 0.7, 1.5])
@pytest.mark.parametrize("delta", [0.0, 0.8, 2.5])
def test_expectation_over_a_wrapped_normal(sigma, delta):
    # numeric expectation over the unwrapped normal: the cosine does the wrapping
    expected = quad(lambda a: norm.pdf(a, delta, sigma) * (1 + np.cos(a)) / 2, delta - 9 * sigma, delta + 9 * sigma)[0]
    camera = (7 * np.cos(0.4), 7 * np.sin(0.4), 2.0)
    got = share(camera, facing_rad=0.4 + delta, facing_pull=np.exp(-(sigma**2) / 2), faces_matter=1.0)
    assert got == pytest.approx(expected, abs=1e-9)


def test_shape():
    out = facing_share(
        lines_of_sight(np.zeros((4, 3)), np.ones((6, 3))), facing_rad=np.zeros(6), facing_pull=0.5, faces_matter=0.5
    )
    assert out.shape == (4, 6)
