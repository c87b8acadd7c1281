"""Marked settings stay within the rounding of their names of exact thirds of a stop."""

from itertools import pairwise
from math import log2

import pytest

from standmark.geometry.optics.marked import F_NUMBERS, ISO_SETTINGS, TIMES_S, marked_at_least, marked_at_most


@pytest.mark.parametrize(
    ("values", "stops_each"), [(F_NUMBERS, 2.0), (ISO_SETTINGS, 1.0), (TIMES_S, 1.0)], ids=["f", "ISO", "time"]
)
def test_marks_are_thirds_of_a_stop_apart(values, stops_each):
    steps = [stops_each * log2(b / a) for a, b in pairwise(values)]
    assert steps == pytest.approx([1 / 3] * len(steps), abs=0.16)
    assert sum(steps) == pytest.approx(len(steps) / 3, abs=0.1)


def test_rounding_to_a_mark():
    assert marked_at_least(F_NUMBERS, 2.9) == 3.2
    assert marked_at_most(F_NUMBERS, 2.9) == 2.8
    assert marked_at_most(F_NUMBERS, 2.8) == marked_at_least(F_NUMBERS, 2.8) == 2.8
    assert marked_at_most(F_NUMBERS, 0.7) == 1.0
    assert marked_at_least(F_NUMBERS, 40.0) == 22.0
    assert marked_at_least(TIMES_S, 1 / 210) == 1 / 200
