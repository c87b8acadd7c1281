"""Scores with second angles, the climb to the best, and crews of more than four cameras."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from engines import in_both
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.optimizer.choice.angle_score import SECOND_WORTH, AngleScore
from standmark.optimizer.choice.second_angles import with_second_angles
from standmark.optimizer.choice.solve import solve_stages
from standmark.optimizer.choice.stage import WITHIN
from standmark.optimizer.planning import plan
from standmark.optimizer.search import Near, set_value
from standmark.optimizer.work.second_angle import pair_views, second_angle_share

AREAS = (SIDE, FAR_SIDE, EAST, WEST)


def scored(match, stage):
    """Scores of all rows of a stage."""
    return AngleScore(match, stage, Near(stage.problem, np.arange(len(stage.problem.quality))))


@pytest.fixture(scope="module")
def three():
    match = small_match(cameras=3, areas=AREAS, rules={"same_side": "off"})
    return match, solve_stages(match)[0]


def test_a_score_is_coverage_and_half_of_the_second_angles(three):
    match, stage = three
    score, rng = scored(match, stage), np.random.default_rng(0)
    for _ in range(5):
        rows = rng.choice(stage.problem.rows_by_camera[0], 3, replace=False).tolist()
        looks = score._looks(np.array(rows))
        at_m = stage.grid.candidates.xyz_m[[row % stage.grid.rows.n_positions for row in rows]]
        quality = stage.problem.quality[rows].astype(float)
        twice = second_angle_share(quality, pair_views(at_m, 2.0 ** looks[:, 3].astype(float), score.targets_m))
        told = set_value(stage.problem, rows) + SECOND_WORTH * float(stage.problem.weight @ twice)
        assert score.of(rows) == pytest.approx(told, abs=2e-4)  # targets at the very limit of an angle may fall out
        pairs = np.array(list(combinations(rows, 2)))
        assert score.of_pairs(pairs) == pytest.approx([score.of(pair) for pair in pairs.tolist()], abs=1e-6)


def test_both_engines_score_pairs_alike_to_the_last_bit(three, monkeypatch):
    match, stage = three
    pairs = np.random.default_rng(2).choice(stage.problem.rows_by_camera[0], (300, 2))
    first, second = in_both(lambda: scored(match, stage).of_pairs(pairs), monkeypatch)
    assert (first == second).all()


@pytest.mark.parametrize("same_side", ["off", "warn"])
def test_no_pair_scores_more_than_is_said_at_most(three, same_side):
    match, stage = three
    score = scored(replace(match, rules=replace(match.rules, same_side=same_side)), stage)
    pairs = np.random.default_rng(1).choice(stage.problem.rows_by_camera[0], (200, 2))
    most = score.most_of_pairs(pairs, np.array([set_value(stage.problem, pair) for pair in pairs.tolist()]))
    scores = score.of_pairs(pairs)
    assert (scores <= most).all()
    assert (most - scores).min() < 0.05  # near what pairs score, so that it spares work
    assert (scores.min() < 0) == (same_side == "warn")  # crossing the line


def test_the_quick_look_for_the_best_row_finds_what_scoring_all_finds(three):
    match, stage = three
    score, others = scored(match, stage), list(stage.chosen[:2])
    own = np.setdiff1d(stage.problem.rows_by_camera[0], others)
    every = score.beside(own, others)
    best, row = score.best_beside(own, others, above=-np.inf)
    assert best == pytest.approx(every.max(), abs=1e-6)
    assert every[np.searchsorted(own, row)] == pytest.approx(best, abs=1e-6)
    assert score.best_beside(own, others, above=best + 0.1) == (best + 0.1, -1)


def test_no_swap_of_one_camera_is_better_and_no_more_is_given_than_allowed(three):
    match, stage = three
    chosen = with_second_angles(match, [stage])[0]
    score, least = scored(match, stage), stage.value - match.rules.second_angle_give
    assert chosen.value >= least
    assert score.of(chosen.chosen) >= score.of(stage.chosen)
    for camera in range(3):
        others = [row for i, row in enumerate(chosen.chosen) if i != camera]
        for row in stage.problem.rows_by_camera[camera][::7]:
            if row not in others and set_value(stage.problem, [*others, int(row)]) >= least + 1e-6:
                apart = [abs(stage.problem.xy_m[row] - stage.problem.xy_m[o]).max() >= 2.0 for o in others]
                assert not all(apart) or score.of([*others, int(row)]) <= score.of(chosen.chosen) + 1e-5


def test_six_cameras_are_proven_to_a_share_that_is_said():
    match = small_match(cameras=6, areas=AREAS)
    found, more = plan(match, advice="quick"), plan(small_match(cameras=4, areas=AREAS))
    assert found.proven
    assert [a.camera for a in found.periods[0].assignments] == list("ABCDEF")
    gap = found.upper_bound - found.coverage - found.given_up.second_angle - found.given_up.eye_height
    assert gap <= WITHIN * found.coverage + 1e-5
    assert "proven within 0.2% of the best" in found.message
    assert found.coverage >= more.coverage - match.rules.second_angle_give - WITHIN
    assert [gone.camera for gone in found.advice.lost] == list("ABCDEF")
    assert not any(post.is_moved for gone in found.advice.lost for post in gone.posts)
    assert all(gone.coverage <= found.coverage + 1e-6 for gone in found.advice.lost)
