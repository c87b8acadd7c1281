"""Shortest ways among obstacles, against hand-made grounds, bounds that always hold, and a dense grid as judge."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from standmark.geometry.walk import _way_to_second, shortest_way, terrain

SQUARE = shapely.box(-10, -10, 10, 10)


def test_round_a_square_from_side_to_side():
    way = shortest_way(terrain([SQUARE]), (-20.0, 0.0), (20.0, 0.0))
    assert way is not None
    assert way.length_m == pytest.approx(2 * math.hypot(10, 10) + 20)
    assert way.points_m[0] == (-20.0, 0.0)
    assert way.points_m[-1] == (20.0, 0.0)


def test_a_way_may_run_along_an_edge():
    way = shortest_way(terrain([SQUARE]), (-20.0, 10.0), (20.0, 10.0))
    assert way is not None
    assert way.length_m == pytest.approx(40.0)


def test_a_place_on_an_obstacle_is_left_by_the_nearest_edge():
    way = shortest_way(terrain([SQUARE]), (0.0, -9.0), (0.0, 20.0))
    assert way is not None
    assert way.length_m == pytest.approx(1 + 10 + 20 + math.hypot(10, 10))


def test_a_walled_in_place_has_no_way_out():
    wall = shapely.box(-20, -20, 20, 20).difference(SQUARE)
    assert shortest_way(terrain([wall]), (0.0, 0.0), (40.0, 0.0)) is None
    gap = wall.difference(shapely.box(10, -1, 20, 1))
    way = shortest_way(terrain([gap]), (0.0, 0.0), (40.0, 0.0))
    assert way is not None
    assert way.length_m == pytest.approx(40.0)


def test_an_open_ground_has_straight_ways():
    way = shortest_way(terrain([]), (0.0, 0.0), (3.0, 4.0))
    assert way is not None
    assert way.length_m == 5.0


coordinate = st.integers(-30, 30).map(float)
boxes = st.lists(st.tuples(coordinate, coordinate, st.integers(2, 20), st.integers(2, 20)), min_size=1, max_size=5)


@settings(max_examples=60, deadline=None)
@given(boxes, st.tuples(coordinate, coordinate), st.tuples(coordinate, coordinate), st.tuples(coordinate, coordinate))
def test_never_shorter_than_straight_never_across_symmetric_and_a_metric(corners, a, b, c):
    ground = terrain([shapely.box(x, y, x + w, y + h) for x, y, w, h in corners])
    outside = [p for p in (a, b, c) if not ground.inside.contains(shapely.Point(p))]
    if len(outside) < 3:
        return
    ways = {(p, q): shortest_way(ground, p, q) for p in outside for q in outside}
    for (p, q), way in ways.items():
        back = ways[q, p]
        assert (way is None) == (back is None)
        if way is not None and back is not None:
            assert way.length_m >= math.dist(p, q) - 1e-9
            assert way.length_m == pytest.approx(back.length_m, abs=1e-9)
            if p != q:
                assert not shapely.LineString(way.points_m).intersects(ground.inside)
    if all(way is not None for way in ways.values()):
        assert ways[a, c].length_m <= ways[a, b].length_m + ways[b, c].length_m + 1e-9


@settings(max_examples=8, deadline=None)
@given(boxes)
def test_no_way_over_a_fine_grid_is_shorter(corners):
    ground = terrain([shapely.box(x, y, x + w, y + h) for x, y, w, h in corners])
    x, y = np.meshgrid(np.arange(-40.0, 61.0, 2.0), np.arange(-40.0, 61.0, 2.0), indexing="ij")
    at = np.column_stack([x.ravel(), y.ravel()])
    index = np.arange(at.shape[0]).reshape(x.shape)
    steps = [(1, 0), (0, 1), (1, 1), (1, -1), (2, 1), (1, 2), (2, -1), (1, -2)]
    pairs = []
    for i, j in steps:
        first = index[: x.shape[0] - i, max(0, -j) : x.shape[1] - max(0, j)]
        second = index[i:, max(0, j) : x.shape[1] - max(0, -j)]
        pairs.append(np.column_stack([first.ravel(), second.ravel()]))
    edge = np.concatenate(pairs)
    free = ~shapely.intersects(ground.inside, shapely.linestrings(at[edge]))
    edge, length = edge[free], np.hypot(*(at[edge[free, 0]] - at[edge[free, 1]]).T)
    graph = coo_matrix((length, (edge[:, 0], edge[:, 1])), shape=(len(at), len(at)))
    start, end = index[0, 0], index[-1, -1]
    by_grid = dijkstra(graph, directed=False, indices=start)[end]
    way = shortest_way(ground, tuple(at[start]), tuple(at[end]))
    assert way is not None
    assert way.length_m <= by_grid + 1e-9


def test_a_way_bends_where_two_obstacles_meet_in_a_point():
    west = shapely.Polygon([(0, 0), (-9, 2), (-9, -2)])
    south = shapely.Polygon([(0, 0), (-2, -9), (2, -9)])
    east = shapely.box(8, -0.5, 12, 10)
    way = shortest_way(terrain([west, south, east]), (-3.0, -4.0), (13.0, 3.0))
    assert way.points_m == ((-3.0, -4.0), (0.0, 0.0), (8.0, -0.5), (12.0, -0.5), (13.0, 3.0))


@pytest.mark.parametrize("seed", range(20))
def test_of_ways_equally_long_the_one_with_fewest_corners_is_taken(seed):
    rng = np.random.default_rng(seed)
    pieces = np.where(rng.random((9, 9)) < 0.4, rng.integers(1, 4, (9, 9)), np.inf)
    pieces = np.minimum(pieces, pieces.T)
    chain = _way_to_second(pieces)
    counted = dijkstra(np.where(np.isinf(pieces), 0.0, pieces + 1e-3))[0, 1]  # 1e-3 for each piece
    if chain is None:
        assert np.isinf(counted)
    else:
        assert (chain[0], chain[-1]) == (0, 1)
        assert pieces[chain[:-1], chain[1:]].sum() + 1e-3 * (len(chain) - 1) == pytest.approx(counted, abs=1e-9)


def test_round_an_oval_no_line_between_corners_is_missed():
    ovals = [shapely.affinity.scale(shapely.Point(x, y).buffer(1.0), 30, 20) for x, y in ((0, 0), (70, 8))]
    ground = terrain([*ovals, shapely.box(20, -60, 24, 60)])
    corners_m = ground.corners_m
    rng = np.random.default_rng(5)
    every = np.hypot(*(corners_m[:, None] - corners_m).transpose(2, 0, 1))
    lines = shapely.linestrings(np.stack(np.broadcast_arrays(corners_m[:, None], corners_m), axis=2))
    every[shapely.intersects(ground.inside, lines)] = np.inf
    full = replace(ground, between_m=every)
    for start, end in rng.uniform([-40, -70], [110, 70], (40, 2, 2)):
        wanted = shortest_way(full, tuple(start), tuple(end))
        assert shortest_way(ground, tuple(start), tuple(end)).length_m == pytest.approx(wanted.length_m, abs=1e-9)
