"""Who does what in each kind of moment: primary camera, second angle, wide and tight, line of action, what is lost."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standmark.geometry.arrays import Floats, Indices
from standmark.optimizer.value.targets import Targets
from standmark.optimizer.work.second_angle import is_other_view, view_angle_deg

CLEARLY_TIGHTER = 1.25  # ratio of subject sizes from which the lenses themselves say who is tight
NEUTRAL_DEG = 15.0  # a camera this near the line of action cuts with either side; common practice, no source
TIE = 1e-6  # cameras this close in quality share a moment
ONE_WAY_PULL = 0.5  # moments whose people look one way at least this much have a line of action of their own


@dataclass(frozen=True)
class Duty:
    """What the cameras do in one kind of moment in one period, toward one end where ends matter."""

    moment: str
    attack: str | None  # "+x" or "-x": end attacked; None: the same for both sides
    weight: float  # share of the period's moments
    coverage: float
    primary: str  # camera that is the best one for most of it
    primary_share: float  # of what is covered, where the primary is the best
    second: str | None  # camera whose other view of it is worth most; None with one camera
    second_angle: float  # share of it captured by primary and second in clearly different views
    angle_deg: float | None  # mean angle between primary and second
    wide: str | None  # who holds the action with its surroundings
    tight: str | None  # who goes to the body and the face
    crosses_line: bool  # primary and second mostly stand on opposite sides of this moment's line of action

    @property
    def lost(self) -> float:
        """Coverage of the period that this moment leaves on the table."""
        return self.weight * (1.0 - self.coverage)


@dataclass(frozen=True, eq=False)
class Views:
    """What several cameras see of some targets."""

    cameras: tuple[str, ...]
    positions_m: Floats  # shape (n, 3)
    quality: Floats  # shape (n, t)
    size: Floats  # shape (n, t), share of frame height that the subject fills


@dataclass(frozen=True, eq=False)
class _Pair:
    """Two cameras and the targets of one duty."""

    positions_m: Floats  # shape (2, 3)
    quality: Floats  # shape (2, t)
    size: Floats  # shape (2, t)
    targets_m: Floats  # shape (t, 3)
    line_rad: Floats  # shape (t,)
    weight: Floats  # shape (t,), sums to 1

    @property
    def angle_deg(self) -> Floats:
        """Angle between the two views of each target, shape (t,)."""
        return view_angle_deg(self.positions_m[0], self.positions_m[1], self.targets_m)

    @property
    def twice(self) -> float:
        """Share captured by both in clearly different views."""
        differs = is_other_view(
            self.positions_m[0], self.positions_m[1], self.targets_m, first_size=self.size[0], second_size=self.size[1]
        )
        return float(self.weight @ (self.quality.min(axis=0) * differs))

    @property
    def common(self) -> Floats:
        """Weight of each target to the pair, shape (t,); plain weights where both together get nothing."""
        both = self.weight * self.quality.min(axis=0)
        return both / both.sum() if both.sum() > 0 else self.weight


def moment_duties(targets: Targets, views: Views, *, has_ends: bool = True) -> tuple[Duty, ...]:
    """Share out every kind of moment of a period, end by end, in the sport's order.

    Parameters
    ----------
    has_ends : False where all attack the same way, so that no end has to be told from the other
    """
    return tuple(
        _duty(key, attack if has_ends else 0, own, targets, views)
        for index, key in enumerate(targets.moment_keys)
        for attack in (1, 0, -1)
        if len(own := np.flatnonzero((targets.moment == index) & (targets.attack_x == attack) & (targets.weight > 0)))
    )


def side_of_line(position_m: Floats, targets_m: Floats, line_rad: Floats) -> NDArray[np.int8]:
    """Side of each line of action on which a camera stands: +1 left of it, -1 right, 0 near the line.

    Parameters
    ----------
    position_m : shape (3,), lens position
    targets_m : shape (t, 3), a point on each line
    line_rad : shape (t,), which way it runs

    Returns
    -------
    shape (t,)
    """
    away_m = position_m[:2] - targets_m[:, :2]
    across = np.sin(np.arctan2(away_m[:, 1], away_m[:, 0]) - line_rad)
    return np.where(np.abs(across) < math.sin(math.radians(NEUTRAL_DEG)), 0, np.sign(across)).astype(np.int8)


def line_of_action_rad(targets: Targets) -> Floats:
    """Which way each moment's line of action runs: where its people look if that is one way, else along x."""
    return np.where(targets.facing_pull >= ONE_WAY_PULL, targets.facing_rad, 0.0)


def _duty(key: str, attack: int, own: Indices, targets: Targets, views: Views) -> Duty:
    weight, quality = targets.weight[own], views.quality[:, own]
    covered = weight * quality.max(axis=0)
    is_best = quality >= quality.max(axis=0) - TIE
    carried = (is_best / is_best.sum(axis=0)) @ (covered if covered.sum() > 0 else weight)
    primary = int(carried.argmax())
    pairs = {i: _pair(primary, i, own, targets, views) for i in range(len(views.cameras)) if i != primary}
    second = max(pairs, key=lambda i: (pairs[i].twice, float(weight @ quality[i])), default=None)
    pair = None if second is None else pairs[second]
    first_is_wide = pair is not None and _first_is_wide(pair)
    names = (views.cameras[primary], None if second is None else views.cameras[second])
    return Duty(
        moment=key,
        attack={1: "+x", -1: "-x"}.get(attack),
        weight=float(weight.sum()),
        coverage=float(covered.sum() / weight.sum()),
        primary=views.cameras[primary],
        primary_share=float(carried[primary] / carried.sum()),
        second=names[1],
        second_angle=0.0 if pair is None else pair.twice,
        angle_deg=None if pair is None else float(pair.common @ pair.angle_deg),
        wide=None if pair is None else names[0] if first_is_wide else names[1],
        tight=None if pair is None else names[1] if first_is_wide else names[0],
        crosses_line=pair is not None and _crosses(pair),
    )


def _pair(first: int, second: int, own: Indices, targets: Targets, views: Views) -> _Pair:
    both = [first, second]
    weight = targets.weight[own]
    return _Pair(
        views.positions_m[both], views.quality[both][:, own], views.size[both][:, own],
        targets.xyz_m[own], line_of_action_rad(targets)[own], weight / weight.sum(),
    )  # fmt: skip


def _first_is_wide(pair: _Pair) -> bool:
    """Split a pair: the clearly larger subject is the tight one; alike, the nearer camera holds wide.

    Of two cameras alike, the nearer to the play is wide and the further tight (broadcast practice in American
    football: Camera positions and assignments for football, 2023).
    """
    first, second = np.log(np.maximum(pair.size, 1e-9)) @ pair.common
    if abs(first - second) >= math.log(CLEARLY_TIGHTER):
        return bool(first < second)
    away_m = np.linalg.norm(pair.targets_m[None] - pair.positions_m[:, None], axis=2) @ pair.common
    return bool(away_m[0] <= away_m[1])


def _crosses(pair: _Pair) -> bool:
    sides = [side_of_line(p, pair.targets_m, pair.line_rad) for p in pair.positions_m]
    return bool(pair.common @ (sides[0] * sides[1] < 0) > 0.5)
