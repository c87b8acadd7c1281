"""Plausible places of everyone on the ground at one instant: the subject, those round it, and the rest of both sides.

Not a forecast: the numbers are the sport's (players a side) and the moment's (crowding round the action), the places
come from evenly spread sequences, so that the same picture is drawn every time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from standmark.geometry.arrays import Floats, Indices
from standmark.sports.sport import KeyMoment, Sport

GOLDEN_RAD = math.pi * (3 - math.sqrt(5))
STEPS = (0.7548776662466927, 0.5698402909980532)  # powers of 1 / plastic number: evenly spread in the plane
STEP_ASIDE_M = 0.8  # off the sightline
ARM_M = 0.9  # nobody stands nearer to the subject


@dataclass(frozen=True, eq=False)
class People:
    """People standing on the ground; the first is the subject."""

    xy_m: Floats  # shape (n, 2)
    height_m: float
    side: Indices  # shape (n,), 0 the subject's side, 1 the other


def people_at(
    sport: Sport, moment: KeyMoment, at_m: tuple[float, float], *, lens_m: tuple[float, float] | None = None
) -> People:
    """Place everyone for a moment that happens at a point of the ground.

    Parameters
    ----------
    lens_m : whoever stands between this place and the subject takes a step aside: the picture shows a usable moment
    """
    on_ground = 2 * sport.players_per_side if moment.is_play else 0
    near = _near(moment, at_m, most=max(on_ground - 1, 0) if moment.is_play else 40)
    rest = _rest(sport, at_m, n=max(on_ground - 1 - len(near), 0), clear_m=moment.crowd_radius_m)
    others = np.vstack([near, rest])
    xy_m = np.vstack([[at_m], others if lens_m is None else _aside(others, np.array(lens_m), np.array(at_m))])
    side = np.arange(len(xy_m), dtype=np.intp) % 2
    return People(xy_m, moment.subject_height_m, side)


def _near(moment: KeyMoment, at_m: tuple[float, float], *, most: int) -> Floats:
    """People round the action, as dense as the moment says, on a sunflower spiral."""
    wanted = round(moment.crowd_per_m2 * math.pi * moment.crowd_radius_m**2)
    n = min(wanted, most)
    radius_m = np.maximum(moment.crowd_radius_m * np.sqrt((np.arange(n) + 0.5) / max(n, 1)), ARM_M)
    turn = np.arange(n) * GOLDEN_RAD + 1.0
    return np.asarray(np.column_stack([radius_m * np.cos(turn), radius_m * np.sin(turn)]) + np.array(at_m))


def rest_places(sport: Sport) -> Floats:
    """Places all over the playing area, evenly spread, from which everyone away from the action takes the first ones.

    Returns
    -------
    shape (n, 2), three times as many as there are players
    """
    outline = sport.area.outline
    low_x, low_y, high_x, high_y = outline.bounds
    n = 6 * sport.players_per_side
    tries = (np.arange(1, 4 * n + 1)[:, None] * STEPS) % 1.0
    xy_m = np.array([low_x, low_y]) + tries * (high_x - low_x, high_y - low_y)
    return np.asarray(xy_m[shapely.intersects_xy(outline, xy_m[:, 0], xy_m[:, 1])][:n])


def middle_m(sport: Sport) -> tuple[float, float]:
    """Middle of the playing area's bounding box."""
    low_x, low_y, high_x, high_y = sport.area.outline.bounds
    return (low_x + high_x) / 2, (low_y + high_y) / 2


def _rest(sport: Sport, at_m: tuple[float, float], *, n: int, clear_m: float) -> Floats:
    """Everyone else, spread over the playing area away from the action; one against one across its middle."""
    xy_m = rest_places(sport)
    if n == 1:
        xy_m = np.vstack([2 * np.array(middle_m(sport)) - np.array(at_m), xy_m])
    away = np.hypot(*(xy_m - np.array(at_m)).T) > clear_m
    return np.asarray(xy_m[away][:n])


def _aside(xy_m: Floats, lens_m: Floats, at_m: Floats) -> Floats:
    """Move people out of the sightline between a lens and the subject, the shorter way."""
    away = at_m - lens_m
    run_m = float(np.hypot(*away))
    if run_m == 0:
        return xy_m
    ahead = away / run_m
    left = np.array([-ahead[1], ahead[0]])
    along, off = (xy_m - lens_m) @ ahead, (xy_m - lens_m) @ left
    in_way = (along > 0) & (along < run_m) & (np.abs(off) < STEP_ASIDE_M)
    step = np.where(off < 0, -STEP_ASIDE_M, STEP_ASIDE_M) - off
    return np.asarray(xy_m + np.where(in_way, step, 0.0)[:, None] * left)
