"""What happens where, what every spot gives, and the pictures chosen for a camera, against the plan itself."""

import numpy as np
import pytest
import shapely
from drawn_plans import default_plan, placed_plan, stretches_of
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.optimizer.picture.key_frames import key_frames
from standmark.optimizer.picture.what_if import NOWHERE, _apart, mesh_means, spot_coverage
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import Station, period_plan
from standmark.optimizer.work.ground_map import cell_shares


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(st.floats(-40, 40), st.floats(-30, 30)),
    st.floats(0.3, 25),
    st.floats(0.3, 25),
    st.sampled_from([0.5, 2.0, 5.0]),
)
def test_cells_share_out_a_zone_whole(corner, width, height, step):
    zone = shapely.box(*corner, corner[0] + width, corner[1] + height)
    xy, share = cell_shares(zone, step_m=step)
    assert share.sum() == pytest.approx(1.0)
    assert (share > 0).all()
    assert shapely.distance(shapely.points(xy), zone).max() <= step / np.sqrt(2) + 1e-9
    np.testing.assert_allclose(
        np.average(xy, axis=0, weights=share), np.array(zone.centroid.coords[0]), atol=0.51 * step
    )


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(0, 3), st.floats(0.0, 4.0), st.integers(0, 40))
def test_places_kept_are_the_first_that_stand_apart(seed, n_first, spacing_m, most):
    xy_m = np.random.default_rng(seed).uniform(0, 10, (30, 2)).round(1)
    kept = list(range(n_first))
    for place in range(n_first, len(xy_m)):
        if all(np.hypot(*(xy_m[place] - xy_m[other])) >= spacing_m - 1e-9 for other in kept):
            kept.append(place)
    most += n_first
    found = _apart(xy_m, spacing_m, n_first, most=most)
    assert (found is None) == (len(kept) > most)
    assert found is None or found.tolist() == kept


def test_mesh_holds_everything_that_matters_once():
    mesh = stretches_of(default_plan("football"))[0].coverage_map.mesh
    assert mesh.worth.sum() == pytest.approx(1.0)
    np.testing.assert_allclose(
        np.floor(mesh.targets.xyz_m[:, :2] / mesh.step_m), np.floor(mesh.xy_m[mesh.cell] / mesh.step_m)
    )
    np.testing.assert_allclose(mesh.mean(np.full((2, len(mesh.cell)), 0.3)), 0.3)


@pytest.mark.parametrize("make", [placed_plan, lambda: default_plan("football")])
def test_map_means_weighed_by_worth_are_near_the_coverage(make):
    stretch = stretches_of(make())[0]
    for index, assignment in enumerate(stretch.first.assignments):
        summed = stretch.coverage_map.quality[index] @ stretch.coverage_map.mesh.worth
        assert summed == pytest.approx(assignment.coverage, abs=0.02)  # cells of the mesh against cells of the zones


@pytest.mark.parametrize("make", [placed_plan, lambda: default_plan("football")])
def test_planned_places_give_the_planned_coverage(make):
    plan = make()
    for stretch in stretches_of(plan):
        table = stretch.table
        rows = [table.choice[camera, place] for camera, place in enumerate(table.planned)]
        found = float(table.quality[rows].max(axis=0) @ table.targets.weight)
        assert found == pytest.approx(stretch.first.coverage, abs=1e-5)
        for camera in range(len(plan.match.cameras)):
            spots, coverage = spot_coverage(table, camera)
            assert coverage.max() <= stretch.first.coverage + 0.02  # moves, second angles and eye height give some up
            here = stretch.first.assignments[camera].spot
            nearest = np.argmin(np.hypot(*(spots - (here.x_m, here.y_m)).T))
            assert coverage[nearest] == pytest.approx(stretch.first.coverage, abs=1e-5)


def test_any_row_of_the_table_is_what_a_plan_with_it_would_cover():
    plan = placed_plan()
    stretch = stretches_of(plan)[0]
    table, period = stretch.table, stretch.first.period
    places = [p for p in range(len(table.xy_m)) if table.choice[0, p] != NOWHERE]
    moved = table.stations[table.choice[0, places[len(places) // 2]]]
    stays = table.stations[table.choice[1, table.planned[1]]]
    stations = [Station(plan.match.cameras[0], moved.outfit, moved.spot), stays]
    around = period_surroundings(plan.match, period)
    exact = period_plan(plan.match, period, stations, targets=period_targets(plan.match, period), around=around)
    _, coverage = spot_coverage(table, 0)
    assert coverage[len(places) // 2] == pytest.approx(exact.coverage, abs=1e-5)


def test_coarser_cells_average_the_same_rows():
    stretch = stretches_of(placed_plan())[0]
    means, seen = mesh_means(placed_plan().match, stretch.table, stretch.coverage_map.mesh)
    rows = [stretch.table.choice[c, p] for c, p in enumerate(stretch.table.planned)]
    np.testing.assert_allclose(means[rows], stretch.coverage_map.quality, atol=1e-5)
    np.testing.assert_allclose(seen[rows], stretch.coverage_map.seen, atol=1e-5)
    assert (stretch.coverage_map.seen - stretch.coverage_map.quality).max() > 0.1


def test_pictures_run_from_widest_to_a_moment_that_must_not_be_missed():
    plan = default_plan("football")
    for camera, assignment in enumerate(stretches_of(plan)[0].first.assignments):
        widest, often, key = key_frames(plan.match, stretches_of(plan)[0], camera)
        assert (widest.role, often.role, key.role) == ("widest", "often", "key moment")
        assert widest.frame.view.focal_mm == pytest.approx(assignment.focal_mm[0])
        assert widest.frame.view.focal_mm <= often.frame.view.focal_mm + 1e-9
        assert key.frame.moment.must
        assert assignment.lens.focal_mm[0] <= key.frame.view.focal_mm <= assignment.lens.focal_mm[1]


def test_no_picture_is_shown_twice():
    for sport in ("netball", "basketball"):
        plan = default_plan(sport, 1)
        shots = [(s.frame.moment.key, s.frame.at_m, round(s.frame.view.focal_mm)) for s in
                 key_frames(plan.match, stretches_of(plan)[0], 0)]  # fmt: skip
        assert len(shots) == len(set(shots)) == 3, sport
