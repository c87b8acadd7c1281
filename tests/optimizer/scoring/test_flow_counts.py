"""How play moves, counted from events with times, against counts by hand."""

import numpy as np
import pytest

from standmark.optimizer.scoring.flow_counts import TimedEvents, count_flow

EDGES_M = np.array([-50.0, 0.0, 50.0])


def events(*rows):
    match, time_s, x_m, side = (np.array(column) for column in zip(*rows, strict=True))
    return TimedEvents(match, time_s.astype(float), x_m.astype(float), side)


def test_plays_are_counted_by_zone_and_side():
    told = events(
        (0, 0, -10, 0),
        (0, 3, 20, 0),  # within the first play
        (0, 20, 10, 0),  # the same side, from zone 0 to 1: 20 s on, 12 of them to walk
        (0, 50, -60, 1),  # the other side, beyond its own end
        (0, 70, -5, 1),
        (0, 400, 5, 1),  # after an interval
        (1, 410, 5, 1),  # of another match
    )
    found = count_flow(told, EDGES_M, play_s=8.0)
    assert found.same.tolist() == [[1, 1], [0, 0]]
    assert found.other.tolist() == [[0, 0], [1, 0]]
    assert found.walk_s == (12.0, 22.0)
    assert (found.n_plays, found.n_matches) == (6, 2)


def test_the_order_of_rows_does_not_matter():
    rng = np.random.default_rng(3)
    told = TimedEvents(rng.integers(0, 3, 500), rng.random(500) * 3000, rng.normal(0, 25, 500), rng.integers(0, 2, 500))
    mixed = rng.permutation(500)
    other = TimedEvents(told.match[mixed], told.time_s[mixed], told.x_m[mixed], told.side[mixed])
    first, second = count_flow(told, EDGES_M, play_s=5.0), count_flow(other, EDGES_M, play_s=5.0)
    assert np.array_equal(first.same, second.same)
    assert np.array_equal(first.other, second.other)
    assert first.walk_s == second.walk_s


def test_known_chances_come_out_again():
    rng = np.random.default_rng(5)
    chance = np.array([[0.7, 0.2, 0.0, 0.1], [0.3, 0.5, 0.2, 0.0]])  # same side zone 0, 1; other side zone 0, 1
    rows, zone, side = [], 0, 0
    for play in range(20_000):
        rows.append((0, 15.0 * play, -25.0 + 50.0 * zone, side))
        after = int(rng.choice(4, p=chance[zone]))
        zone, side = after % 2, side if after < 2 else 1 - side
    found = count_flow(events(*rows), EDGES_M, play_s=8.0)
    counts = np.hstack([found.same, found.other])
    assert counts / counts.sum(axis=1, keepdims=True) == pytest.approx(chance, abs=0.02)
    assert found.walk_s == (7.0, 7.0)
