"""The common habit of people who walk with play, as places on the ground: a measure to beat."""

from __future__ import annotations

import numpy as np

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.roam.plays import Plays
from standmark.optimizer.roam.process import Process


def habit_goal(process: Process, plays: Plays, xy_m: Floats, *, side_m: float) -> Indices | None:
    """Place that the habit names in each state, shape (n_states,); None where the sport has no habit.

    Beside the playing area the habit is a place level with so many metres ahead of the ball; once the ball is near
    the end that is attacked, the nearest place behind that end.

    Parameters
    ----------
    xy_m : shape (n_places, 2)
    side_m : half the width of the playing area; the side with the better places on average is walked
    """
    habit = plays.flow.habit
    if habit is None:
        return None
    beside = [np.flatnonzero(xy_m[:, 1] * sign > side_m) for sign in (-1, 1)]
    options = [own for own in beside if len(own)]
    if not options:
        return None
    mean = plays.occupancy @ process.reward
    own = max(options, key=lambda places: float(mean[places].max()))
    wanted_m = plays.ball_m + plays.attack_x * habit.ahead_m
    goal: Indices = own[np.abs(xy_m[own, 0][None] - wanted_m[:, None]).argmin(axis=1)]
    if habit.end_within_m is None:
        return goal
    end_m = max(s.high_m for s in plays.flow.states)
    for state in np.flatnonzero(end_m - plays.ball_m * plays.attack_x <= habit.end_within_m):
        behind = np.flatnonzero((xy_m[:, 0] * plays.attack_x[state] > end_m) & (np.abs(xy_m[:, 1]) <= side_m))
        if len(behind):
            goal[state] = behind[process.distance_m[goal[state], behind].argmin()]
    return goal
