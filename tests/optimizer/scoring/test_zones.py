"""Zones from events: sums by hand, known densities found again, and no zone for noise."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.optimizer.scoring.estimate import estimate_zones, kernel_density
from standmark.optimizer.scoring.lattice import ground_lattice, lattice_counts, mirrored, spread
from standmark.optimizer.scoring.zones import ANYWHERE, growth, leaf_density, leaf_shares, sums, zone_boxes

PITCH = shapely.box(-50, -30, 50, 30)
LATTICE = ground_lattice(PITCH)
OVAL = ground_lattice(shapely.affinity.scale(shapely.Point(0, 0).buffer(1, quad_segs=64), 60, 40), cells=100)


def counted(xy_m, lattice=LATTICE):
    return lattice_counts(lattice, np.asarray(xy_m, float), np.ones(len(xy_m)))


def folds_of(xy_m, lattice=LATTICE, n=5):
    return np.array([counted(xy_m[k::n], lattice) for k in range(n)])


def estimate(xy_m, lattice=LATTICE, mirrors=("y", "none"), shipped=None, **more):
    folds = folds_of(xy_m, lattice)
    return estimate_zones(
        lattice, folds, n_events=len(xy_m), n_matches=0, shipped=shipped, mirrors=mirrors, **more
    )  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(-70, 70), st.floats(-45, 45)), min_size=1, max_size=40), st.booleans())
def test_every_event_is_counted_once_and_inside(places, is_oval):
    lattice = OVAL if is_oval else LATTICE
    counts = counted(places, lattice)
    assert counts.sum() == pytest.approx(len(places))
    assert not counts[lattice.area_m2 <= 0].any()
    assert spread(lattice, counts).sum() == pytest.approx(len(places))
    for mirror in ("none", "y", "xy"):
        assert mirrored(counts, mirror).sum() == pytest.approx(len(places))


def test_lattice_keeps_the_area():
    assert LATTICE.area_m2.sum() == pytest.approx(6000)
    assert OVAL.area_m2.sum() == pytest.approx(np.pi * 60 * 40, rel=1e-3)
    assert LATTICE.shape == (200, 120)


def test_an_event_on_an_edge_counts_half_on_each_side():
    counts = counted([(0.0, 0.0)])
    assert sorted(counts[counts > 0]) == [0.25] * 4
    assert sorted(counted([(0.1, 0.0)])[100]) == [0.0] * 118 + [0.5] * 2
    assert mirrored(counts, "xy") == pytest.approx(counts[::-1, ::-1])


def test_sums_of_rectangles_are_sums():
    values = np.random.default_rng(1).random((7, 9))
    assert sums(values).of(2, 5, 1, 8) == pytest.approx(values[2:5, 1:8].sum())
    assert sums(values).of(0, 7, 0, 9) == pytest.approx(values.sum())


def test_the_first_cut_is_the_best_by_trying_all():
    rng = np.random.default_rng(4)
    counts = counted(np.vstack([rng.uniform((20, -30), (50, 30), (80, 2)), rng.uniform((-50, -30), (50, 30), (20, 2))]))
    first = list(growth(LATTICE, counts, mirror="none", most=2))[1]
    n, area = sums(counts), sums(LATTICE.area_m2)

    def gain(parts):
        return sum(float(n.of(*p)) * np.log(float(n.of(*p)) / float(area.of(*p))) for p in parts if float(n.of(*p)) > 0)

    tried = [[(0, i, 0, 120), (i, 200, 0, 120)] for i in range(4, 197)]
    tried += [[(0, 200, 0, j), (0, 200, j, 120)] for j in range(4, 117)]
    assert gain(first) == pytest.approx(max(gain(parts) for parts in tried))


@pytest.mark.parametrize("mirror", ["none", "y", "xy"])
def test_densities_integrate_to_one_however_they_are_mirrored(mirror):
    rng = np.random.default_rng(6)
    for lattice in (LATTICE, OVAL):
        counts = mirrored(counted(rng.normal((25, 5), (8, 6), (300, 2)), lattice), mirror)
        for leaves in growth(lattice, counts, mirror=mirror, most=7):
            density = leaf_density(lattice, counts, leaves, mirror=mirror)
            assert (density * lattice.area_m2).sum() == pytest.approx(1)
            share, _ = leaf_shares(lattice, counts, leaves)
            assert share.sum() == pytest.approx(1)
            assert (share > 0).all()
        kernel = kernel_density(lattice, counts, sigma=(3, 3))
        assert (kernel * lattice.area_m2).sum() == pytest.approx(1)


def test_a_step_is_found_where_it_is():
    # nine events in ten in x 30..50, even within: cut at 30, and hardly anywhere else
    rng = np.random.default_rng(7)
    xy_m = np.vstack([rng.uniform((30, -30), (50, 30), (3600, 2)), rng.uniform((-50, -30), (30, 30), (400, 2))])
    found = estimate(rng.permutation(xy_m))
    assert found.mirror == "y"
    assert len(found.boxes) <= 3  # the step itself is known to 1.5 m only, which may take a strip of its own
    assert all(min(abs(edge - known) for known in (-50, 30, 50)) <= 1.6 for box in found.boxes for edge in box.x_m)
    hot = [box for box in found.boxes if box.x_m[0] >= 28]
    assert sum(box.weight for box in hot) == pytest.approx(0.9 * (1 - ANYWHERE) + 0.2 * ANYWHERE, abs=0.01)
    assert sum(box.weight for box in found.boxes) == pytest.approx(1)
    # entropy of the true density: -(0.9 log(0.9 / 1200) + 0.1 log(0.1 / 4800)) = 7.553
    assert found.held_out == pytest.approx(0.9 * np.log(0.9 / 1200) + 0.1 * np.log(0.1 / 4800), abs=0.06)
    assert found.uniform == pytest.approx(-np.log(6000))


def test_even_events_get_one_zone():
    xy_m = np.random.default_rng(8).uniform((-50, -30), (50, 30), (600, 2))
    found = estimate(xy_m)
    assert len(found.boxes) == 1
    assert found.held_out == pytest.approx(found.uniform)


def test_one_sided_events_are_not_made_symmetric():
    xy_m = np.random.default_rng(9).uniform((20, 5), (45, 25), (500, 2))
    assert estimate(xy_m).mirror == "none"


def test_gaps_of_rounded_positions_are_not_cut_out():
    rng = np.random.default_rng(10)
    xy_m = rng.uniform((10, -20), (40, 20), (2000, 2)).round(0)
    found = estimate(xy_m)
    smooth = estimate(rng.uniform((10, -20), (40, 20), (2000, 2)))
    assert len(found.boxes) <= len(smooth.boxes) + 2
    assert max(box.weight for box in found.boxes) > 0.8


def test_the_old_zones_are_told_apart_by_likelihood():
    xy_m = np.random.default_rng(12).normal((35, 0), (5, 6), (800, 2))
    inside = LATTICE.area_m2 > 0
    even = np.where(inside, 1 / 6000, 0.0)
    found = estimate(xy_m, shipped=even)
    assert found.shipped == pytest.approx(-np.log(6000))
    assert found.is_better
    assert found.kernel >= found.held_out - 0.05
    truth = kernel_density(
        LATTICE, counted(np.random.default_rng(13).normal((35, 0), (5, 6), (50_000, 2))), sigma=(2, 2)
    )
    assert not estimate(xy_m, shipped=truth).is_better


def test_boxes_are_the_rectangles_in_metres():
    counts = counted(np.random.default_rng(3).normal((35, 0), (5, 6), (400, 2)))
    leaves = list(growth(LATTICE, counts, mirror="none", most=5))[-1]
    boxes = zone_boxes(LATTICE, counts, leaves)
    area = sum((b.x_m[1] - b.x_m[0]) * (b.y_m[1] - b.y_m[0]) for b in boxes)
    assert area == pytest.approx(6000)
    assert [b.weight for b in boxes] == sorted((b.weight for b in boxes), reverse=True)


def test_one_fold_is_not_enough():
    with pytest.raises(ValueError, match="two folds"):
        estimate_zones(
            LATTICE, np.array([counted([(0, 0)])]), n_events=1, n_matches=1, shipped=None, mirrors=("y",)
        )  # fmt: skip
