"""Sums over the wishes of many ways against what each way gives for each wish."""

import math

import numpy as np
import pytest

from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.standard.fit import Wanted, fit, ways_at
from standmark.optimizer.standard.options import outside_m
from standmark.optimizer.standard.places import role_kits
from standmark.optimizer.standard.read_standard import read_standard
from standmark.optimizer.standard.standard import STEPS, coded_positions
from standmark.optimizer.standard.strain import strains
from standmark.optimizer.standard.view import lay_view, wishes


@pytest.mark.parametrize("sport", ["football", "netball"])
def test_sums_are_those_of_the_wishes(sport):
    match, (standard, steps, _) = default_match(sport), read_standard(None)
    slots = coded_positions(standard, sport)
    views = tuple(lay_view(slot, match.sport.area, main_side="-y") for slot in slots)
    wanted = Wanted(views, tuple(role_kits(match, standard, slot.role) for slot in slots), dict(steps))
    rng = np.random.default_rng(5)
    view = np.sort(rng.integers(0, len(views), 200))
    kit = np.array([rng.integers(0, len(wanted.kits[v])) for v in view])
    xyz_m = rng.uniform((-70.0, -60.0, 0.3), (70.0, 60.0, 25.0), (200, 3))
    ways = ways_at(view, kit, xyz_m, outside_m(wanted, xyz_m))
    strain, spread = strains(wanted, ways)
    found = fit(wanted, ways)
    for row in range(200):
        columns = found.value[:, row].tolist(), found.short[:, row].tolist()
        asked = [(w, *(column[list(STEPS).index(w.key)] for column in columns)) for w in wishes(views[view[row]])]
        expected = sum((in_unit(*answer) / steps[answer[0].key]) ** 2 for answer in asked)
        assert strain[row] == pytest.approx(expected)
        assert 0.0 <= spread[row] <= len(asked)
    assert strain.max() > 0


def in_unit(wish, value, short):
    """A shortfall in the unit of its step: octaves for sizes."""
    return math.log2(value / wish.band[short > 0]) if wish.key == "size" and short else short
