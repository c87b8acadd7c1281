"""What each way to work covers and how far it makes one walk, and the curve of coverage against metres."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standmark.optimizer.match.match import Match
from standmark.optimizer.roam.case import LensCase, averages, solve_scenes
from standmark.optimizer.roam.follow import Method, SceneFollow
from standmark.optimizer.roam.habit import habit_goal
from standmark.optimizer.roam.process import Average, Solution, average, goal_policy

CURVE = (0.0, 0.005, 0.01, 0.02, 0.04, 0.08)  # the same, for the curve of coverage against metres
CURVE_PROOF = 2e-3  # of its policies; what each covers is worked out to the last digit


def methods_of(
    match: Match, case: LensCase, standing: Sequence[float], scenes: Sequence[SceneFollow]
) -> Iterator[Method]:
    """Standing still, the common habit where play has one, the card and the best policy.

    Parameters
    ----------
    standing : what the standing plan covers, scene by scene
    """
    share = case.share
    yield Method("stand", float(share @ standing), 0.0, 0.0)
    goals = [
        habit_goal(s.process, case.plays, s.stations.xyz_m[:, :2], side_m=match.sport.area.width_m / 2) for s in scenes
    ]
    habit = [average(s.process, goal_policy(s.process, g)) for s, g in zip(scenes, goals, strict=True) if g is not None]
    if len(habit) == len(scenes):
        yield _method("habit", case, habit)
    yield _method("card", case, [s.card.average for s in scenes])
    yield _method("policy", case, [s.policy for s in scenes])


def _method(name: str, case: LensCase, told: Sequence[Average]) -> Method:
    return Method(
        name,
        float(case.share @ [a.reward for a in told]),
        float(case.share @ [a.walked_m for a in told]) * case.plays.flow.plays_per_match,
        max(a.longest_m for a in told),
    )


def curve_of(case: LensCase, solutions: list[Solution]) -> Iterator[Method]:
    """Best policies as walking gets dearer, each solved from the one before."""
    for price in CURVE:
        solutions = solve_scenes(case, price, proof=CURVE_PROOF, near=solutions)
        yield _method(f"{price:g}", case, averages(case, solutions))
