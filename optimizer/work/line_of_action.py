"""The line of action of each moment, and which cameras take a moment from opposite sides of it.

Cut from a camera on one side of the line to one on the other, and both teams swap direction. The line belongs to the
moment, not to the ground: it runs through the place where the moment happens, the way its people look where that is
one way, else along the playing area. A camera within NEUTRAL_DEG of the line cuts with either side.

Two cameras cross in a moment toward one end when each of them takes it, that is, captures at least TAKES of it, and
they stand on opposite sides of its line for more than half of it by worth. That depends on the two cameras alone and
not on who is the best one, so a rule against it is a rule on pairs: the search can keep to it exactly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.arrays import Flags, Floats, Indices, Singles
from standmark.optimizer.value.targets import Targets

NEUTRAL_DEG = 15.0  # a camera this near the line of action cuts with either side; common practice, no source
ONE_WAY_PULL = 0.5  # moments whose people look one way at least this much have a line of action of their own
TAKES = 0.05  # share of a moment that a camera captures from which it counts as taking it
MOSTLY = 0.5  # share of a moment, by worth, that two cameras see from opposite sides: above it they cross
ONE_COURSE = 0.8  # a moment whose lines are this near to parallel is drawn as one; 1: all parallel
LEAST_WORTH = 0.01  # moments worth less than this share of a period are left aside by the rule


@dataclass(frozen=True, eq=False)
class End:
    """One kind of moment in one period, toward one end where ends matter."""

    moment: str  # key
    attack: int  # +1 toward +x, -1 toward -x, 0 the same for both
    own: Indices  # its targets
    weight: float  # share of the period's worth

    @property
    def is_ruled(self) -> bool:
        """Whether the rule on the line of action asks about it."""
        return self.weight > LEAST_WORTH


@dataclass(frozen=True)
class Crossing:
    """Two cameras that take one moment of a period from opposite sides of its line of action."""

    period: str  # key
    moment: str  # key
    attack: str | None  # "+x", "-x", or None where the two ends are not told apart
    weight: float  # share of the period's worth
    right: str  # camera on the right of someone who looks along the line
    left: str


@dataclass(frozen=True)
class Course:
    """One stretch of a line of action."""

    middle_m: tuple[float, float]
    way_rad: float


@dataclass(frozen=True)
class ActionLine:
    """The line of action of one moment that two or more cameras take, toward one end where ends matter."""

    moment: str  # key
    attack: int  # as in `End`
    weight: float  # share of the period's worth
    courses: tuple[Course, ...]  # one, or three from right to left where its people look different ways
    crossed_by: tuple[tuple[str, str], ...]  # pairs of cameras that take it from opposite sides


def moment_ends(targets: Targets) -> tuple[End, ...]:
    """Sort the targets of a period by moment and end attacked, in the sport's order."""
    return tuple(
        End(key, attack, own, float(targets.weight[own].sum()))
        for index, key in enumerate(targets.moment_keys)
        for attack in (1, 0, -1)
        if len(own := np.flatnonzero((targets.moment == index) & (targets.attack_x == attack) & (targets.weight > 0)))
    )


def line_of_action_rad(targets: Targets) -> Floats:
    """Which way each moment's line of action runs: where its people look if that is one way, else along x."""
    return np.where(targets.facing_pull >= ONE_WAY_PULL, targets.facing_rad, 0.0)


def sides_of_line(positions_m: Floats, targets_m: Floats, line_rad: Floats) -> NDArray[np.int8]:
    """Side of each line of action on which cameras stand: +1 left of it, -1 right, 0 near the line.

    Parameters
    ----------
    positions_m : shape (n, 2) or (n, 3), lens positions
    targets_m : shape (t, 2) or (t, 3), a point on each line
    line_rad : shape (t,), which way it runs

    Returns
    -------
    shape (n, t)
    """
    away_x = positions_m[:, None, 0] - targets_m[:, 0]
    away_y = positions_m[:, None, 1] - targets_m[:, 1]
    across_m = away_y * np.cos(line_rad) - away_x * np.sin(line_rad)
    is_near = across_m**2 < math.sin(math.radians(NEUTRAL_DEG)) ** 2 * (away_x**2 + away_y**2)
    return np.where(is_near, 0, np.sign(across_m)).astype(np.int8)


def crossing_pairs(end: End, targets: Targets, positions_m: Floats, quality: Floats | Singles) -> Flags:
    """Which pairs of cameras take a moment from opposite sides of its line of action.

    Parameters
    ----------
    positions_m : shape (n, 3)
    quality : shape (n, t), for all targets of the period

    Returns
    -------
    shape (n, n), symmetric
    """
    own = end.own
    worth = targets.weight[own] / targets.weight[own].sum()
    takes = quality[:, own] @ worth >= TAKES
    side = sides_of_line(positions_m, targets.xyz_m[own], line_of_action_rad(targets)[own])
    opposite = (side[:, None] * side[None] < 0) @ worth
    return np.asarray((opposite > MOSTLY) & takes[:, None] & takes[None])


def period_crossings(
    period: str, targets: Targets, names: tuple[str, ...], positions_m: Floats, quality: Floats, *, has_ends: bool
) -> tuple[Crossing, ...]:
    """List the moments over LEAST_WORTH that two cameras take from opposite sides, weightiest first.

    Parameters
    ----------
    period : key
    names : of the cameras
    positions_m, quality : as in `crossing_pairs`
    has_ends : False where all attack the same way, so that the two ends need not be kept apart
    """
    crossings = []
    for end in moment_ends(targets):
        if not end.is_ruled:
            continue
        crossing = crossing_pairs(end, targets, positions_m, quality)
        for i, j in combinations(range(len(names)), 2):
            if crossing[i, j]:
                right, left = (i, j) if _leans_left(end, targets, positions_m[[i, j]]) else (j, i)
                attack = {1: "+x", -1: "-x"}.get(end.attack) if has_ends else None
                crossings.append(Crossing(period, end.moment, attack, end.weight, names[right], names[left]))
    return tuple(sorted(crossings, key=lambda c: -c.weight))


def action_lines(
    targets: Targets, names: tuple[str, ...], positions_m: Floats, quality: Floats
) -> tuple[ActionLine, ...]:
    """Lay out the lines of action that the rule asks about, in the sport's order, to be drawn.

    Parameters
    ----------
    names, positions_m, quality : as in `period_crossings`
    """
    lines = []
    for end in moment_ends(targets):
        worth = targets.weight[end.own] / targets.weight[end.own].sum()
        if not end.is_ruled or (quality[:, end.own] @ worth >= TAKES).sum() < 2:
            continue
        crossing = crossing_pairs(end, targets, positions_m, quality)
        pairs = [(names[i], names[j]) for i, j in combinations(range(len(names)), 2) if crossing[i, j]]
        at_m, way_rad = targets.xyz_m[end.own, :2], line_of_action_rad(targets)[end.own]
        lines.append(ActionLine(end.moment, end.attack, end.weight, _courses(at_m, way_rad, worth), tuple(pairs)))
    return tuple(lines)


def _courses(at_m: Floats, way_rad: Floats, worth: Floats) -> tuple[Course, ...]:
    """Mean place and way of a moment's lines, in three parts across the ground where the ways differ.

    A line runs both ways, so angles are doubled before their mean is taken.
    """
    mean = complex(worth @ np.exp(2j * way_rad))
    if abs(mean) >= ONE_COURSE * worth.sum() or len(worth) < 3:
        x_m, y_m = (worth @ at_m / worth.sum()).tolist()
        return (Course((x_m, y_m), float(np.angle(mean)) / 2),)
    order = np.argsort(at_m[:, 1], kind="stable")
    part = np.minimum((3 * (np.cumsum(worth[order]) - worth[order] / 2) / worth.sum()).astype(int), 2)
    thirds = [order[part == k] for k in range(3) if (part == k).any()]
    return tuple(
        Course(
            tuple((worth[t] @ at_m[t] / worth[t].sum()).tolist()),
            float(np.angle(worth[t] @ np.exp(2j * way_rad[t]))) / 2,
        )
        for t in thirds
    )


def _leans_left(end: End, targets: Targets, positions_m: Floats) -> bool:
    """Whether the second of two cameras stands further left of the line than the first, by worth."""
    side = sides_of_line(positions_m, targets.xyz_m[end.own], line_of_action_rad(targets)[end.own])
    first, second = side @ targets.weight[end.own]
    return bool(second > first)
