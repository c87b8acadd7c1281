"""What a plan holds is counted before work begins, and counted right."""

from dataclasses import replace

import pytest
from small_match import EAST, SIDE, small_match

from standmark.geometry.errors import InputError
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice import budget
from standmark.optimizer.choice.budget import Asked, held_values, places_within
from standmark.optimizer.choice.candidates import match_candidates
from standmark.optimizer.choice.grid import match_tasks, quality_grid
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.choice.role_problem import joint_problem, match_wishes, wish_grids
from standmark.optimizer.planning import plan

LENSES = tuple(Lens(f"{mm}", (mm, mm)) for mm in (35, 85, 200))


def crew(*roles):
    """Cameras with lenses of their own, and one that all have."""
    match = small_match(cameras=len(roles), areas=(SIDE, EAST), moments=("goal", "duel"))
    kits = [(LENSES[i % 3], Lens(f"{i}", (50 + i, 60 + i))) for i in range(len(roles))]
    cameras = zip(match.cameras, roles, kits, strict=True)
    return replace(match, cameras=tuple(replace(c, role=role, lenses=kit) for c, role, kit in cameras))


@pytest.mark.parametrize("roles", [("wide", None, None, "faces"), ("wide", "faces"), ("faces", None, "faces")])
def test_values_counted_for_roles_are_those_that_are_held(roles):
    match = crew(*roles)
    wishes = match_wishes(match)
    candidates = match_candidates(match, spacing_m=20.0)
    grids = wish_grids(wishes, candidates, (), Memory())
    joints = [joint_problem(wishes, grids, stage) for stage in range(len(wishes[0].tasks))]
    film, *asked = (Asked(wish.cameras, wish.tasks) for wish in wishes)
    n = len(candidates.xyz_m)
    in_grids = sum(picture.quality.size for grid in grids for picture in grid.pictures)
    assert held_values(match, film, asked) == (in_grids / n, sum(j.problem.quality.size for j in joints) / n)


def test_values_counted_without_roles_are_those_of_the_grid():
    match = crew(None, None)
    tasks, candidates = match_tasks(match), match_candidates(match, spacing_m=20.0)
    grid = quality_grid(match, tasks, candidates)
    counted = held_values(match, Asked(range(2), tasks))
    assert counted == (sum(picture.quality.size for picture in grid.pictures) / len(candidates.xyz_m), 0)


def test_little_memory_means_fewer_places_and_too_little_is_refused_with_what_would_do(monkeypatch):
    match = crew("wide", None, "faces")
    wishes = [Asked(wish.cameras, wish.tasks) for wish in match_wishes(match)]
    grids, problems = held_values(match, wishes[0], wishes[1:])
    monkeypatch.setattr(budget, "PEAK_VALUES", 250 * (grids + 2 * problems))
    assert 150 <= places_within(match, wishes[0], None, roles=wishes[1:]) < 333
    monkeypatch.setattr(budget, "PEAK_VALUES", 40 * grids)
    with pytest.raises(
        InputError, match=r"6 different lenses .* more than a plan has memory for; take at most 1 lens in all"
    ):
        plan(match)
