"""The compiled value model gives what its numpy reference gives, over scenes of every kind."""

from dataclasses import replace

import numpy as np
import pytest
from engines import in_both, use

from standmark.geometry.arrays import Singles
from standmark.geometry.optics.camera import Lens, Operator
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.presets import DELIVERABLES, MODES, OPERATORS, SUPPORTS
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.value.ground_view import FixedSight, SunLight
from standmark.optimizer.value.outfit import Outfit, Rows
from standmark.optimizer.value.people import people_shares
from standmark.optimizer.value.quality import Surroundings, quality_matrix
from standmark.optimizer.value.surroundings import fixed_occluders, venue_stands
from standmark.optimizer.value.targets import period_targets

WITHIN = 1e-5
LENSES = [(24.0, 70.0), (70.0, 200.0), (10.0, 10.0), (4.0, 120.0), (100.0, 400.0), (600.0, 600.0)]
# leaping players, lone ones, crowds that lean either way, wide and narrow actions
SPORTS = ["football", "basketball", "volleyball", "netball", "baseball", "water-polo", "rugby-union", "cricket"]


def drawn_outfits(rng, n):
    return tuple(
        Outfit(
            MODES[rng.choice(list(MODES))],
            Lens("drawn", LENSES[rng.integers(len(LENSES))]),
            SUPPORTS[rng.choice(list(SUPPORTS))],
            Operator("drawn", float(rng.uniform(0.0, 1.0)))
            if rng.random() < 0.3
            else OPERATORS[rng.choice(list(OPERATORS))],
        )
        for _ in range(n)
    )


def drawn_positions(rng, n, targets):
    """Places all round, low and high, some at heads' height, some straight above or at a target."""
    reach = 1.4 * np.abs(targets.xyz_m[:, :2]).max(axis=0)
    xyz_m = np.column_stack([rng.uniform(-reach, reach, (n, 2)), rng.uniform(0.3, 15.0, n)])
    xyz_m[: n // 2, 2] = rng.choice([0.6, 1.2, 1.6, 1.8, 1.95, 2.0, 2.2], n // 2)
    xyz_m[:2] = targets.xyz_m[rng.integers(len(targets.weight), size=2)] + [[0.0, 0.0, 8.0], [0.0, 0.0, 0.0]]
    return xyz_m


def drawn_walls(rng, reach_m):
    """Walls, nets, things in the air and blocks."""
    for _ in range(int(rng.integers(1, 9))):
        base, see = float(rng.choice([0.0, 0.0, 1.2])), float(rng.choice([0.0, 0.5, 0.85]))
        size, middle = rng.uniform(0.3, 6.0, 2), rng.uniform(-reach_m, reach_m)
        corners = middle + size * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        is_block = bool(rng.random() < 0.2)
        footprint = tuple(map(tuple, (corners if is_block else corners[: rng.integers(2, 5)]).tolist()))
        yield Occluder("drawn", footprint, base, base + float(rng.uniform(0.5, 3.0)), see, is_block)


def drawn_scene(seed):
    rng = np.random.default_rng(seed)
    match = default_match(SPORTS[seed % len(SPORTS)])
    film = DELIVERABLES[rng.choice(list(DELIVERABLES))]
    if rng.random() < 0.3:
        film = replace(film, look_down_deg=float(rng.uniform(0.0, 30.0)), look_down_most_deg=float(rng.uniform(30, 90)))
    targets = period_targets(match, match.sport.periods[0], cells=int(rng.choice([1, 9, 16])))
    targets = replace(
        targets,
        crowd_lean=rng.choice([-0.6, 0.0, 0.9], len(targets.weight)),
        feet_m=targets.feet_m + rng.choice([0.0, 0.0, 0.8], len(targets.weight)),
    )
    stands = venue_stands(replace(match, venue=replace(match.venue, stand_height_m={"+x": 15.0, "-y": 12.0})))
    suns = rng.normal(size=(4, 3)) * (1.0, 1.0, 0.4)
    suns /= np.linalg.norm(suns, axis=1)[:, None]
    light = [None, SunLight(tuple(map(tuple, suns.tolist()))), SunLight(tuple(map(tuple, suns.tolist())), stands)]
    walls = (*fixed_occluders(match), *drawn_walls(rng, np.abs(targets.xyz_m[:, :2]).max(axis=0)))
    around = Surroundings(light[seed % 3], [None, FixedSight(walls)][rng.integers(2)])
    positions_m = drawn_positions(rng, int(rng.integers(3, 16)), targets)
    return positions_m, targets, drawn_outfits(rng, int(rng.integers(1, 7))), film, around


def values(scene) -> Singles:
    positions_m, targets, outfits, film, around = scene
    rows = Rows(outfits, len(positions_m), ())
    with np.errstate(
        over="ignore", divide="ignore"
    ):  # straight above a target the rate of panning has no limit, and at it size
        return quality_matrix(positions_m, targets, rows=rows, deliverable=film, around=around)


@pytest.mark.parametrize("seed", range(24))
def test_both_engines_agree(seed, monkeypatch):
    scene = drawn_scene(seed)
    reference, compiled = in_both(lambda: values(scene), monkeypatch)
    np.testing.assert_allclose(compiled, reference, rtol=0.0, atol=WITHIN)
    assert reference.max() > 0.05


@pytest.mark.parametrize("seed", range(4))
def test_both_engines_agree_on_people(seed, monkeypatch):
    positions_m, targets, *_ = drawn_scene(seed)
    reference, compiled = in_both(lambda: people_shares(positions_m, targets), monkeypatch)
    for one, other in zip(reference, compiled, strict=True):
        np.testing.assert_allclose(other, one, rtol=0.0, atol=WITHIN)


def test_light_of_any_kind_is_taken(monkeypatch):
    positions_m, targets, outfits, film, _ = drawn_scene(1)
    halves = Surroundings(light=lambda sight: np.full_like(sight.run_m, 0.5))
    for engine in ("numpy", "compiled"):
        use(engine, monkeypatch)
        whole = values((positions_m, targets, outfits, film, Surroundings()))
        half = values((positions_m, targets, outfits, film, halves))
        np.testing.assert_allclose(half, 0.5 * whole, rtol=1e-6, atol=1e-9)


def test_the_cut_of_the_work_and_the_number_of_threads_change_nothing(monkeypatch):
    use("compiled", monkeypatch)
    positions_m, targets, outfits, film, around = drawn_scene(2)
    many_m = np.tile(positions_m, (40, 1))
    matrix = values((many_m, targets, outfits, film, around)).reshape(len(outfits), 40, len(positions_m), -1)
    alone = values((positions_m, targets, outfits, film, around)).reshape(len(outfits), 1, len(positions_m), -1)
    assert np.array_equal(matrix, np.broadcast_to(alone, matrix.shape))


def test_arrays_that_do_not_fit_together_are_refused(monkeypatch):
    use("compiled", monkeypatch)
    from standmark.optimizer.value import value_kernel

    with pytest.raises(ValueError, match="do not fit together"):
        value_kernel.people(*(np.zeros(3, np.float32) for _ in range(6)))
    with pytest.raises(TypeError, match="too few"):
        value_kernel.fill()
