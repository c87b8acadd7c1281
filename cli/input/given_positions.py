"""Positions as a user gives them: `--at "A=52.5,-8,1.6:70-200"`, or a plan.json."""

from __future__ import annotations

import re
from pathlib import Path

from standmark.cli.input.plan_file import PlanFile
from standmark.geometry.errors import InputError, shown
from standmark.optimizer.match.match import Match
from standmark.optimizer.scoring.given import FORM, Given

EYE_M = 1.6  # lens height when none is given: someone who stands
FARTHEST_M = 500.0
SAME_SIZE_M = 0.01


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
        raise InputError(f"{where}: out of range; allowed: x and y within {FARTHEST_M:g} m, lens above 0 to 200 m up")
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


def _metres(words: str, where: str) -> float:
    if not re.fullmatch(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)", words.strip()):
        raise InputError(f'{where}: "{words.strip()[:20]}" is not a number of metres; {FORM}')
    return float(words.strip())
