"""What to change first: the single change of place, height or lens that gains most, computed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely

from standmark.geometry.arrays import Floats
from standmark.optimizer.choice.candidates import SPACING_M, sample_places, standing_shape
from standmark.optimizer.choice.refine import climb
from standmark.optimizer.match.match import AllowedArea, Match, heights_within_reach_m
from standmark.optimizer.scoring.breach import TOUCH_M, stands_well
from standmark.optimizer.scoring.choice import (
    PeriodTask,
    Stations,
    choice_score,
    choice_stages,
    station_quality,
)
from standmark.optimizer.value.outfit import Rows, camera_outfits
from standmark.optimizer.value.quality import quality_matrix
from standmark.optimizer.work.assignment import Station, spot_at
from standmark.sports.sport import Period
from standmark.sports.timeline import length_shares

ChangeKind = Literal["place", "height", "lens"]

HEIGHTS = 25  # tried over the range that area and support allow
LEAST_GAIN = 5e-4  # of coverage: a change that gains less is not worth a word
BLOCK = 128  # positions at a time


@dataclass(frozen=True)
class Change:
    """One camera changes one thing for some periods, all else kept."""

    kind: ChangeKind
    station: Station  # the camera as it would be
    before: Station
    periods: tuple[Period, ...]
    gain: float  # what the coverage of the whole match gains


@dataclass(frozen=True)
class _CameraAtWork:
    """One camera in one stage: what it has to see, and what the other cameras see already."""

    match: Match
    tasks: tuple[PeriodTask, ...]
    shares: Floats  # of the match's length, shape (n_periods,)
    others: tuple[Floats, ...]  # best quality of the other cameras, by period
    others_m: Floats  # shape (n_others, 3), where they stand
    full: frozenset[str]  # keys of areas that take no further camera
    before: Station
    worth: float  # of the present station


def best_changes(match: Match, choice: Sequence[Stations], tasks: Sequence[PeriodTask]) -> tuple[Change, ...]:
    """Find for every camera and stage the best single change of each kind, the most useful first.

    Other cameras, caps of areas, lines of action and least coverages are respected.
    A place is tried at the present height, or the nearest one that the area and the support allow; a height at the
    present place; a lens of the camera's own kit at the present spot. Places are sampled as a plan samples them and
    refined to a quarter of a metre. A change that is the same in several stages is listed once, with its whole gain.

    Parameters
    ----------
    choice : for each period one station for each camera
    """
    shares = length_shares(match.sport.periods)
    changes: list[Change] = []
    known: dict[object, list[Change]] = {}
    for stage in choice_stages(match, choice):
        for camera, before in enumerate(choice[stage[0]]):
            scene = _scene(match, [tasks[i] for i in stage], shares[stage], choice[stage[0]], camera)
            same = tuple(_task_key(task) for task in scene.tasks), tuple(scene.shares), choice[stage[0]], camera
            if same not in known:
                known[same] = [change for change in _scene_changes(scene) if change.gain > LEAST_GAIN]
            periods = tuple(task.period for task in scene.tasks)
            changes += [replace(change, periods=periods, before=before) for change in known[same]]
    kept = [change for change in _merged(changes) if _keeps_rules(match, choice, tasks, change)]
    return tuple(sorted(kept, key=lambda change: -change.gain))


def _scene(match: Match, tasks: list[PeriodTask], shares: Floats, stations: Stations, camera: int) -> _CameraAtWork:
    beside = [station for i, station in enumerate(stations) if i != camera]
    others = tuple(
        np.max([station_quality(match, s, task) for s in beside], axis=0)
        if beside
        else np.zeros(len(task.targets.weight))
        for task in tasks
    )
    used = Counter(station.spot.area for station in beside)
    full = frozenset(a.key for a in match.venue.allowed if a.max_cameras is not None and used[a.key] >= a.max_cameras)
    others_m = np.array([[s.spot.x_m, s.spot.y_m, s.spot.z_m] for s in beside]).reshape(-1, 3)
    scene = _CameraAtWork(match, tuple(tasks), shares, others, others_m, full, stations[camera], 0.0)
    return replace(scene, worth=_worth(scene, stations[camera]))


def _keeps_rules(match: Match, choice: Sequence[Stations], tasks: Sequence[PeriodTask], change: Change) -> bool:
    """Does a change bring no moment under its least coverage, or across its line of action, that was not before."""
    if not match.rules.must_cover and match.rules.same_side != "forbid":
        return True
    after = [
        tuple(change.station if task.period in change.periods and s == change.before else s for s in stations)
        for task, stations in zip(tasks, choice, strict=True)
    ]
    was, would_be = (_broken(match, c, tasks) for c in (choice, after))
    return would_be <= was


def _broken(match: Match, choice: Sequence[Stations], tasks: Sequence[PeriodTask]) -> set[tuple[object, ...]]:
    """Least coverages that are missed, and moments that cameras take across the line where the match forbids it."""
    periods = choice_score(match, choice, tasks=tasks).periods
    missed: set[tuple[object, ...]] = {
        (planned.period.key, key)
        for planned in periods
        for key, share in match.rules.must_cover.items()
        if planned.by_moment.get(key, 1.0) < share - 1e-9
    }
    if match.rules.same_side != "forbid":
        return missed
    return missed | {(c.period, c.moment, c.attack, frozenset((c.right, c.left))) for p in periods for c in p.crossings}


def _task_key(task: PeriodTask) -> tuple[object, bytes, bytes]:
    return task.around, task.targets.xyz_m.tobytes(), task.targets.weight.tobytes()


def _worth(scene: _CameraAtWork, station: Station) -> float:
    """Coverage of the stage, as a share of the match, with this station beside the others."""
    return sum(
        float(share * (task.targets.weight @ np.maximum(station_quality(scene.match, station, task), other)))
        for task, share, other in zip(scene.tasks, scene.shares, scene.others, strict=True)
    )


def _scene_changes(scene: _CameraAtWork) -> list[Change]:
    kinds: tuple[tuple[ChangeKind, Station | None], ...] = (
        ("place", _best_place(scene)),
        ("height", _best_height(scene)),
        ("lens", _best_lens(scene)),
    )
    periods = tuple(task.period for task in scene.tasks)
    return [
        Change(kind, station, scene.before, periods, _worth(scene, station) - scene.worth)
        for kind, station in kinds
        if station is not None
    ]


def _best_lens(scene: _CameraAtWork) -> Station | None:
    camera = scene.before.camera
    others = [replace(scene.before, outfit=o) for o in camera_outfits(scene.match, camera) if o != scene.before.outfit]
    return max(others, key=lambda station: _worth(scene, station), default=None)


def _best_height(scene: _CameraAtWork) -> Station | None:
    spot, point = scene.before.spot, shapely.Point(scene.before.spot.x_m, scene.before.spot.y_m)
    here = [area for area in _open_areas(scene) if area.shape.distance(point) <= TOUCH_M]
    ranges = [reach for area in here if (reach := heights_within_reach_m(area, scene.before.camera))]
    heights = sorted({round(float(z), 3) for low, high in ranges for z in np.linspace(low, high, HEIGHTS)} - {spot.z_m})
    if not heights:
        return None
    best = int(_worths(scene, np.array([[spot.x_m, spot.y_m, z] for z in heights])).argmax())
    return replace(scene.before, spot=spot_at(spot.area, spot.x_m, spot.y_m, heights[best]))


def _best_place(scene: _CameraAtWork) -> Station | None:
    """Best place at the present height: sampled over every area, then climbed to a quarter of a metre."""
    z_m, camera = scene.before.spot.z_m, scene.before.camera
    parts, owners = [], []
    for area in _open_areas(scene):
        reach = heights_within_reach_m(area, camera)
        if reach is not None:
            xy_m = sample_places(standing_shape(scene.match, area), spacing_m=SPACING_M).round(3)
            parts.append(np.column_stack([xy_m, np.full(len(xy_m), round(float(np.clip(z_m, *reach)), 3))]))
            owners += [area] * len(xy_m)
    if not owners:
        return None
    xyz_m = np.concatenate(parts)
    worth = _worths(scene, xyz_m)
    best = int(worth.argmax())
    if np.isinf(worth[best]):
        return None
    level = replace(camera, lens_height_m=(float(xyz_m[best, 2]),) * 2)
    spot = climb(scene.match, xyz_m[best], owners[best], level, worth=lambda places: _worths(scene, places))
    return replace(scene.before, spot=spot_at(owners[best].key, *spot))


def _open_areas(scene: _CameraAtWork) -> list[AllowedArea]:
    keys = [task.period.key for task in scene.tasks]
    wanted = scene.before.camera.areas
    return [
        area
        for area in scene.match.venue.allowed
        if (wanted is None or area.key in wanted) and (area.periods is None or all(key in area.periods for key in keys))
    ]


def _worths(scene: _CameraAtWork, xyz_m: Floats) -> Floats:
    """Worth of the stage for positions of the camera with its present lens; -inf where others are in the way.

    In single precision; shape (n_positions,).
    """
    rows = Rows((scene.before.outfit,), len(xyz_m), ())
    worth = np.zeros(len(xyz_m))
    for task, share, other in zip(scene.tasks, scene.shares, scene.others, strict=True):
        for start in range(0, len(xyz_m), BLOCK):
            block = slice(start, start + BLOCK)
            quality = quality_matrix(
                xyz_m[block], task.targets, rows=rows, deliverable=scene.match.deliverable, around=task.around
            )
            worth[block] += share * (np.maximum(quality, other) @ task.targets.weight)
    worth[~stands_well(scene.match, xyz_m, scene.others_m)] = -np.inf
    return worth


def _merged(changes: Sequence[Change]) -> list[Change]:
    """Tell a change once that is the same in several stages."""
    groups: dict[object, Change] = {}
    for change in changes:
        key = change.kind, change.station, change.before
        if key in groups:
            known = groups[key]
            change = replace(change, periods=known.periods + change.periods, gain=known.gain + change.gain)
        groups[key] = change
    return list(groups.values())
