"""The value model: limits, monotone behaviour, and sampling fine enough."""

from dataclasses import replace

import numpy as np
import pytest

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.match.presets import DELIVERABLES, MODES, OPERATORS, SUPPORTS
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.quality import FACTORS, SEEN, Surroundings, quality_matrix, row_factors
from standmark.optimizer.value.size import focal_in_use_mm, framed_extent_m, reach_in_use_m_mm, size_share, wanted_size
from standmark.optimizer.value.targets import CELLS_PER_ZONE, period_targets

HIGHLIGHTS = DELIVERABLES["highlights"]
TELE = Outfit(MODES["full-frame-uhd"], Lens("70-200", (70.0, 200.0)), SUPPORTS["tripod"])


def coverages(match, positions_m, cells):
    targets = period_targets(match, match.sport.periods[0], cells=cells)
    rows = match_rows(match, match_candidates(match))
    rows = replace(rows, n_positions=len(positions_m))
    quality = quality_matrix(positions_m, targets, rows=rows, deliverable=match.deliverable, around=Surroundings())
    return quality.astype(np.float64) @ targets.weight


@pytest.mark.parametrize("sport", ["football", "rugby-union", "field-hockey", "basketball", "netball", "tennis"])
def test_halving_the_grid_moves_coverage_by_under_half_a_point(sport):
    match = default_match(sport)
    positions_m = match_candidates(match).xyz_m
    chosen = positions_m[:: max(1, len(positions_m) // 25)]
    assert np.abs(coverages(match, chosen, CELLS_PER_ZONE) - coverages(match, chosen, 4 * CELLS_PER_ZONE)).max() < 0.005


def test_size_is_nothing_when_too_small_and_whole_when_wanted():
    wanted = wanted_size(np.array([1.8]), np.array([[3.0, 2.2]]), mode=TELE.mode, deliverable=HIGHLIGHTS)

    def size(distance_m, focal_mm):
        return float(size_share(np.array([[distance_m / focal_mm]]), wanted)[0, 0])

    # share of frame height = 1.8 f / (20.25 D) = f / 202.5 at 18 m: 0.12 at 24.3 mm, 0.45 at 91.125 mm
    assert size(18.0, 24.2) == 0.0
    assert size(18.0, 25.0) > 0.0
    assert size(18.0, 91.2) == pytest.approx(1.0)
    assert size(18.0, 88.0) < 1.0
    values = [size(18.0, f) for f in (30, 40, 55, 75, 100, 150)]
    assert values == sorted(values)


def test_a_wide_action_is_not_blamed_for_being_wide():
    # 30 m wide: even framed to the edge a person fills little, and that is all one can want
    wanted = wanted_size(np.array([1.8]), np.array([[30.0, 4.0]]), mode=TELE.mode, deliverable=HIGHLIGHTS)
    share = size_share(np.array([[30.0 / (36.0 * 0.85)]]), wanted)
    assert share[0, 0] == pytest.approx(1.0)


def test_the_focal_length_in_use_gives_full_size_and_no_more():
    match = default_match("football")
    targets = period_targets(match, match.sport.periods[0])
    extent_m = framed_extent_m(targets.extent_m, HIGHLIGHTS)
    wanted = wanted_size(targets.subject_m, extent_m, mode=TELE.mode, deliverable=HIGHLIGHTS)
    distance_m = np.linspace(3.0, 120.0, 40)[:, None] + np.zeros(len(targets.weight))
    focal_mm = focal_in_use_mm(distance_m, wanted, TELE.lens)
    reach = reach_in_use_m_mm(distance_m, wanted, TELE.lens)
    np.testing.assert_allclose(focal_mm, distance_m / reach)
    size = size_share(reach, wanted)
    fits_mm = distance_m * np.minimum(36.0 * 0.85 / extent_m[:, 0], 20.25 * 0.9 / extent_m[:, 1])
    free = (focal_mm > 70.001) & (focal_mm < 199.999)
    np.testing.assert_allclose(size[free], 1.0, atol=1e-12)
    assert np.all(focal_mm[free] <= 0.9001 * fits_mm[free])
    assert size_share(1.03 * reach, wanted)[free].max() < 1.0  # any looser and it falls short
    assert np.all(size[focal_mm > 199.999] <= 1.0)


def test_seen_is_the_product_of_its_factors_and_value_what_the_wish_for_faces_leaves():
    match = default_match("football")
    targets = period_targets(match, match.sport.periods[0])
    spot = np.array([57.0, 12.0, 1.2])
    for wish in (0.0, 0.4, 1.0):
        film = replace(HIGHLIGHTS, faces=wish)
        factors = row_factors(spot, targets, outfit=TELE, deliverable=film, around=Surroundings())
        for name in FACTORS:
            values = getattr(factors, name)
            assert values.min() >= 0
            assert values.max() <= 1 + 1e-12
        assert factors.seen == pytest.approx(np.prod([getattr(factors, name) for name in SEEN], axis=0))
        lost = wish * targets.faces_matter * (1 - factors.faces)
        assert factors.quality == pytest.approx(factors.seen * (1 - lost))
        assert factors.shown == pytest.approx(factors.seen * factors.faces)
        assert factors.quality_without("faces") == pytest.approx(factors.seen)
        assert factors.quality_without("held") * factors.held == pytest.approx(factors.quality)
        assert factors.focal_mm.min() >= 70
        assert factors.focal_mm.max() <= 200


@pytest.mark.parametrize("sport", ["football", "volleyball"])  # one where nobody leaps, one where they do
def test_the_matrix_holds_the_same_values_as_single_rows(sport):
    match = default_match(sport, cameras=2)
    match = replace(match, deliverable=replace(match.deliverable, look_down_deg=12.0))
    targets = period_targets(match, match.sport.periods[0])
    positions_m = match_candidates(match).xyz_m[::97]
    outfits = (TELE, replace(TELE, operator=OPERATORS["new"]), replace(TELE, support=SUPPORTS["gimbal"]))
    rows = Rows(outfits, len(positions_m), ())
    matrix = quality_matrix(positions_m, targets, rows=rows, deliverable=match.deliverable, around=Surroundings())
    for index in range(len(matrix)):
        at, outfit = positions_m[rows.position(index)], rows.outfit(index)
        single = row_factors(at, targets, outfit=outfit, deliverable=match.deliverable, around=Surroundings())
        np.testing.assert_allclose(matrix[index], single.quality, atol=2e-5)


def test_a_late_operator_holds_less_and_a_looser_deliverable_more():
    match = default_match("football")
    targets = period_targets(match, match.sport.periods[0])
    spot = np.array([57.0, 12.0, 1.2])
    held = [
        row_factors(
            spot, targets, outfit=replace(TELE, operator=OPERATORS[name]), deliverable=HIGHLIGHTS, around=Surroundings()
        ).held
        for name in ("expert", "practised", "new")
    ]
    assert targets.weight @ held[0] > targets.weight @ held[1] + 0.01 > targets.weight @ held[2] + 0.02
    loose = row_factors(spot, targets, outfit=TELE, deliverable=DELIVERABLES["analysis"], around=Surroundings()).held
    assert targets.weight @ loose > targets.weight @ held[0]


def test_light_and_sight_enter_the_product():
    match = default_match("football")
    targets = period_targets(match, match.sport.periods[0])
    spot = np.array([57.0, 12.0, 1.2])
    plain = row_factors(spot, targets, outfit=TELE, deliverable=HIGHLIGHTS, around=Surroundings())
    dim = Surroundings(
        light=lambda sight: np.full_like(sight.run_m, 0.5), sight=lambda p, t: np.full((len(p), len(t.weight)), 0.8)
    )
    changed = row_factors(spot, targets, outfit=TELE, deliverable=HIGHLIGHTS, around=dim)
    assert changed.quality == pytest.approx(0.4 * plain.quality)


def test_analysis_wants_height():
    match = replace(default_match("football"), deliverable=DELIVERABLES["analysis"])
    low, high = coverages(match, np.array([[0.0, -44.0, 1.6], [0.0, -44.0, 8.0]]), 48).reshape(2, 2).max(axis=0)
    assert high > low + 0.2  # common practice, no source: team shape is filmed from high and wide
