"""Positions chosen by hand, by camera and period, turned into a match of these cameras and stations for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from standmark.geometry.errors import InputError
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import MOST_CAMERAS, Camera, Match
from standmark.optimizer.match.presets import lens_from_words
from standmark.optimizer.planning import Plan
from standmark.optimizer.scoring.breach import area_of
from standmark.optimizer.scoring.choice import (
    PeriodTask,
    Score,
    Stations,
    best_lenses,
    choice_score,
    period_tasks,
    plan_choice,
)
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.work.assignment import Station, spot_at
from standmark.sports.toml.file import did_you_mean

FORM = 'write NAME=x,y,z:lens, such as "A=52.5,-8,1.6:70-200"; NAME@PERIOD=... for one period only'


@dataclass(frozen=True)
class Given:
    """One camera's place as the user gave it."""

    camera: str
    period: str | None  # key; None: every period for which nothing else is given
    xyz_m: tuple[float, float, float]
    lens: str | None  # None: the best of the camera's own
    where: str  # how to name it in an error


Place = tuple[float, float, float] | tuple[float, float, float, str]  # x, y, z in metres, and a lens such as "70-200"


def score(match: Match, positions: Plan | Mapping[str, Place]) -> Score:
    """Say what positions cover, by the very definition that a plan uses, whether or not the rules allow them.

    Parameters
    ----------
    positions : a plan, or for each camera by name where it stands all through; without a lens the best of its kit
        is taken, and a name that the match does not have gets the kit of the first camera

    Raises
    ------
    InputError : no position, too many cameras, or a lens that cannot be read

    >>> from standmark.optimizer import default_match, score
    >>> match = default_match("football")
    >>> low, high = (score(match, {"A": (0.0, -38.0, z, "70-200")}) for z in (1.6, 6.0))
    >>> high.coverage > low.coverage
    True
    """
    if isinstance(positions, Plan):
        return choice_score(replace(match, cameras=positions.match.cameras), plan_choice(positions))
    if not positions:
        raise InputError('positions: none; give one for each camera, such as {"A": (52.5, -8, 1.6, "70-200")}')
    givens = [
        Given(name, None, (place[0], place[1], place[2]), place[3] if len(place) > 3 else None, f"camera {name}")
        for name, place in positions.items()
    ]
    chosen = chosen_match(match, givens, free_names=True)
    tasks = period_tasks(chosen)
    return choice_score(chosen, given_stations(chosen, givens, tasks), tasks=tasks)


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
    lens = lens_from_words(words)
    named = [own for own in camera.lenses if own.name == words or (lens is not None and own.name == lens.name)]
    if lens is not None and not named:
        named = [own for own in camera.lenses if own.focal_mm == lens.focal_mm and "/" not in lens.name]
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
