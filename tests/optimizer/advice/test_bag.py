"""The bag against what sports ask for, and what to hire where it is short."""

from dataclasses import replace

import pytest
from small_match import EAST, SIDE, small_match

from standmark.geometry.optics.camera import Lens
from standmark.optimizer.advice.bag import ALWAYS_TRIED_MM, PAYS, _zooms_first, bag_advice
from standmark.optimizer.advice.grid_people import grid_people
from standmark.optimizer.advice.kit_value import grid_with, lens_outfits
from standmark.optimizer.advice.replan import replan, stages_value
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.match.match import camera_copies
from standmark.optimizer.match.presets import LONG
from standmark.optimizer.planning import plan
from standmark.optimizer.planning.plan_match import planned
from standmark.sports.library import load_sport, sport_keys


def with_lenses(*lenses, cameras=1, mode=None, **more):
    match = small_match(areas=(SIDE, EAST), moments=("goal", "duel"), cameras=cameras, **more)
    first = replace(match.cameras[0], lenses=lenses, mode=mode or match.cameras[0].mode)
    return replace(match, cameras=camera_copies((first,), cameras))


def test_a_short_bag_says_what_to_hire_and_what_that_gains():
    found = plan(with_lenses(Lens("24-70", (24.0, 70.0))), advice="quick")
    bag = found.advice.bag
    assert bag.is_short
    assert bag.longest_mm == 70.0
    assert bag.asked_mm[1] == 400.0
    richer = plan(with_lenses(Lens("24-70", (24.0, 70.0)), bag.hire.lens))
    assert bag.hire.coverage == pytest.approx(richer.coverage, abs=0.004)  # that one is refined anew
    assert bag.hire.gain == pytest.approx(bag.hire.coverage - bag.coverage, abs=1e-9)
    assert bag.hire.gain > 0.05
    assert (bag.coverage, bag.seen) == pytest.approx((found.coverage, found.seen), abs=1e-5)
    assert bag.hire.seen == pytest.approx(richer.seen, abs=0.01)
    assert bag.hire.seen > bag.hire.coverage + 0.05


def test_a_long_bag_asks_for_nothing_and_a_small_sensor_counts_as_longer():
    long = Lens("100-400", (100.0, 400.0), (4.5, 5.6))
    assert not plan(with_lenses(long), advice="quick").advice.bag.is_short
    small = with_lenses(Lens("70-200", (70.0, 200.0)))
    half = replace(small.cameras[0].mode, width_mm=18.0, height_mm=10.125)
    bag = plan(replace(small, cameras=(replace(small.cameras[0], mode=half),)), advice="quick").advice.bag
    assert bag.longest_mm == pytest.approx(400.0)
    assert not bag.is_short


@pytest.mark.parametrize("key", sport_keys())
def test_every_sport_says_what_it_asks_for(key):
    short, long = load_sport(key).bag.focal_mm
    assert 10 <= short < long <= 800


@pytest.mark.parametrize("short_mm", [70.0, 200.0, 260.0])
def test_the_lens_to_hire_is_the_shortest_within_a_hundredth_of_the_best(short_mm):
    """As planning with every lens in turn would choose: most lenses are ruled out by a bound before that."""
    match = with_lenses(Lens("24-70", (24.0, 70.0)), cameras=2)
    longer = replace(match.cameras[1], lenses=(Lens("zoom", (60.0, short_mm)),))
    hire = tuple(Lens(f"{mm / 5:g}-{mm:g}", (mm / 5, mm)) for mm in (220.0, 300.0, 450.0))
    match = replace(match, cameras=(match.cameras[0], longer), hire=hire)
    stages = planned(match, Memory()).stages
    now = stages_value(stages)
    gains = {}
    for lens in _zooms_first({*match.hire, *LONG}):
        if lens.focal_mm[1] <= ALWAYS_TRIED_MM:
            gains[lens] = max(
                (round(_gain_with(match, stages, lens, i) - now, 9), -i)
                for i in (0, 1)
                if lens.focal_mm[1] > match.cameras[i].lenses[0].focal_mm[1]
            )
    most = max(gain for gain, _ in gains.values())
    wanted = next((lens, gain) for lens, gain in gains.items() if gain[0] > most - PAYS) if most >= PAYS else None
    hire = bag_advice(match, stages, grid_people(stages[0].grid)).hire
    found = None if hire is None else (hire.lens, (round(hire.gain, 9), -"AB".index(hire.camera)))
    assert found == wanted


def _gain_with(match, stages, lens, index):
    camera = match.cameras[index]
    richer = replace(camera, lenses=(*camera.lenses, lens))
    cameras = (*match.cameras[:index], richer, *match.cameras[index + 1 :])
    grid = grid_with(match, stages, lens_outfits(match, index, lens))
    return replan(replace(match, cameras=cameras), stages, grid=grid).coverage
