"""The process of someone who walks while play moves, against a linear program, every policy, and simulation."""

import itertools

import numpy as np
import pytest
from scipy.optimize import linprog

from standmark.optimizer.roam.process import Policy, Process, average, free_bound, goal_policy, solve, stationary


def random_process(seed, *, states=3, places=4, breaks=2, price=0.0, reaches=None):
    rng = np.random.default_rng(seed)
    spots = rng.uniform(0, 100, (places, 2))
    chance = rng.dirichlet(np.full(breaks * states, 0.4), states).reshape(states, breaks, states).transpose(1, 0, 2)
    return Process(
        reward=rng.uniform(0, 1, (states, places)),
        chance=chance,
        reach_m=np.array(reaches or rng.uniform(20, 90, breaks)),
        distance_m=np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1)),
        price_per_m=price,
    )


def program_value(process):
    """Best average by the linear program of average-reward processes: min g with g + h >= r + P u, u >= h - price."""
    n_breaks, n, m = len(process.reach_m), *process.reward.shape
    n_h, n_u = n * m, n_breaks * n * m
    rows, right = [], []
    for s, p in itertools.product(range(n), range(m)):
        row = np.zeros(1 + n_h + n_u)
        row[0], row[1 + s * m + p] = -1, -1
        row[1 + n_h :] += np.einsum("bs,p->bsp", process.chance[:, s], np.eye(m)[p]).ravel()
        rows.append(row)
        right.append(-process.reward[s, p])
    for b, s, p, q in itertools.product(range(n_breaks), range(n), range(m), range(m)):
        if p == q or process.distance_m[p, q] <= process.reach_m[b]:
            row = np.zeros(1 + n_h + n_u)
            row[1 + s * m + q] += 1
            row[1 + n_h + (b * n + s) * m + p] -= 1
            rows.append(row)
            right.append(process.price_per_m * process.distance_m[p, q] if p != q else 0.0)
    cost = np.zeros(1 + n_h + n_u)
    cost[0] = 1
    found = linprog(cost, A_ub=np.array(rows), b_ub=np.array(right), bounds=(None, None))
    assert found.status == 0
    return found.fun


@pytest.mark.parametrize("seed", range(50))
def test_bounds_enclose_the_linear_program(seed):
    process = random_process(seed, price=[0.0, 0.002][seed % 2])
    found, exact = solve(process, proof=1e-6), program_value(process)
    assert found.lower - 1e-7 <= exact <= found.upper + 1e-7
    assert found.upper - found.lower <= 1e-6
    told = average(process, found.policy)
    assert told.reward - process.price_per_m * told.walked_m == pytest.approx(exact, abs=2e-5)


def test_bounds_hold_after_few_sweeps():
    for seed in range(20):
        process = random_process(seed, price=0.001)
        rough, exact = solve(process, most_sweeps=1), program_value(process)
        assert rough.lower - 1e-7 <= exact <= rough.upper + 1e-7
        assert rough.upper > exact + 1e-4 or rough.lower < exact - 1e-4


@pytest.mark.parametrize("seed", range(5))
def test_no_policy_is_better(seed):
    process = random_process(seed, states=2, places=3, breaks=1, reaches=[60])
    found = solve(process, proof=1e-6)
    options = [
        [q for q in range(3) if p == q or process.distance_m[p, q] <= process.reach_m[0]]
        for _, p in itertools.product(range(2), range(3))
    ]
    best = max(
        average(process, Policy(np.array(choice).reshape(1, 2, 3), start)).reward
        for choice in itertools.product(*options)
        for start in range(3)
    )
    assert best == pytest.approx(average(process, found.policy).reward, abs=1e-5)


def test_who_cannot_walk_stands_at_the_best_single_place():
    process = random_process(3, places=6, reaches=[0, 0])
    standing = (process.occupancy @ process.reward).max()
    found = solve(process)
    assert found.lower == pytest.approx(standing, abs=1e-4)
    assert found.upper == pytest.approx(standing, abs=1e-4)
    told = average(process, found.policy)
    assert (told.reward, told.walked_m) == pytest.approx((standing, 0.0))


def test_who_is_everywhere_at_once_has_the_free_bound():
    process = random_process(4, reaches=[1e6, 1e6])
    assert solve(process).upper == pytest.approx(free_bound(process), abs=1e-4)


def test_play_with_a_rhythm_converges():
    chance = np.array([[[0.0, 1.0], [1.0, 0.0]]])
    reward = np.array([[1.0, 0.0], [0.0, 1.0]])
    far = Process(reward, chance, np.array([5.0]), np.array([[0.0, 10.0], [10.0, 0.0]]))
    near = Process(reward, chance, np.array([15.0]), far.distance_m)
    assert solve(far).upper == pytest.approx(0.5, abs=1e-4)
    assert solve(near).lower == pytest.approx(1.0, abs=1e-4)


def test_metres_that_do_not_earn_their_price_are_not_walked():
    free, dear = (random_process(6, price=price, reaches=[90, 90]) for price in (0.0, 1.0))
    assert average(free, solve(free).policy).walked_m > 1
    assert average(dear, solve(dear).policy).walked_m == 0


def test_averages_are_those_of_matches_played_one_by_one():
    process = random_process(8, states=4, places=5)
    policy = goal_policy(process, np.array([0, 1, 2, 3]))
    told = average(process, policy)
    rng = np.random.default_rng(1)
    flat = process.chance.transpose(1, 0, 2).reshape(4, -1).cumsum(axis=1)
    state, place, reward, walked = np.zeros(10_000, int), np.full(10_000, policy.start), 0.0, 0.0
    for play in range(60):
        drawn = np.minimum((rng.random(10_000)[:, None] > flat[state]).sum(axis=1), flat.shape[1] - 1)
        kind, state = np.divmod(drawn, 4)
        to = policy.to[kind, state, place]
        if play >= 20:
            walked += process.distance_m[place, to].mean() / 40
            reward += process.reward[state, to].mean() / 40
        place = to
    assert reward == pytest.approx(told.reward, abs=0.005)
    assert walked == pytest.approx(told.walked_m, rel=0.02)


def test_the_way_to_a_goal_leads_as_near_as_the_break_allows():
    line_m = np.arange(0, 60, 10.0)
    away_m = np.abs(line_m[:, None] - line_m[None])
    process = Process(np.ones((1, 6)), np.ones((1, 1, 1)), np.array([20.0]), away_m)
    assert goal_policy(process, np.array([5])).to[0, 0].tolist() == [2, 3, 4, 5, 5, 5]


def test_long_run_shares_of_a_chain():
    assert stationary(np.array([[0.9, 0.1], [0.3, 0.7]])) == pytest.approx([0.75, 0.25])
