"""What is nearer than a lens can focus has no value, in the matrix and in the factors of one place."""

from dataclasses import replace

import numpy as np
import pytest
from engines import ENGINES, use

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.outfit import Rows, camera_outfits
from standmark.optimizer.value.quality import Surroundings, quality_matrix, row_factors
from standmark.optimizer.value.targets import period_targets

MATCH = default_match("tennis")


@pytest.mark.parametrize("engine", ENGINES)
def test_nothing_nearer_than_the_close_focus_counts(engine, monkeypatch):
    use(engine, monkeypatch)
    targets = period_targets(MATCH, MATCH.sport.periods[0])
    lenses = tuple(Lens("zoom", (24.0, 70.0), (2.8, 2.8), close_focus_m=m) for m in (0.3, 9.0))
    outfits = camera_outfits(MATCH, replace(MATCH.cameras[0], lenses=lenses))
    places_m = np.array([[0.0, 7.0, 1.6], [12.5, 0.5, 1.2], [0.0, 40.0, 3.0]])
    rows = Rows(outfits, len(places_m), (np.arange(2 * len(places_m)),))
    near, far = quality_matrix(
        places_m, targets, rows=rows, deliverable=MATCH.deliverable, around=Surroundings()
    ).reshape(2, len(places_m), -1)
    away_m = np.linalg.norm(targets.xyz_m[None] - places_m[:, None], axis=2)
    assert (away_m[:2] < 9.0).any()
    assert (near[away_m < 9.0] > 0.0).any()
    np.testing.assert_array_equal(far, np.where(away_m < 9.0, 0.0, near))
    for place, row in zip(places_m, far, strict=True):
        factors = row_factors(place, targets, outfit=outfits[1], deliverable=MATCH.deliverable, around=Surroundings())
        np.testing.assert_allclose(factors.quality, row, atol=1e-5)
