"""Plans with everything that a plan can say, made without a search: for tests of the words alone."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from standmark.optimizer.advice.bag import BagAdvice, Hire
from standmark.optimizer.advice.fallback import Fallback
from standmark.optimizer.advice.straight_handover import StraightHandover
from standmark.optimizer.match.match import AllowedArea, Match, heights_within_reach_m
from standmark.optimizer.match.read_match import default_match
from standmark.optimizer.planning.plan_match import GivenUp, Plan
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import period_targets
from standmark.optimizer.work.assignment import PeriodPlan, Spot, Station, period_plan, spot_at


@cache
def worded_plan(sport: str, cameras: int) -> Plan:
    """Plan of cameras that stand round the ground anyhow, with a fallback, a lens to hire and a place to ask for."""
    match = default_match(sport, cameras=cameras)
    first = match.sport.periods[0]
    stations = [_station(match, index) for index in range(cameras)]
    scored = period_plan(match, first, stations, targets=_targets(sport), around=period_surroundings(match, first))
    periods = tuple(replace(scored, period=period) for period in match.sport.periods)
    return Plan(
        match, periods, scored.coverage, scored.coverage + 0.005, scored.seen, scored.faces, proven=True, message="",
        caveat="", n_candidates=1000, second_angle=0.2, given_up=GivenUp(0.0, 0.0, 0.0, 0.0), crossings=(),
        advice=_advice(match, periods),
    )  # fmt: skip


@cache
def _targets(sport: str) -> Any:
    match = default_match(sport)
    return period_targets(match, match.sport.periods[0])


def _station(match: Match, index: int) -> Station:
    camera = match.cameras[index]
    return Station(camera, camera_outfits(match, camera)[-1], _spot(match, 2 * index))


def _spot(match: Match, number: int) -> Spot:
    """Somewhere in one of the areas, near one end of it."""
    areas = [area for area in match.venue.allowed if heights_within_reach_m(area, match.cameras[0]) is not None]
    area: AllowedArea = areas[number % len(areas)]
    x_m, y_m = np.asarray(area.shape.representative_point().coords[0]) + np.array([1.3, 0.9]) * (number % 3)
    return spot_at(area.key, float(x_m), float(y_m), area.lens_height_m[0])


def _advice(match: Match, periods: tuple[PeriodPlan, ...]) -> Any:
    """Make advice with everything that the answer may name, each worth naming."""
    asked = match.venue.asked[:1]
    told = [
        SimpleNamespace(
            camera=camera.name, other_area=None, tolerance=(),
            fallback=Fallback(_spot(match, 2 * index + 1), camera.lenses[-1], 0.3, 0.04),
        )
        for index, camera in enumerate(match.cameras)
    ]  # fmt: skip
    hire = Hire(replace(match.cameras[0].lenses[-1], name="200-600"), match.cameras[0].name, 0.6, 0.9, 0.1)
    names = tuple(camera.name for camera in match.cameras)
    return SimpleNamespace(
        stages=[SimpleNamespace(periods=tuple(p.period.key for p in periods), cameras=told, next_camera=None)],
        intervals=(), height=(),
        ask=tuple(SimpleNamespace(area=a.key, gain=0.12, spot=spot_at(a.key, 0.0, 50.0, 9.0)) for a in asked),
        objections=tuple(SimpleNamespace(profile=key) for key in "abcdefghijkl"),
        straight=(StraightHandover("x", (-7.3, 8.1)[: len(names) - 1], names, 0.02),) * len(periods),
        bag=BagAdvice((24.0, 600.0), 200.0, True, 0.5, 0.6, hire),
    )  # fmt: skip
