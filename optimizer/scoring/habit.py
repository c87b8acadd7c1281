"""Plain habits: where people stand without a plan, found on the actual ground, allowed or not.

A habit is a part of the surroundings (level with halfway, behind the goal's centre, off a corner) and a spot in it
that one would take if nothing stood in the way. On a ground it becomes the allowed spot in that part that is nearest
to this one. Where the ground allows none, the habit is marked as not allowed and scored at the spot one would take.
Every habit gets the benefit of the doubt: the better side or end, the better lens, and a move wherever the match
lets cameras move.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from standmark.geometry.arrays import Floats, Indices, Singles
from standmark.optimizer.choice.candidates import blocked_shapes, standing_shape
from standmark.optimizer.choice.grid import stage_periods
from standmark.optimizer.choice.stage import EXACT, FEW, ROUGH
from standmark.optimizer.match.match import Camera, Match, heights_within_reach_m
from standmark.optimizer.scoring.breach import area_of
from standmark.optimizer.scoring.choice import PeriodTask, Stations, choice_shares
from standmark.optimizer.search import SearchProblem, search
from standmark.optimizer.value.outfit import Outfit, Rows, camera_outfits
from standmark.optimizer.value.quality import quality_matrix
from standmark.optimizer.work.assignment import Spot, Station, spot_at
from standmark.sports.sport import PlayingArea
from standmark.sports.timeline import length_shares

EYE_M = 1.6  # lens of someone who stands on the ground
HIGH_M = 5.0  # lens on a stand or mast, when the ground does not say how high one may go
LEAST_HIGH_M = 2.5  # under this nobody calls it high
BACK_M = 1.0  # outside the clear strip, on the ground
HIGH_BACK_M = 8.0
MOST_WORK = 1e8  # figures that the search for the best set takes at most: a quarter of a second, see `search/stop.py`
BEST_SET = "best-set"  # key of the best set of habits, one for each camera


@dataclass(frozen=True)
class Habit:
    """What standing by habit covers."""

    key: str
    name: str
    choice: tuple[Stations, ...]  # by period
    coverage: float
    seen: float
    faces: float
    refused: str  # why the ground does not allow it; empty when it does


@dataclass(frozen=True)
class HabitSpot:
    """One way to follow a habit: a side or an end."""

    key: str
    name: str
    spot: Spot
    refused: str


def plain_habits(match: Match, tasks: Sequence[PeriodTask]) -> tuple[Habit, ...]:
    """Score every plain habit with one camera; with several cameras, the best set of habits for all of them.

    Returns
    -------
    each habit once with its best side or end (an allowed one if there is any) and, for several cameras, one more
    with key "best-set": the set of habits, one for each camera, that is proven best of all such sets (to within
    ROUGH with more than FEW cameras), or the best found in MOST_WORK
    """
    kinds = dict.fromkeys(spot.key for spot in habit_spots(match, match.cameras[0]))
    keys = [*kinds, BEST_SET] if len(match.cameras) > 1 else kinds
    return tuple(habit for key in keys if (habit := plain_habit(match, tasks, key)) is not None)


def plain_habit(match: Match, tasks: Sequence[PeriodTask], key: str) -> Habit | None:
    """Score one habit, or with `BEST_SET` the best set of them, as `plain_habits` does; None where it has no place."""
    if key == BEST_SET:
        return _best_set(match, tasks)
    spots = [spot for spot in habit_spots(match, match.cameras[0]) if spot.key == key]
    return _one_camera(match, tasks, spots) if spots else None


def habit_spots(match: Match, camera: Camera) -> tuple[HabitSpot, ...]:
    """Spots of all habits on this ground, for a camera with its reach of heights."""
    return tuple(_habit_spot(match, camera, corner) for corner in _corners(match.sport.area))


@dataclass(frozen=True)
class _Corner:
    """Where a habit is followed, before the ground is asked."""

    key: str
    name: str
    region: BaseGeometry
    wish_m: tuple[float, float, float]
    least_m: float = 0.0  # lens height under which the habit is not followed


def _corners(area: PlayingArea) -> Iterator[_Corner]:
    low_x, low_y, high_x, high_y = area.outline.bounds
    clear = area.run_off.bounds
    mid_x, mid_y = (low_x + high_x) / 2, (low_y + high_y) / 2
    along, across = high_x - low_x, high_y - low_y
    beside = _beside(area)
    for side, edge, strip in ((1, high_y, clear[3]), (-1, low_y, clear[1])):
        for key, name, z_m, back_m, depth_m, least_m in (
            ("halfway", f"{beside}, at ground level", EYE_M, BACK_M, max(6.0, 0.25 * across), 0.0),
            ("halfway-high", f"{beside}, high up", HIGH_M, HIGH_BACK_M, max(30.0, across), LEAST_HIGH_M),
        ):
            region = _box(mid_x - 0.08 * along, edge, mid_x + 0.08 * along, strip + side * depth_m)
            yield _Corner(key, name, region, (mid_x, strip + side * back_m, z_m), least_m)
    behind = f"behind {area.target_name}" if area.has_home_corner else f"behind the {_end_target(area)}, in the middle"
    for end, edge, strip in ((1, high_x, clear[2]), (-1, low_x, clear[0])):
        if area.has_home_corner and end > 0:
            continue  # nothing is scored at the fence
        region = _box(edge, mid_y - 0.06 * across, strip + end * max(6.0, 0.12 * along), mid_y + 0.06 * across)
        yield _Corner("behind-target", behind, region, (strip + end * BACK_M, mid_y, EYE_M))
    for x, y in product((high_x, low_x), (high_y, low_y)):
        if area.outline.distance(shapely.Point(x, y)) < 0.03 * along:
            out_x, out_y = np.sign(x - mid_x), np.sign(y - mid_y)
            reach = max(3.0, 0.08 * along)
            clear_x, clear_y = clear[2 if out_x > 0 else 0], clear[3 if out_y > 0 else 1]
            region = _box(x - out_x * reach, y - out_y * reach, clear_x + out_x * reach, clear_y + out_y * reach)
            wish = clear_x + out_x * 0.7 * BACK_M, clear_y + out_y * 0.7 * BACK_M, EYE_M
            yield _Corner("corner", "off a corner", region.difference(area.outline), wish)


def _beside(area: PlayingArea) -> str:
    """What the middle of a side is level with, in the sport's words."""
    low_x, _, high_x, _ = area.outline.bounds
    xs = [abs(point[0]) for target in area.targets for bar in target.bars for point in bar]
    if area.has_home_corner:
        return "beside the outfield"
    if xs and max(xs) < 1.0:
        return f"level with the {area.target_name}"
    return "square of the pitch" if xs and max(xs) < 0.1 * (high_x - low_x) else "level with halfway"


def _end_target(area: PlayingArea) -> str:
    """What stands at the ends: the sport's target if it does, else the end line."""
    low_x, _, high_x, _ = area.outline.bounds
    reach = 0.3 * (high_x - low_x)
    xs = [point[0] for target in area.targets for bar in target.bars for point in bar]
    return area.target_name if any(x > high_x - reach or x < low_x + reach for x in xs) else area.end_line


def _box(x_1: float, y_1: float, x_2: float, y_2: float) -> shapely.Polygon:
    return shapely.box(min(x_1, x_2), min(y_1, y_2), max(x_1, x_2), max(y_1, y_2))


def _habit_spot(match: Match, camera: Camera, corner: _Corner) -> HabitSpot:
    """Allowed spot nearest to the wish, or the wish itself with the reason why nobody may stand there."""
    wish = shapely.Point(corner.wish_m[:2])
    spots = []
    for area in match.venue.allowed:
        reach = heights_within_reach_m(area, camera)
        if reach is None or reach[1] < corner.least_m or (camera.areas is not None and area.key not in camera.areas):
            continue
        part = standing_shape(match, area).intersection(corner.region)
        if not part.is_empty:
            spot = nearest_points(part, wish)[0]
            z_m = reach[1] if corner.least_m else float(np.clip(corner.wish_m[2], *reach))
            spots.append((spot.distance(wish), area.key, spot.x, spot.y, z_m))
    if spots:
        _, key, x_m, y_m, z_m = min(spots)
        return HabitSpot(corner.key, corner.name, spot_at(key, round(x_m, 3), round(y_m, 3), round(z_m, 3)), "")
    x_m, y_m, z_m = (round(float(v), 3) for v in corner.wish_m)
    spot_there = spot_at(area_of(match, x_m, y_m, z_m), x_m, y_m, z_m)
    return HabitSpot(corner.key, corner.name, spot_there, _why_refused(match, corner))


def _why_refused(match: Match, corner: _Corner) -> str:
    here = [a for a in match.venue.allowed if not standing_shape(match, a).intersection(corner.region).is_empty]
    if here:
        highest = max(a.lens_height_m[1] for a in here)
        return f"no allowed area there lets the lens go {corner.least_m:g} m up (highest: {highest:g} m)"
    names = dict.fromkeys(
        name
        for name, shape in blocked_shapes(match, match.venue.allowed[0])
        if shape.intersects(shapely.Point(corner.wish_m[:2]).buffer(0.1))
    )
    return f"kept clear: {', '.join(names)}" if names else "no allowed area there"


def _one_camera(match: Match, tasks: Sequence[PeriodTask], spots: list[HabitSpot]) -> Habit:
    """Take the best side or end, lens and period of a habit; an allowed one wherever there is one."""
    usable = [spot for spot in spots if not spot.refused] or spots
    alone = replace(match, cameras=match.cameras[:1])
    choice = _best_choice(alone, tasks, [usable])
    return Habit(spots[0].key, spots[0].name, choice, *choice_shares(alone, choice, tasks), usable[0].refused)


def _best_set(match: Match, tasks: Sequence[PeriodTask]) -> Habit:
    every = [habit_spots(match, camera) for camera in match.cameras]
    allowed = [[spot for spot in spots if not spot.refused] for spots in every]
    name = f"best {len(match.cameras)} of these places"
    choice = _best_choice(match, tasks, allowed)
    refused = "" if choice else "the ground allows too few of these places"
    choice = choice or _best_choice(match, tasks, every)
    return Habit(BEST_SET, name, choice, *choice_shares(match, choice, tasks), refused)


def _best_choice(
    match: Match, tasks: Sequence[PeriodTask], spots: Sequence[Sequence[HabitSpot]]
) -> tuple[Stations, ...]:
    """Choose spot and lens of every camera in every stage, the best of all combinations; () if there is none.

    Parameters
    ----------
    spots : for each camera the spots it may take
    """
    choice: list[Stations] = []
    for stage in stage_periods(match):
        first = len(choice)
        part = slice(first, first + len(stage))
        stations = _best_stations(match, tasks[part], spots, length_shares(match.sport.periods)[part])
        if not stations:
            return ()
        choice += [stations] * len(stage)
    return tuple(choice)


def _best_stations(
    match: Match, tasks: Sequence[PeriodTask], spots: Sequence[Sequence[HabitSpot]], shares: Floats
) -> Stations:
    options: list[tuple[Outfit, Spot]] = []
    quality: list[Singles] = []
    kits: list[tuple[tuple[Outfit, ...], Sequence[HabitSpot], Indices]] = []  # cameras alike share their rows
    rows_by_camera = []
    for camera, own in zip(match.cameras, spots, strict=True):
        outfits = camera_outfits(match, camera)
        rows = next((rows for kit, places, rows in kits if kit == outfits and places == own), None)
        if rows is None:
            rows = np.arange(len(options), len(options) + len(outfits) * len(own))
            options += [(outfit, s.spot) for outfit in outfits for s in own]
            quality.append(_spot_quality(match, own, outfits, tasks))
            kits.append((outfits, own, rows))
        rows_by_camera.append(rows)
    if not all(len(rows) for rows in rows_by_camera):
        return ()
    problem = SearchProblem(
        quality=np.vstack(quality),
        weight=np.concatenate([task.targets.weight * share for task, share in zip(tasks, shares, strict=True)]),
        rows_by_camera=tuple(rows_by_camera),
        xy_m=np.array([[spot.x_m, spot.y_m] for _, spot in options]),
        separation_m=match.rules.separation_m if len(match.cameras) > 1 else 0.0,
    )
    found = search(problem, tolerance=EXACT if len(match.cameras) <= FEW else ROUGH, most_work=MOST_WORK)
    return tuple(Station(match.cameras[i], *options[row]) for i, row in enumerate(found.rows))


def _spot_quality(
    match: Match, spots: Sequence[HabitSpot], outfits: tuple[Outfit, ...], tasks: Sequence[PeriodTask]
) -> Singles:
    """Quality of every outfit at every spot, the periods side by side; row = outfit index x n_spots + spot index."""
    xyz_m = np.array([[s.spot.x_m, s.spot.y_m, s.spot.z_m] for s in spots]).reshape(-1, 3)
    rows = Rows(outfits, len(xyz_m), ())
    return np.hstack([
        quality_matrix(xyz_m, task.targets, rows=rows, deliverable=match.deliverable, around=task.around)
        for task in tasks
    ])  # fmt: skip
