"""Key moments that one camera films alike: grouped by how wide the shot is, and whether it is play."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import subject_fraction
from standmark.optimizer.match.match import Deliverable, Match
from standmark.optimizer.match.role import role_wish
from standmark.optimizer.settings.focus_area import TIGHT_FROM_SHARE, WIDE_BELOW_SHARE
from standmark.optimizer.settings.sharpness import widest_f_number
from standmark.optimizer.settings.shot import Shot
from standmark.optimizer.value.outfit import Outfit
from standmark.optimizer.value.quality import Surroundings, row_factors
from standmark.optimizer.value.size import framed_extent_m
from standmark.optimizer.value.targets import Targets
from standmark.optimizer.work.assignment import Assignment

LEAST_SEEN = 0.2  # a moment that a camera gets less often than this does not shape its settings
DEPTH_SHARE = 0.5  # of the action's width that ought to be sharp in depth; common practice, no source
LEAST_DEPTH_M = 2.0
INNER = (0.05, 0.95)  # ranges leave out the outer tenth


@dataclass(frozen=True)
class MomentGroup:
    """Moments that one camera films with the same settings."""

    name: str
    moments: tuple[str, ...]  # keys
    distance_m: tuple[float, float]
    focal_mm: tuple[float, float]
    shot: Shot  # the middle one


@dataclass(frozen=True, eq=False)
class SpotView:
    """What one camera sees of the targets of a period from its spot; all of shape (n_targets,)."""

    distance_m: Floats
    focal_mm: Floats
    share: Floats  # of the frame height that the subject fills
    work: Floats  # weight x quality


def moment_groups(match: Match, targets: Targets, assignment: Assignment, *, outfit: Outfit) -> tuple[MomentGroup, ...]:
    """Group the moments that a camera gets from its spot, play first, wide before tight."""
    wish = role_wish(match, next(c for c in match.cameras if c.name == assignment.camera))
    view = _view(wish, targets, assignment, outfit)
    named: dict[tuple[bool, int], list[int]] = {}
    for index in _worth_setting_for(targets, assignment):
        rows = np.flatnonzero(targets.moment == index)
        share = _quantile(view.share[rows], view.work[rows], 0.5)
        band = int(share >= WIDE_BELOW_SHARE) + int(share >= TIGHT_FROM_SHARE)
        named.setdefault((not match.sport.moments[index].is_play, band), []).append(index)
    return tuple(_group(match, wish, targets, view, outfit, key, moments) for key, moments in sorted(named.items()))


def _view(wish: Deliverable, targets: Targets, assignment: Assignment, outfit: Outfit) -> SpotView:
    spot = assignment.spot
    xyz_m = np.array([spot.x_m, spot.y_m, spot.z_m])
    factors = row_factors(xyz_m, targets, outfit=outfit, deliverable=wish, around=Surroundings())
    distance_m = np.linalg.norm(targets.xyz_m - xyz_m, axis=1)
    share = subject_fraction(targets.subject_m, distance_m, focal_mm=factors.focal_mm, mode=outfit.mode)
    return SpotView(distance_m, factors.focal_mm, share, targets.weight * factors.quality + 1e-12 * targets.weight)


def _worth_setting_for(targets: Targets, assignment: Assignment) -> list[int]:
    """Indices of the moments that this camera gets often enough; the best one when there is none."""
    seen = assignment.seen_by_moment
    keys = [key for key, share in seen.items() if share >= LEAST_SEEN]
    keys = keys or [max(seen, key=lambda key: seen[key])]
    return [index for index, key in enumerate(targets.moment_keys) if key in keys]


def _group(
    match: Match,
    wish: Deliverable,
    targets: Targets,
    view: SpotView,
    outfit: Outfit,
    key: tuple[bool, int],
    moments: list[int],
) -> MomentGroup:
    rows = np.flatnonzero(np.isin(targets.moment, moments))
    work = view.work[rows]
    name = f"{'people' if key[0] else 'play'}, {('wide', 'full figure', 'tight')[key[1]]}"
    focal_mm = _quantile(view.focal_mm[rows], work, 0.5)
    width_m = float(np.average(framed_extent_m(targets.extent_m[rows], wish)[:, 0], weights=work))
    chosen = [match.sport.moments[index] for index in moments]
    shot = Shot(
        name=name,
        distance_m=_quantile(view.distance_m[rows], work, 0.5),
        focal_mm=focal_mm,
        widest_f_number=widest_f_number(outfit.lens, focal_mm),
        depth_m=max(LEAST_DEPTH_M, DEPTH_SHARE * width_m),
        subject_m=float(np.average(targets.subject_m[rows], weights=work)),
        player_m_s=max(moment.speed_m_s for moment in chosen),
        ball_m_s=max(moment.ball_speed_m_s for moment in chosen),
        ball_m=match.sport.ball_m,
    )
    return MomentGroup(
        name=name,
        moments=tuple(moment.key for moment in chosen),
        distance_m=_inner(view.distance_m[rows], work),
        focal_mm=_inner(view.focal_mm[rows], work),
        shot=shot,
    )


def _inner(values: Floats, weight: Floats) -> tuple[float, float]:
    return _quantile(values, weight, INNER[0]), _quantile(values, weight, INNER[1])


def _quantile(values: Floats, weight: Floats, share: float) -> float:
    """Value below which a share of the weight lies."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weight[order]) / weight.sum()
    return float(values[order][min(int(np.searchsorted(reached, share)), len(values) - 1)])
