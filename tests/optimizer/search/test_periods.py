"""Staying and moving over several periods, against trying every plan."""

from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from search_cases import all_allowed, clashes_at

from standmark.optimizer.search import SearchProblem, move_pattern, search, search_periods, set_value


@st.composite
def seasons(draw):
    """Problems of a few periods over the same places and lenses."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    n_periods, n_cameras, n_lenses = draw(st.sampled_from([(2, 1, 2), (2, 2, 1), (2, 2, 2), (3, 1, 2), (3, 2, 1)]))
    n_places = draw(st.integers(n_cameras, 4 if n_cameras == 1 else 3))
    n_rows = n_places * n_lenses
    place = np.repeat(np.arange(n_places), n_lenses)
    xy_m = (rng.random((n_places, 2)) * 10)[place]
    is_alike = draw(st.booleans())
    group = rng.integers(0, 2, n_places)[place]
    caps = np.array([1, 2]) if draw(st.booleans()) else None
    has_clashes = draw(st.booleans())
    has_floor = draw(st.booleans())
    is_open = [rng.random(n_rows) < 0.9 for _ in range(n_cameras)]
    problems = []
    for _period in range(n_periods):
        n_targets = int(rng.integers(1, 4))
        rows = tuple(np.flatnonzero(is_open[0 if is_alike else camera]) for camera in range(n_cameras))
        problems.append(
            SearchProblem(
                rng.random((n_rows, n_targets)).astype(np.float32),
                rng.random(n_targets) + 0.1,
                rows,
                xy_m=xy_m,
                separation_m=2.0,
                group=group,
                group_cap=caps,
                clashes=clashes_at(rng, place, 0.15) if has_clashes else None,
                floors=((np.array([0]), 0.4),) if has_floor else (),
            )
        )
    return (
        tuple(problems),
        place,
        draw(st.sampled_from([0.0, 0.05, 0.2, 1.0])),
        draw(st.sampled_from(["free", "never"])),
        draw(st.sampled_from([frozenset(), frozenset({0})])),
    )


def best_plan(problems, place, move_cost, moves, still):
    best = None
    for plan in product(*map(all_allowed, problems)):
        changes = [place[list(x)] != place[list(y)] for x, y in pairwise(plan)]
        moved = int(sum(change.sum() for change in changes))
        if (moves == "free" or not moved) and not any(change[list(still)].any() for change in changes):
            value = sum(set_value(p, rows) for p, rows in zip(problems, plan, strict=True)) - move_cost * moved
            best = value if best is None else max(best, value)
    return best


def check(problems, place, move_cost, moves, still):
    result = search_periods(problems, row_place=place, moves=moves, move_cost=move_cost, still=still)
    best = best_plan(problems, place, move_cost, moves, still)
    if best is None:
        assert result.status == "infeasible"
        return
    assert result.status == "optimal"
    assert result.value == pytest.approx(best, abs=1e-6)
    assert result.upper_bound >= best - 1e-9
    assert all(rows in all_allowed(p) for p, rows in zip(problems, result.rows, strict=True))
    earned = sum(set_value(p, rows) for p, rows in zip(problems, result.rows, strict=True))
    assert result.value == pytest.approx(earned - move_cost * sum(map(len, result.moves)))
    assert moves == "free" or not any(result.moves)
    assert not any(still & set(moved) for moved in result.moves)


@settings(max_examples=60, deadline=None)
@given(seasons())
def test_equals_trying_every_plan(season):
    check(*season)


@settings(max_examples=40, deadline=None)
@given(seasons())
def test_equals_trying_every_plan_from_tiny_pools(season):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(move_pattern, "FIRST_PLACES", 1)
        check(*season)


def swapped_ends():
    """Two places, each sees one end; the ends change at the interval."""
    first = SearchProblem(
        np.array([[0.9, 0.1], [0.2, 0.8]], np.float32),
        np.array([0.4, 0.1]),
        (np.arange(2),),
        np.array([[0.0, 0], [99, 0]]),
    )
    return first, replace(first, weight=first.weight[::-1].copy())


def test_a_move_is_made_when_it_earns_its_cost():
    problems = swapped_ends()
    gain = (
        search_periods(problems, row_place=np.arange(2)).value
        - search_periods(problems, row_place=np.arange(2), moves="never").value
    )
    assert gain > 0
    moved = search_periods(problems, row_place=np.arange(2), move_cost=0.9 * gain)
    stayed = search_periods(problems, row_place=np.arange(2), move_cost=1.1 * gain)
    assert moved.moves == ((0,),)
    assert stayed.moves == ((),)


def test_the_lens_may_change_where_the_place_stays():
    problems = swapped_ends()
    stayed = search_periods(problems, row_place=np.zeros(2, int), moves="never")
    assert stayed.value == pytest.approx(sum(search(problem).value for problem in problems))
    assert stayed.rows[0] != stayed.rows[1]


def test_one_period_is_a_plain_search():
    problem = swapped_ends()[0]
    assert search_periods((problem,), row_place=np.arange(2)).rows == (search(problem).rows,)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"moves": "often"}, 'allowed "free", "never"'),
        ({"move_cost": -1.0}, "at least 0"),
        ({"row_place": np.arange(3)}, "row_place has 3"),
    ],
)
def test_wrong_input_is_named(change, words):
    with pytest.raises(ValueError, match=words):
        search_periods(swapped_ends(), **{"row_place": np.arange(2), **change})


@settings(max_examples=60, deadline=None)
@given(seasons())
def test_without_time_a_plan_is_allowed_and_its_bound_holds(season):
    """Where nobody has moved and no set of one period is allowed in all, there may be no plan at all."""
    problems, place, move_cost, moves, still = season
    result = search_periods(problems, row_place=place, moves=moves, move_cost=move_cost, still=still, time_limit_s=-1.0)
    best = best_plan(problems, place, move_cost, moves, still)
    if not result.rows:
        assert best is None or result.status == "time limit"
        return
    assert best is not None
    assert result.value - 1e-9 <= best <= result.upper_bound + 1e-9
    assert all(rows in all_allowed(p) for p, rows in zip(problems, result.rows, strict=True))
    assert moves == "free" or not any(result.moves)
    assert not any(still & set(moved) for moved in result.moves)
