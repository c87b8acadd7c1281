"""Lengths for people: exact units, and the figures at which the rounding changes."""

import math

import pytest

from standmark.cli.words.moments import Taken, both_ends
from standmark.cli.words.units import (
    Units,
    distance_words,
    height_words,
    length_words,
    native_units,
    paces_words,
    shown,
    symbol,
)
from standmark.sports.library import load_sport

METRIC, FEET, YARDS = Units.METRIC, Units.IMPERIAL, Units.YARDS


@pytest.mark.parametrize(
    ("units", "metre", "name"), [(METRIC, 1.0, "m"), (FEET, 1 / 0.3048, "ft"), (YARDS, 1 / 0.9144, "yd")]
)
def test_units_are_exact(units, metre, name):
    assert shown(1.0, units) == pytest.approx(metre, rel=1e-12)
    assert symbol(units) == name


@pytest.mark.parametrize(
    ("value_m", "units", "words"),
    [
        (0.0, METRIC, "0 m"), (3.24, METRIC, "3 m"), (3.26, METRIC, "3.5 m"), (9.8, METRIC, "10 m"),
        (9.6, METRIC, "9.5 m"), (10.4, METRIC, "10 m"), (10.6, METRIC, "11 m"), (-3.3, METRIC, "-3.5 m"),
        (30.48, FEET, "100 ft"), (91.44, YARDS, "100 yd"), (0.5, FEET, "2 ft"), (0.5, YARDS, "1 yd"),
    ],
)  # fmt: skip
def test_distances(value_m, units, words):
    assert distance_words(value_m, units) == words


@pytest.mark.parametrize(
    ("value_m", "units", "words"),
    [
        (1.6, METRIC, "1.6 m"), (9.94, METRIC, "9.9 m"), (9.96, METRIC, "10 m"), (25.4, METRIC, "25 m"),
        (0.3048, FEET, "1 ft"), (0.3302, FEET, "1 ft 1 in"), (5.9, FEET, "19 ft 4 in"), (6.2, FEET, "20 ft"),
        (1.6, YARDS, "1.6 m"),
    ],
)  # fmt: skip
def test_heights(value_m, units, words):
    assert height_words(value_m, units) == words


@pytest.mark.parametrize(
    ("value_m", "units", "words"),
    [
        (4.23, METRIC, "4.2 m"), (3.0, FEET, "9 ft 10 in"), (3.1, FEET, "10 ft"), (30.48, FEET, "100 ft"),
    ],
)  # fmt: skip
def test_lengths_on_a_lens(value_m, units, words):
    assert length_words(value_m, units) == words
    assert length_words(math.inf, units) == length_words(math.inf)


def test_paces_and_the_units_of_a_sport():
    assert [paces_words(m) for m in (0.0, 0.76, 1.6, 76.0)] == ["1 pace", "1 pace", "2 paces", "101 paces"]
    assert native_units(load_sport("american-football"), METRIC) is YARDS
    assert [native_units(load_sport("football"), units) for units in (METRIC, FEET)] == [METRIC, FEET]


def test_two_ends_together_are_weighed():
    goal = load_sport("football").moments[0]
    one, two = Taken(goal, "+x", 0.3, 0.9, 0.5, ("A",)), Taken(goal, "-x", 0.1, 0.5, 0.1, ("B", "A"))
    both = both_ends(one, two)
    assert (both.weight, both.captured, both.faces) == pytest.approx((0.4, 0.8, 0.14 / 0.32))
    assert (both.takers, both.end) == (("A", "B"), "")
