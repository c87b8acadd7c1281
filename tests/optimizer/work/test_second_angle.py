"""Second angle: 30 degrees apart, or at twice the size, to the very degree and size."""

import numpy as np
import pytest

from standmark.optimizer.work.second_angle import is_other_view, pair_views, second_angle_share, view_angle_deg

TARGET = np.array([[0.0, 0.0, 0.0]])


def at(degrees):
    return 20.0 * np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees)), 0.0])


@pytest.mark.parametrize(
    ("degrees", "sizes", "differs"),
    [
        (29.9, (0.3, 0.3), False),
        (30.1, (0.3, 0.3), True),
        (0.0, (0.3, 0.59), False),
        (0.0, (0.3, 0.61), True),
        (0.0, (0.61, 0.3), True),
        (10.0, (0.3, 0.3), False),
    ],
)
def test_views_differ_by_angle_or_by_size(degrees, sizes, differs):
    first, second = np.array([sizes[0]]), np.array([sizes[1]])
    assert is_other_view(view_angle_deg(at(0), at(degrees), TARGET), first, second).tolist() == [differs]
    assert view_angle_deg(at(0), at(degrees), TARGET)[0] == pytest.approx(degrees, abs=1e-4)


def test_a_pair_is_worth_the_lesser_of_its_two():
    places = np.array([at(0), at(5), at(90)])
    quality = np.array([[0.9], [0.8], [0.4]])
    assert second_angle_share(quality, pair_views(places, np.full((3, 1), 0.3), TARGET)).tolist() == [0.4]
    twice = np.array([[0.2], [0.5], [0.3]])
    assert second_angle_share(quality, pair_views(places, twice, TARGET)).tolist() == [0.8]
    assert second_angle_share(quality[:1], pair_views(places[:1], twice[:1], TARGET)).tolist() == [0.0]
