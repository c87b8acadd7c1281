"""Who does what in each kind of moment: primary camera, second angle, wide and tight, line of action, what is lost."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Flags, Floats, Indices
from standmark.optimizer.value.targets import Targets
from standmark.optimizer.work.line_of_action import End, crossing_pairs, moment_ends
from standmark.optimizer.work.second_angle import PairViews

CLEARLY_TIGHTER = 1.25  # ratio of subject sizes from which the lenses themselves say who is tight
TIE = 1e-6  # cameras this close in quality share a moment


@dataclass(frozen=True)
class Duty:
    """What the cameras do in one kind of moment in one period, toward one end where ends matter."""

    moment: str
    attack: str | None  # "+x" or "-x": end attacked; None: the same for both sides
    weight: float  # share of the period's moments
    coverage: float  # value, as in the plan
    seen: float  # share of it captured usably by at least one camera
    faces: float  # share of what is captured usably that shows faces to at least one camera
    primary: str  # camera that is the best one for most of it
    primary_share: float  # of what is covered, where the primary is the best
    second: str | None  # camera whose other view of it is worth most; None with one camera
    second_angle: float  # share of it captured by primary and second in clearly different views
    angle_deg: float | None  # mean angle between primary and second
    wide: str | None  # who holds the action with its surroundings
    tight: str | None  # who goes to the body and the face
    crosses_line: bool  # primary and second take it from opposite sides of its line of action

    @property
    def lost(self) -> float:
        """Coverage of the period that this moment leaves on the table."""
        return self.weight * (1.0 - self.coverage)

    @property
    def missed(self) -> float:
        """Share of the period's moments that are of this kind and not captured usably."""
        return self.weight * (1.0 - self.seen)


@dataclass(frozen=True, eq=False)
class Views:
    """What several cameras see of some targets."""

    cameras: tuple[str, ...]
    roles: tuple[str | None, ...]
    positions_m: Floats  # shape (n, 3)
    quality: Floats  # shape (n, t)
    seen: Floats  # shape (n, t), probability of usable footage
    shown: Floats  # shape (n, t), the same with faces
    size: Floats  # shape (n, t), share of frame height that the subject fills
    pairs: PairViews


@dataclass(frozen=True, eq=False)
class _Pair:
    """Two cameras and the targets of one duty."""

    positions_m: Floats  # shape (2, 3)
    quality: Floats  # shape (2, t)
    size: Floats  # shape (2, t)
    targets_m: Floats  # shape (t, 3)
    weight: Floats  # shape (t,), sums to 1
    angle_deg: Floats  # shape (t,), between the two views
    differs: Flags  # shape (t,), clearly

    @property
    def twice(self) -> float:
        """Share captured by both in clearly different views."""
        return float(self.weight @ (self.quality.min(axis=0) * self.differs))

    @property
    def common(self) -> Floats:
        """Weight of each target to the pair, shape (t,); plain weights where both together get nothing."""
        both = self.weight * self.quality.min(axis=0)
        return both / both.sum() if both.sum() > 0 else self.weight


def faces_share(seen: float, shown: float) -> float:
    """Share of what is captured usably that shows faces; 0 where nothing is captured."""
    return float(shown / seen) if seen > 0 else 0.0


def moment_duties(targets: Targets, views: Views, *, has_ends: bool = True) -> tuple[Duty, ...]:
    """Share out every kind of moment of a period, end by end, in the sport's order.

    Parameters
    ----------
    has_ends : False where all attack the same way, so that the two ends need not be kept apart
    """
    return tuple(_duty(end, targets, views, has_ends=has_ends) for end in moment_ends(targets))


def _duty(end: End, targets: Targets, views: Views, *, has_ends: bool) -> Duty:
    own = end.own
    weight, quality = targets.weight[own], views.quality[:, own]
    covered = weight * quality.max(axis=0)
    seen, shown = (float(weight @ part[:, own].max(axis=0)) for part in (views.seen, views.shown))
    is_best = quality >= quality.max(axis=0) - TIE
    carried = (is_best / is_best.sum(axis=0)) @ (covered if covered.sum() > 0 else weight)
    primary = int(carried.argmax())
    pairs = {i: _pair(primary, i, own, targets, views) for i in range(len(views.cameras)) if i != primary}
    second = max(pairs, key=lambda i: (pairs[i].twice, float(weight @ quality[i])), default=None)
    pair = None if second is None else pairs[second]
    first_is_wide = pair is not None and _first_is_wide(pair)
    if second is not None and "wide" in (views.roles[primary], views.roles[second]):
        first_is_wide = views.roles[primary] == "wide"
    names = (views.cameras[primary], None if second is None else views.cameras[second])
    return Duty(
        moment=end.moment,
        attack={1: "+x", -1: "-x"}.get(end.attack) if has_ends else None,
        weight=float(weight.sum()),
        coverage=float(covered.sum() / weight.sum()),
        seen=seen / float(weight.sum()),
        faces=faces_share(seen, shown),
        primary=views.cameras[primary],
        primary_share=float(carried[primary] / carried.sum()),
        second=names[1],
        second_angle=0.0 if pair is None else pair.twice,
        angle_deg=None if pair is None else float(pair.common @ pair.angle_deg),
        wide=None if pair is None else names[0] if first_is_wide else names[1],
        tight=None if pair is None else names[1] if first_is_wide else names[0],
        crosses_line=second is not None and _crosses(end, targets, views, (primary, second)),
    )


def _pair(first: int, second: int, own: Indices, targets: Targets, views: Views) -> _Pair:
    both = [first, second]
    weight = targets.weight[own]
    return _Pair(
        views.positions_m[both], views.quality[both][:, own], views.size[both][:, own],
        targets.xyz_m[own], weight / weight.sum(), views.pairs.angle_deg[first, second, own],
        views.pairs.differs[first, second, own],
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


def _crosses(end: End, targets: Targets, views: Views, pair: tuple[int, int]) -> bool:
    both = list(pair)
    return bool(crossing_pairs(end, targets, views.positions_m[both], views.quality[both])[0, 1])
