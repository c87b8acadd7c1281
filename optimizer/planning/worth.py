"""What a camera is worth at a spot that somebody chose by hand, the others kept where the plan has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standmark.geometry.arrays import Floats
from standmark.geometry.errors import InputError
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.choice.grid import spot_quality, stage_task
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.planning.plan_match import Plan
from standmark.optimizer.value.outfit import Outfit, camera_outfits
from standmark.optimizer.value.quality import Surroundings, row_factors
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, period_targets, same_targets
from standmark.optimizer.work.duty import faces_share
from standmark.sports.sport import Period
from standmark.sports.timeline import length_shares


@dataclass(frozen=True)
class Worth:
    """What all cameras together get of the whole match; shares, 0..1, in the terms of a plan."""

    coverage: float
    seen: float
    faces: float
    lens: Lens  # of the camera that was asked about


@dataclass(frozen=True, eq=False)
class Scene:
    """Periods that ask the same with the other cameras at the same places."""

    periods: tuple[Period, ...]
    targets: Targets
    around: Surroundings
    own: tuple[Outfit, Floats] | None  # outfit and place of the camera in the plan; None: it is new
    others: Floats  # shape (3, n_targets), the most that the other cameras get: quality, seen, shown


def scenes(match: Match, plan: Plan, name: str) -> list[Scene]:
    """Lay out what a match asks beside one camera, by a plan of this match or of one like it.

    Raises
    ------
    InputError : the match has no camera of that name
    ValueError : the plan is of other periods
    """
    camera, planned = _camera(match, name), {p.period.key: p for p in plan.periods}
    if [p.key for p in match.sport.periods] != list(planned):
        raise ValueError("the plan has other periods; plan the match again first")
    by_picture: dict[tuple[object, ...], Scene] = {}
    pictures: list[tuple[Targets, Surroundings]] = []
    for period in match.sport.periods:
        targets, around = _shared(pictures, period_targets(match, period), period_surroundings(match, period))
        kits = {c.name: c for c in match.cameras}
        places = {
            a.camera: (_outfit(match, kits[a.camera], a.lens), (a.spot.x_m, a.spot.y_m, a.spot.z_m))
            for a in planned[period.key].assignments
            if a.camera in kits
        }
        key = (id(targets), id(around), tuple(sorted(places.items(), key=lambda item: item[0])))
        if key in by_picture:
            known = by_picture[key]
            by_picture[key] = Scene((*known.periods, period), targets, around, known.own, known.others)
            continue
        others = [
            _got(match, outfit, np.array(xyz_m), targets, around)
            for other, (outfit, xyz_m) in places.items()
            if other != name
        ]
        own = places.get(camera.name)
        by_picture[key] = Scene(
            (period,),
            targets,
            around,
            None if own is None else (own[0], np.array(own[1])),
            np.max(others, axis=0) if others else np.zeros((3, len(targets.weight))),
        )
    return list(by_picture.values())


def planned_worth(match: Match, asked: Sequence[Scene]) -> Worth | None:
    """Worth of the plan's own choice; None where it does not have the camera."""
    if any(scene.own is None for scene in asked):
        return None
    got = [_beside(match, scene, *scene.own) for scene in asked if scene.own is not None]
    own = asked[0].own
    assert own is not None
    return _summed(match, asked, got, own[0].lens)


def spot_worth(
    match: Match,
    asked: Sequence[Scene],
    name: str,
    xyz_m: Floats,
    *,
    period: str | None = None,
    lens: str | None = None,
) -> Worth:
    """Worth of one camera at a spot, with the lens of its kit that gets most there.

    Parameters
    ----------
    asked : of that camera, see `scenes`
    xyz_m : shape (3,), lens position
    period : key; in the others it stays where the plan has it. None: it stands there in every period
    lens : name; None: the best

    Raises
    ------
    InputError : the camera has no such lens, or the match no such period
    """
    if period is not None and period not in {p.key for p in match.sport.periods}:
        raise InputError(f"period {period!r}: the match has {', '.join(p.key for p in match.sport.periods)}")
    moved = [_of_period(scene, period) for scene in asked]
    outfit = _best_outfit(match, [s for s in moved if s.periods], _camera(match, name), xyz_m, lens)
    whole: list[Scene] = []
    got: list[Floats] = []
    for scene, part in zip(asked, moved, strict=True):
        if part.periods:
            whole.append(part)
            got.append(_beside(match, part, outfit, xyz_m))
        rest = tuple(p for p in scene.periods if p not in part.periods)
        if rest:
            whole.append(Scene(rest, scene.targets, scene.around, scene.own, scene.others))
            got.append(_weighed(scene, scene.others) if scene.own is None else _beside(match, scene, *scene.own))
    return _summed(match, whole, got, outfit.lens)


def _camera(match: Match, name: str) -> Camera:
    camera = next((c for c in match.cameras if c.name == name), None)
    if camera is None:
        raise InputError(f"camera {name!r}: the match has {', '.join(c.name for c in match.cameras)}")
    return camera


def _shared(
    pictures: list[tuple[Targets, Surroundings]], targets: Targets, around: Surroundings
) -> tuple[Targets, Surroundings]:
    """An equal picture met before, or this one."""
    known = next((p for p in pictures if p[1] == around and same_targets(p[0], targets)), None)
    if known is None:
        known = targets, around
        pictures.append(known)
    return known


def _outfit(match: Match, camera: Camera, lens: Lens) -> Outfit:
    """What a camera films with at its planned place; its first lens where it no longer has the planned one."""
    outfits = camera_outfits(match, camera)
    return next((o for o in outfits if o.lens == lens), outfits[0])


def _best_outfit(match: Match, asked: Sequence[Scene], camera: Camera, xyz_m: Floats, lens: str | None) -> Outfit:
    outfits = [o for o in camera_outfits(match, camera) if lens in (None, o.lens.name)]
    if not outfits:
        raise InputError(f"lens {lens!r}: camera {camera.name} has {', '.join(n.name for n in camera.lenses)}")
    if len(outfits) == 1:
        return outfits[0]
    total = np.zeros(len(outfits))
    for scene in asked:
        task = stage_task((period, scene.targets, scene.around) for period in scene.periods)
        quality = spot_quality(match, task, xyz_m[None], outfits)[:, 0]
        total += np.vecdot(np.maximum(quality, scene.others[0]), scene.targets.weight) * task.minutes
    return outfits[int(total.argmax())]


def _of_period(scene: Scene, period: str | None) -> Scene:
    periods = tuple(p for p in scene.periods if period in (None, p.key))
    return Scene(periods, scene.targets, scene.around, scene.own, scene.others)


def _got(match: Match, outfit: Outfit, xyz_m: Floats, targets: Targets, around: Surroundings) -> Floats:
    """Quality, seen and shown of one camera for every target, shape (3, n_targets)."""
    factors = row_factors(xyz_m, targets, outfit=outfit, deliverable=match.deliverable, around=around)
    return np.array([factors.quality, factors.seen, factors.shown])


def _beside(match: Match, scene: Scene, outfit: Outfit, xyz_m: Floats) -> Floats:
    own = _got(match, outfit, xyz_m, scene.targets, scene.around)
    return _weighed(scene, np.maximum(own, scene.others))


def _weighed(scene: Scene, best: Floats) -> Floats:
    """Coverage, seen and shown of a scene, shape (3,)."""
    return np.asarray(best @ scene.targets.weight)


def _summed(match: Match, asked: Sequence[Scene], got: Sequence[Floats], lens: Lens) -> Worth:
    """Of the whole match, by the length of the periods."""
    shares = dict(zip((p.key for p in match.sport.periods), length_shares(match.sport.periods), strict=True))
    total = np.zeros(3)
    for scene, part in zip(asked, got, strict=True):
        total += sum(shares[p.key] for p in scene.periods) * part
    coverage, seen, shown = (float(value) for value in total)
    return Worth(coverage, seen, faces_share(seen, shown), lens)
