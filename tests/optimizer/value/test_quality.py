"""The value model: limits, monotone behaviour, and sampling fine enough."""

from dataclasses import replace

import numpy as np
import pytest

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.rows import match_rows
from standmark.optimizer.match.presets import DELIVERABLES, MODES, SUPPORTS
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.quality import FACTORS, Surroundings, quality_matrix, row_factors
from standmark.optimizer.value.size import size_share, wanted_size
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
        return float(size_share(np.array([[distance_m]]), wanted, focal_mm=np.array([[focal_mm]]))[0, 0])

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
    share = size_share(np.array([[40.0]]), wanted, focal_mm=np.array([[40.0 * 36.0 * 0.85 / 30.0]]))
    assert share[0, 0] == pytest.approx(1.0)


def test_every_factor_is_a_share_and_quality_their_product():
    match = default_match("football")
    targets = period_targets(match, match.sport.periods[0])
    factors = row_factors(
        np.array([57.0, 12.0, 1.2]), targets, outfit=TELE, deliverable=HIGHLIGHTS, around=Surroundings()
    )
    product = np.ones(len(targets.weight))
    for name in FACTORS:
        values = getattr(factors, name)
        assert values.min() >= 0
        assert values.max() <= 1 + 1e-12
        product *= values
    assert factors.quality == pytest.approx(product)
    assert factors.focal_mm.min() >= 70
    assert factors.focal_mm.max() <= 200


def test_light_and_sight_enter_the_product():
    match = default_match("football")
    targets = period_targets(match, match.sport.periods[0])
    spot = np.array([57.0, 12.0, 1.2])
    plain = row_factors(spot, targets, outfit=TELE, deliverable=HIGHLIGHTS, around=Surroundings())
    dim = Surroundings(
        light=lambda looks: np.full_like(looks.run_m, 0.5), sight=lambda p, t: np.full((len(p), len(t.weight)), 0.8)
    )
    changed = row_factors(spot, targets, outfit=TELE, deliverable=HIGHLIGHTS, around=dim)
    assert changed.quality == pytest.approx(0.4 * plain.quality)


def test_analysis_wants_height():
    match = replace(default_match("football"), deliverable=DELIVERABLES["analysis"])
    low, high = coverages(match, np.array([[0.0, -44.0, 1.6], [0.0, -44.0, 8.0]]), 48).reshape(2, 2).max(axis=0)
    assert high > low + 0.2  # common practice, no source: team shape is filmed from high and wide
