"""Published optima of location problems that are the same as ours: where to open p places, each customer to its best.

Instances and optima: J. E. Beasley, OR-Library; see data/README.md.
"""

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import shortest_path

from standmark.optimizer.search import SearchProblem, search, verify

DATA = Path(__file__).parent / "data"


def figures(name):
    return np.array((DATA / name).read_text().split(), dtype=float)


def cheapest(cost, rows_by_place):
    """Set of places with the least total cost, by the search, and that cost; checks the proof."""
    most = cost.max(axis=0)
    problem = SearchProblem((1 - cost / most).astype(np.float32), most, rows_by_place)
    result = search(problem)
    assert result.status == "optimal"
    assert verify(problem, result).is_allowed
    return cost[list(result.rows)].min(axis=0).sum(), most.sum() - result.upper_bound


def pmed_distances(name):
    n, n_edges, p, *edges = figures(name)
    a, b, length = np.array(edges).reshape(int(n_edges), 3).T
    # where an edge is given twice, the last one holds
    last = {frozenset((int(i) - 1, int(j) - 1)): d for i, j, d in zip(a, b, length, strict=True)}
    ends = np.array([sorted(pair) for pair in last])
    graph = csr_array((list(last.values()), ends.T), shape=(int(n), int(n)))
    return shortest_path(graph, directed=False), int(p)


def test_p_median():
    distance, p = pmed_distances("pmed1.txt")
    cost, bound = cheapest(distance, (np.arange(len(distance)),) * p)
    assert cost == 5819
    assert np.ceil(bound - 0.1) == 5819


@pytest.mark.parametrize("p", [2, 3])
def test_p_median_with_fewer_places_equals_trying_every_set(p):
    distance, _p = pmed_distances("pmed1.txt")
    cost, bound = cheapest(distance, (np.arange(len(distance)),) * p)
    sets = np.array(list(combinations(range(len(distance)), p)))
    least = min(distance[some].min(axis=1).sum(axis=1).min() for some in np.array_split(sets, 20))
    assert cost == least
    assert bound <= least < bound + 1


def test_warehouses():
    numbers = figures("cap71.txt")
    n_places = int(numbers[0])
    fixed_cost = numbers[3 : 2 + 2 * n_places : 2]
    serving = numbers[2 + 2 * n_places :].reshape(-1, 1 + n_places)[:, 1:].T
    free = np.flatnonzero(fixed_cost == 0)
    paid = np.flatnonzero(fixed_cost > 0)
    assert len(free) == 1
    assert np.unique(fixed_cost[paid]).tolist() == [7500.0]
    # one place costs nothing to open, so it is open; how many more are open is tried one after the other
    totals = [cheapest(serving, (free,) + (paid,) * n_open)[0] + 7500 * n_open for n_open in range(len(paid) + 1)]
    assert min(totals) == pytest.approx(932615.750, abs=0.0005)
