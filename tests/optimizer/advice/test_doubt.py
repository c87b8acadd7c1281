"""What hangs on guesses and taste: the short cuts against the value model itself, worked out anew."""

from dataclasses import replace

import numpy as np
import pytest
from small_match import SIDE, small_match

from standmark.optimizer.advice import doubt as doubt_file
from standmark.optimizer.advice.doubt import OFF_BY, doubt
from standmark.optimizer.advice.grid_people import grid_people
from standmark.optimizer.advice.taste import tastes
from standmark.optimizer.choice.grid import match_tasks, quality_grid, task_quality
from standmark.optimizer.choice.solve import solve_stages
from standmark.optimizer.choice.stage import stage_stations
from standmark.optimizer.search import set_value
from standmark.optimizer.work.assignment import period_plan


def with_guesses(match, *, weight, density, faces):
    """Match whose moments happen and count otherwise, with other crowds and another wish."""
    moments = tuple(
        replace(
            m, rate_per_match=w * m.rate_per_match, crowd_per_m2=d * m.crowd_per_m2, beyond_per_m2=d * m.beyond_per_m2
        )
        for m, w, d in zip(match.sport.moments, weight, density, strict=True)
    )
    sport = replace(match.sport, moments=moments)
    return replace(match, sport=sport, deliverable=replace(match.deliverable, faces=faces))


def drawn_once(n_moments, *, is_dense, wish):
    rng = np.random.default_rng(5)
    weight = OFF_BY ** rng.choice([-1.0, 1.0], (n_moments, 1))
    return doubt_file.Draws(weight, np.full((n_moments, 1), float(is_dense)), np.array([wish]))


@pytest.mark.parametrize(("is_dense", "wish"), [(True, 1.0), (False, 0.0)])
def test_a_draw_is_what_the_value_model_says_of_it(is_dense, wish, monkeypatch):
    """Regret of the choice in one draw, against a plain search through the changed match."""
    match = small_match(areas=(SIDE,), moments=("goal", "duel", "warm-up"))
    stages = solve_stages(match)
    drawn = drawn_once(len(match.sport.moments), is_dense=is_dense, wish=wish)
    monkeypatch.setattr(doubt_file, "_draws", lambda n: drawn)
    told = doubt(match, stages, grid_people(stages[0].grid))
    density = OFF_BY if is_dense else 1 / OFF_BY
    changed = with_guesses(match, weight=drawn.weight[:, 0], density=[density] * len(drawn.weight), faces=wish)
    tasks = match_tasks(changed)
    grid = quality_grid(changed, tasks, stages[0].grid.candidates)
    regrets = []
    for stage, task in zip(stages, tasks, strict=True):
        weight = np.concatenate([t.weight for t in task.targets]) / len(task.targets)
        values = task_quality(grid, task) @ weight
        regrets.append(values[stage.problem.rows_by_camera[0]].max() - values[stage.chosen[0]])
    # a low lens sees by the power of the density exactly, a high one nearly
    assert told.worst_regret == pytest.approx(np.mean(regrets), abs=2e-3)
    assert told.as_good == float(np.mean(regrets) <= 0.01)


def test_the_best_place_of_all_is_as_good_in_every_draw_and_a_bad_one_in_none():
    match = small_match(areas=(SIDE,), moments=("goal",))
    stages = solve_stages(match)
    people = grid_people(stages[0].grid)
    assert doubt(match, stages, people).as_good > 0.9
    worst = int(np.argmin(stages[0].problem.quality @ stages[0].problem.weight))
    bad = [replace(stage, chosen=(worst,)) for stage in stages]
    told = doubt(match, bad, people)
    assert told.as_good < 0.1
    assert told.worst_regret > 0.05


def test_several_cameras_regret_what_one_of_them_could_mend():
    match = small_match(cameras=2)
    stages = solve_stages(match)
    people = grid_people(stages[0].grid)
    best = doubt(match, stages, people)
    bad = [replace(stage, chosen=(stage.chosen[0], stage.problem.rows_by_camera[1][0])) for stage in stages]
    assert doubt(match, bad, people).worst_regret > best.worst_regret
    assert 0 <= best.as_good <= 1


def test_another_wish_is_planned_as_if_it_were_the_films_own():
    match = small_match(cover="ours", moments=("goal", "celebration", "duel"))
    for faces, others in ((0.5, (0.0, 1.0)), (0.0, (1.0,))):
        film = replace(match, deliverable=replace(match.deliverable, faces=faces))
        stages = solve_stages(film)
        told = {taste.wish: taste for taste in tastes(film, stages, grid_people(stages[0].grid))}
        assert set(told) <= set(others)
        for wish in others:
            wished = replace(match, deliverable=replace(match.deliverable, faces=wish))
            own = replace(stages[0], grid=quality_grid(wished, [stages[0].task], stages[0].grid.candidates))
            quality = task_quality(own.grid, own.task)
            best = int(
                own.problem.rows_by_camera[0][(quality @ own.problem.weight)[own.problem.rows_by_camera[0]].argmax()]
            )
            here, there = (own.grid.candidates.xyz_m[row % own.grid.rows.n_positions] for row in (own.chosen[0], best))
            if wish not in told:
                assert np.linalg.norm(here - there) <= 1.0
                continue
            taste = told[wish]
            assert taste.proven
            assert taste.spots[0].spot.x_m == pytest.approx(there[0])
            station = stage_stations(wished, replace(own, chosen=(best,)))
            seen = period_plan(
                wished, own.task.periods[0], station, targets=own.task.targets[0], around=own.task.around[0]
            )
            assert set_value(replace(own.problem, quality=quality), (best,)) == pytest.approx(seen.coverage, abs=1e-5)
            if len({s.spot for s in taste.spots}) == 1:
                assert taste.seen == pytest.approx(seen.seen, abs=1e-5)
                assert taste.faces == pytest.approx(seen.faces, abs=1e-5)
