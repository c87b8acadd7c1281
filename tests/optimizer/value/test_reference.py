"""The value model in numpy, the reference of the compiled one: a matrix holds what its single rows hold."""

from dataclasses import replace

import numpy as np
import pytest
from engines import use

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.presets import DELIVERABLES, MODES, OPERATORS, SUPPORTS
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.quality import FACTORS, Factors, Surroundings, quality_matrix, row_factors
from standmark.optimizer.value.targets import period_targets

TELE = Outfit(MODES["full-frame-uhd"], Lens("70-200", (70.0, 200.0)), SUPPORTS["tripod"])
OUTFITS = (
    TELE,
    replace(TELE, operator=OPERATORS["new"]),
    replace(TELE, support=SUPPORTS["gimbal"]),
    replace(TELE, lens=Lens("24-70", (24.0, 70.0))),
    TELE,
)
MATCH = default_match("football")
TARGETS = period_targets(MATCH, MATCH.sport.periods[0], cells=1)
PLACES_M = np.array([[57.0, 12.0, 1.2], [0.0, -38.0, 1.6], [-20.0, 39.0, 6.0]])
DIM = Surroundings(
    light=lambda sight: np.where(sight.run_m > 40.0, 0.5, 0.9).astype(sight.run_m.dtype),
    sight=lambda p, t: np.tile(np.linspace(0.4, 1.0, len(t.weight), dtype=np.float32), (len(p), 1)),
)


@pytest.mark.parametrize("engine", ["numpy", "compiled"])
@pytest.mark.parametrize(("wish", "down_deg"), [(0.0, None), (0.4, 12.0), (1.0, None)])
@pytest.mark.parametrize("around", [Surroundings(), DIM, replace(DIM, sight=None), replace(DIM, light=None)])
def test_a_matrix_holds_its_single_rows(engine, wish, down_deg, around, monkeypatch):
    use(engine, monkeypatch)
    film = replace(DELIVERABLES["highlights"], faces=wish)
    film = film if down_deg is None else replace(film, look_down_deg=down_deg)
    rows = Rows(OUTFITS, len(PLACES_M), ())
    matrix = quality_matrix(PLACES_M, TARGETS, rows=rows, deliverable=film, around=around)
    assert matrix.shape == (15, len(TARGETS.weight))
    for index, found in enumerate(matrix):
        at, outfit = PLACES_M[index % 3], OUTFITS[index // 3]
        single = row_factors(at, TARGETS, outfit=outfit, deliverable=film, around=around)
        np.testing.assert_allclose(found, single.quality, atol=2e-5)
    assert matrix.max() > 0.1


def test_many_places_hold_what_each_holds_alone(monkeypatch):
    use("numpy", monkeypatch)
    film = MATCH.deliverable

    def matrix(places_m):
        rows = Rows((TELE,), len(places_m), ())
        return quality_matrix(places_m, TARGETS, rows=rows, deliverable=film, around=DIM)

    assert np.array_equal(matrix(np.tile(PLACES_M, (100, 1))), np.tile(matrix(PLACES_M), (100, 1)))
    assert matrix(PLACES_M[:0]).shape == (0, len(TARGETS.weight))


def test_factors_multiply_and_faces_take_their_part_of_the_worth():
    size, clear, held, light, faces, wish = np.array(
        [[0.9, 1.0], [0.5, 1.0], [0.8, 1.0], [0.7, 1.0], [0.25, 0.5], [0.4, 1.0]]
    )
    factors = Factors(size, clear, held, light, faces, wish, np.array([100.0, 200.0]))
    seen, worth = np.array([0.9 * 0.5 * 0.8 * 0.7, 1.0]), np.array([1 - 0.4 * 0.75, 0.5])
    for found, right in (
        (factors.seen, seen), (factors.shown, seen * faces), (factors.quality, seen * worth),
        (factors.quality_without("faces"), seen),
        *((factors.quality_without(name), seen * worth / getattr(factors, name)) for name in FACTORS[:-1]),
    ):  # fmt: skip
        assert found == pytest.approx(right)
