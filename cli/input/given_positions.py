"""Positions that a user gives: `--at "A=52.5,-8,1.6:70-200"`, or a plan.json, turned into stations."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from standmark.cli.input.plan_file import PlanFile
from standmark.geometry.errors import InputError, shown
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.presets import lens_from_words
from standmark.optimizer.scoring.breach import area_of
from standmark.optimizer.scoring.choice import PeriodTask, Stations, best_lenses
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.work.assignment import Station, spot_at
from standmark.sports.toml.file import did_you_mean

EYE_M = 1.6  # lens height when none is given: someone who stands
FARTHEST_M = 500.0
SAME_SIZE_M = 0.01
MOST_CAMERAS = 4
FORM = 'write NAME=x,y,z:lens, such as "A=52.5,-8,1.6:70-200"; NAME@PERIOD=... for one period only'


@dataclass(frozen=True)
class Given:
    """One camera's place as the user gave it."""

    camera: str
    period: str | None  # key; None: every period for which nothing else is given
    xyz_m: tuple[float, float, float]
    lens: str | None  # None: the best of the camera's own
    where: str  # how to name it in an error


def parse_at(words: str) -> Given:
    """Read one `--at`.

    Raises
    ------
    InputError : it is not of the form
    """
    where = f'--at "{shown(words)}"'
    name, equals, rest = words.partition("=")
    camera, _, period = name.strip().partition("@")
    place, _, lens = rest.partition(":")
    numbers = [_metres(part, where) for part in place.split(",")] if equals and camera.strip() else []
    if len(numbers) not in (2, 3):
        raise InputError(f"{where}: cannot be read; {FORM}")
    x_m, y_m, z_m = (*numbers, EYE_M)[:3]
    if max(abs(x_m), abs(y_m)) > FARTHEST_M or not 0 < z_m <= 200:
        raise InputError(f"{where}: out of range; allowed: x and y within {FARTHEST_M:g} m, lens over 0 to 200 m up")
    return Given(camera.strip(), period.strip() or None, (x_m, y_m, z_m), lens.strip() or None, where)


def plan_givens(plan: PlanFile, match: Match, path: Path) -> list[Given]:
    """Places of a plan, one for each camera and period.

    Raises
    ------
    InputError : the plan is for another sport or ground
    """
    if plan.sport != match.sport.key:
        raise InputError(f"{path}: a plan for {plan.sport}, while the match is {match.sport.key}; give its own match")
    area, own = match.sport.area, plan.playing_area
    if max(abs(area.length_m - own.length_m), abs(area.width_m - own.width_m)) > SAME_SIZE_M:
        raise InputError(
            f"{path}: a plan for a ground of {own.length_m:g} x {own.width_m:g} m, while the match has "
            f"{area.length_m:g} x {area.width_m:g} m; give the match file that it was made from"
        )
    return [
        Given(camera.name, period.key, (camera.position.x_m, camera.position.y_m, camera.position.z_m), camera.lens,
              f"{path}: periods, {period.key}")
        for period in plan.periods for camera in period.cameras
    ]  # fmt: skip


def chosen_match(match: Match, givens: Sequence[Given], *, free_names: bool) -> Match:
    """Reduce a match to the cameras that places are given for, each with the lenses it is given.

    Parameters
    ----------
    free_names : a name that the match does not have takes the first camera's kit

    Raises
    ------
    InputError : a camera, period or lens is not known, there are too many cameras, or one has two places at once
    """
    names = list(dict.fromkeys(given.camera for given in givens))
    if len(names) > MOST_CAMERAS:
        raise InputError(f"{givens[0].where}: {len(names)} cameras; allowed: up to {MOST_CAMERAS}")
    _check_periods(match, givens)
    cameras = [_camera(match, name, givens, free_names=free_names) for name in names]
    return replace(match, cameras=tuple(cameras))


def _check_periods(match: Match, givens: Sequence[Given]) -> None:
    periods = [period.key for period in match.sport.periods]
    seen: set[tuple[str, str | None]] = set()
    for given in givens:
        if given.period is not None and given.period not in periods:
            known, hint = ", ".join(periods), did_you_mean(given.period, periods)
            raise InputError(f'{given.where}: period "{given.period[:40]}" not known; allowed: {known}{hint}')
        if (given.camera, given.period) in seen:
            raise InputError(f'{given.where}: camera "{given.camera[:40]}" has a place already; {FORM}')
        seen.add((given.camera, given.period))


def _camera(match: Match, name: str, givens: Sequence[Given], *, free_names: bool) -> Camera:
    own = [given for given in givens if given.camera == name]
    known = {camera.name: camera for camera in match.cameras}
    if name not in known and not free_names:
        hint = did_you_mean(name, list(known))
        raise InputError(f'{own[0].where}: camera "{name[:40]}" not known; the match file has {", ".join(known)}{hint}')
    camera = known.get(name) or replace(match.cameras[0], name=name[:80], fixed=None)
    for given in own:
        lens = None if given.lens is None else _lens(camera, given)
        if lens is not None and lens not in camera.lenses:
            camera = replace(camera, lenses=(*camera.lenses, lens))
    return camera


def _lens(camera: Camera, given: Given) -> Lens:
    """Lens of the kit by its name or its focal lengths, or else the one that the words describe."""
    words = given.lens or ""
    named = [lens for lens in camera.lenses if lens.name == words]
    lens = lens_from_words(words)
    if lens is not None and not named:
        named = [own for own in camera.lenses if own.focal_mm == lens.focal_mm and "/" not in words]
    if named:
        return named[0]
    if lens is None or not 0 < lens.focal_mm[0] <= lens.focal_mm[1] <= 3000 or not min(lens.f_number) > 0:
        kit = ", ".join(own.name for own in camera.lenses)
        raise InputError(f'{given.where}: lens "{words[:40]}" not known; write one of {kit}, or one such as 300/4')
    return lens


def added_lenses(match: Match, chosen: Match) -> list[str]:
    """Say which lenses were given that a camera of the match does not have."""
    kits = {camera.name: camera.lenses for camera in match.cameras}
    return [
        f"{lens.name} is not among the lenses of camera {camera.name}; it is taken as if it were"
        for camera in chosen.cameras
        for lens in camera.lenses
        if lens not in kits.get(camera.name, match.cameras[0].lenses)
    ]


def given_stations(match: Match, givens: Sequence[Given], tasks: Sequence[PeriodTask]) -> tuple[Stations, ...]:
    """Stations of every period; where no lens is given, the best one of the camera's kit.

    Raises
    ------
    InputError : a camera has no place in some period
    """
    return tuple(
        best_lenses(match, task, [_options(match, camera, _given(givens, camera, task)) for camera in match.cameras])
        for task in tasks
    )


def _given(givens: Sequence[Given], camera: Camera, task: PeriodTask) -> Given:
    """Return the place given for a camera in a period: the one for this very period before the one for all."""
    own = [given for given in givens if given.camera == camera.name and given.period in (None, task.period.key)]
    if not own:
        raise InputError(f'camera "{camera.name}": no place given for {task.period.name}; {FORM}')
    return max(own, key=lambda given: given.period is not None)


def _options(match: Match, camera: Camera, given: Given) -> list[Station]:
    spot = spot_at(area_of(match, *given.xyz_m), *given.xyz_m)
    wanted = None if given.lens is None else _lens(camera, given)
    outfits = {o.lens: o for o in camera_outfits(match, camera) if wanted in (None, o.lens)}
    return [Station(camera, outfit, spot) for outfit in outfits.values()]


def _metres(words: str, where: str) -> float:
    if not re.fullmatch(r"\s*[+-]?(\d+(\.\d*)?|\.\d+)\s*", words):
        raise InputError(f'{where}: "{words.strip()[:20]}" is not a number of metres; {FORM}')
    return float(words)
