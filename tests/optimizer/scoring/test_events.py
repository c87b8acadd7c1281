"""Real events: places in zones, mixtures of moments, periods and ends, and promise against capture."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from small_match import small_match, station_at

from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.scoring.choice import choice_score, period_tasks
from standmark.optimizer.scoring.events import UNKNOWN, Events, capture, event_kinds, moment_density
from standmark.optimizer.value.targets import sample_zone, targets_at
from standmark.optimizer.work.assignment import station_factors
from standmark.sports.sport import Zone

FOOTBALL = default_match("football")


def events_at(xy_m, *, moment=UNKNOWN, period=UNKNOWN):
    n = len(xy_m)
    moments, periods = np.full(n, moment), np.full(n, period)
    return Events(np.array(xy_m, float), moments, periods, np.ones(n), np.full(n, UNKNOWN))


def captured(match, choice, events):
    tasks = period_tasks(match)
    kinds = event_kinds(match, events)
    return capture(match, choice, choice_score(match, choice, tasks=tasks).periods, tasks, events, kinds=kinds)


def with_boxes(match, **boxes):
    """The match with each named moment's zones replaced by one box, rate and importance 1 where given."""
    moments = []
    for moment in match.sport.moments:
        if moment.key in boxes:
            box, rate, importance = boxes[moment.key]
            zones = (Zone(shapely.box(*box), 1.0),)
            moment = replace(moment, zones=zones, rate_per_match=rate, importance=importance)
        moments.append(moment)
    return replace(match, sport=replace(match.sport, moments=tuple(moments)))


def test_a_place_is_mixed_from_the_moments_that_hold_it_by_worth_and_density():
    # goal: 10 x 10 m box worth 2 x 10; save: 5 x 4 m box worth 4 x 5; at a common place 20/100 : 20/20 = 1 : 5
    match = with_boxes(
        small_match(moments=("goal", "save")), goal=((40, -5, 50, 5), 2.0, 10.0), save=((42, -2, 47, 2), 4.0, 5.0)
    )
    kinds = event_kinds(match, events_at([(45, 0), (41, 4), (0, 0)]))
    assert kinds.share[0] == pytest.approx([1 / 6, 5 / 6])
    assert kinds.share[1] == pytest.approx([1, 0])
    assert kinds.share[2] == pytest.approx([1, 0])  # in no zone: the goal's lies nearest, 40 m away against 42
    assert kinds.outside.tolist() == [False, False, True]


def test_moments_that_are_not_play_do_not_mix_in():
    share = event_kinds(FOOTBALL, events_at([(14, 15), (30, 0), (45, 3)])).share
    for index, moment in enumerate(FOOTBALL.sport.moments):
        if not moment.is_play:
            assert not share[:, index].any()
    assert share.sum(axis=1) == pytest.approx(1)


def test_a_named_moment_is_taken_as_named():
    index = [m.key for m in FOOTBALL.sport.moments].index("goal")
    kinds = event_kinds(FOOTBALL, events_at([(45, 0), (-45, 0)], moment=index))
    assert kinds.share[:, index].tolist() == [1, 1]
    assert kinds.outside.tolist() == [False, True]


def test_a_place_on_the_edge_of_two_zones_counts_half_in_each():
    halves = (Zone(shapely.box(40, -5, 45, 5), 0.8), Zone(shapely.box(45, -5, 50, 5), 0.2))
    moment = replace(FOOTBALL.sport.moments[0], zones=halves)
    places = np.array([(42.0, 0), (45, 0), (48, 0), (50, 0), (51, 0)])
    assert moment_density(moment, places) == pytest.approx(np.array([0.016, 0.01, 0.004, 0.002, 0]))


def test_densities_integrate_to_one():
    step = 0.25
    x, y = np.meshgrid(np.arange(-70, 70, step) + step / 2, np.arange(-50, 50, step) + step / 2)
    xy_m = np.column_stack([x.ravel(), y.ravel()])
    for moment in FOOTBALL.sport.moments[:6]:
        assert moment_density(moment, xy_m).sum() * step**2 == pytest.approx(1, abs=0.06)


@pytest.mark.parametrize("cameras", [1, 2])
def test_an_event_is_captured_as_the_value_model_says(cameras):
    match = small_match(cameras=cameras, cover="ours", other_side_weight=0.5)
    stations = tuple(station_at(match, (0, 57)[i], (-38, -12)[i], 1.2, camera=i) for i in range(cameras))
    place = np.array([[44.0, 3.0]])
    goal = match.sport.moments[0]
    around = period_tasks(match)[0].around
    best = {}
    for turned in (False, True):
        targets = targets_at(goal, place, turned=turned)
        best[turned] = max(station_factors(match, s, targets, around=around).seen[0] for s in stations)
    # our side attacks +x first and weighs 1, theirs 0.5
    by_hand = [(best[False] + 0.5 * best[True]) / 1.5, (best[True] + 0.5 * best[False]) / 1.5]
    for period in (0, 1):
        found = captured(match, [stations] * 2, events_at(place, moment=0, period=period))
        assert found.captured[0, 0] == pytest.approx(by_hand[period], abs=1e-12)
    both = captured(match, [stations] * 2, events_at(place, moment=0))
    assert both.captured[0, 0] == pytest.approx(np.mean(by_hand), abs=1e-12)


def test_events_spread_as_the_zones_say_are_captured_as_promised():
    match = small_match(cover="ours")
    choice = [(station_at(match, 10, -38),), (station_at(match, 57, -12, 1.2),)]
    for index, moment in enumerate(match.sport.moments):
        xy_m, weight = [], []
        for zone in moment.zones:
            cells, share = sample_zone(zone.shape)  # the very places that targets stand on
            xy_m.append(cells)
            weight.append(share * zone.weight)
        events = events_at(np.concatenate(xy_m), moment=index)
        found = captured(match, choice, events)
        share = np.concatenate(weight) @ found.captured[:, index]
        assert share == pytest.approx(found.promised[0, index], abs=1e-9)


def test_repeated_places_and_parts_change_nothing():
    match = small_match()
    choice = [(station_at(match, 10, -38),)] * 2
    rng = np.random.default_rng(3)
    xy_m = rng.uniform([-50, -30], [50, 30], (40, 2)).round(1)
    whole = captured(match, choice, events_at(np.vstack([xy_m, xy_m])))
    part = captured(match, choice, events_at(xy_m))
    assert (whole.captured[:40] == whole.captured[40:]).all()
    assert whole.captured[:40] == pytest.approx(part.captured, abs=1e-15)
