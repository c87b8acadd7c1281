"""Where cameras with a role of their own stand: chosen together with all others, with a proof.

A wide camera stays all match; a camera for faces may move where cameras may. What is chosen here are the places and
lenses of the cameras with a role: they keep them, and the others then get the best places beside them, as finely as
in any plan.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.geometry.apart import stand_apart
from standmark.geometry.arrays import Floats
from standmark.geometry.errors import NoPlanError
from standmark.optimizer.choice.budget import Asked, places_within
from standmark.optimizer.choice.candidates import Candidates, match_candidates
from standmark.optimizer.choice.grid import StageTask
from standmark.optimizer.choice.kept import Kept
from standmark.optimizer.choice.memory import Memory, OutOfTimeError
from standmark.optimizer.choice.refine import Worth, climb
from standmark.optimizer.choice.role_problem import (
    OWN_WISH,
    ROLE_WORTH,
    Joint,
    Wish,
    joint_problem,
    joint_quality,
    match_wishes,
    wish_grids,
)
from standmark.optimizer.choice.stage import ROUGH, is_same_question, proof_tolerance
from standmark.optimizer.match.match import Match
from standmark.optimizer.search import search, search_periods
from standmark.optimizer.value.outfit import Outfit, camera_outfits
from standmark.sports.timeline import length_shares

MOST_ROUNDS = 4  # of climbing and searching again
STAYS = "wide"
OUT_OF_TIME = "no places for the cameras with a role were found in the time given; allow more with --time-limit"


@dataclass(frozen=True)
class Roles:
    """Places of the cameras with a role, and how good the choice of all cameras together is."""

    places: tuple[Kept, ...]
    value: (
        float  # mean of what the film gets and of what each role gets, a role ROLE_WORTH times, less the price of moves
    )
    upper_bound: float  # no choice of places, for all cameras together, is worth more
    is_proven: bool  # that the two are the same, but for what a search of so many cameras may miss


Choice = tuple[tuple[tuple[int, ...], ...], float, float]  # rows by stage and camera, value, bound


def choose_roles(match: Match, *, time_limit_s: float | None = None, memory: Memory | None = None) -> Roles | None:
    """Choose the places of all cameras together, by the film and by every role; None without a role to place.

    Raises
    ------
    InputError : the values of too few places would fit the memory of a plan
    NoPlanError : the rules leave no plan in which wide cameras stay
    """
    if not any(c.role in OWN_WISH and c.fixed is None for c in match.cameras):
        return None
    memory = Memory() if memory is None else memory
    deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    whole = match_wishes(match)
    is_alike = all(is_same_question(match, wish.tasks[0], task) for wish in whole for task in wish.tasks[1:])
    wishes = [replace(wish, tasks=wish.tasks[:1]) for wish in whole] if is_alike else whole  # nobody moves then
    film, *asked = (Asked(wish.cameras, wish.tasks) for wish in wishes)
    most = places_within(match, film, time_limit_s, roles=asked)
    candidates = match_candidates(match, most_places=most)
    grids = wish_grids(wishes, candidates, (), memory)
    joints: list[Joint] = []
    tolerance, last = ROUGH, proof_tolerance(len(match.cameras))
    for turn in range(MOST_ROUNDS):
        joints = [joint_problem(wishes, grids, stage) for stage in range(len(wishes[0].tasks))]
        choice = _searched(match, wishes, joints, tolerance, deadline)
        try:
            is_last = turn == MOST_ROUNDS - 1
            finer = None if is_last else _finer(match, wishes, joints, candidates, choice, memory, deadline)
        except OutOfTimeError:
            break
        if time.monotonic() > deadline or (finer is None and tolerance == last):
            break
        if finer is None:
            tolerance = last
        else:
            candidates = finer
            joints = []  # not beside the grids that grow
            grids = wish_grids(wishes, candidates, grids, memory)
        tolerance = last if turn == MOST_ROUNDS - 2 else tolerance
    rows, value, bound = choice
    n_alike = len(whole[0].tasks) if is_alike else 1
    places = _places(match, whole[0].tasks, n_alike * joints, candidates, n_alike * rows, grids[0].rows.outfits)
    return Roles(places, value, bound, bound - value <= 4 * last * value)


def _searched(
    match: Match, wishes: Sequence[Wish], joints: Sequence[Joint], tolerance: float, deadline: float
) -> Choice:
    """Search all stages, together where a camera stays through them or where moves cost something."""
    left_s = None if np.isinf(deadline) else max(deadline - time.monotonic(), 0.01)
    share = length_shares(wishes[0].tasks)
    still = frozenset(i for i, c in enumerate(match.cameras) if c.role == STAYS)
    cost = match.rules.move_cost / (1.0 + ROLE_WORTH * (len(wishes) - 1))
    if len(joints) == 1 or (not still and cost == 0):
        results = [search(joint.problem, tolerance=tolerance, time_limit_s=left_s) for joint in joints]
        if any(not result.rows and result.status == "time limit" for result in results):
            raise NoPlanError(OUT_OF_TIME)
        if not all(result.rows for result in results):
            raise NoPlanError("the rules leave no plan for the cameras with a role")
        return (
            tuple(result.rows for result in results),
            float(share @ [result.value for result in results]),
            float(share @ [result.upper_bound for result in results]),
        )
    result = search_periods(
        tuple(joint.weighted(part) for joint, part in zip(joints, share, strict=True)),
        row_place=joints[0].place,
        move_cost=cost,
        still=still,
        tolerance=tolerance,
        time_limit_s=left_s,
    )
    if not result.rows and result.status == "time limit":
        raise NoPlanError(OUT_OF_TIME)
    if not result.rows:
        raise NoPlanError('the rules leave no plan in which cameras with role = "wide" stay at one place all match')
    return result.rows, result.value, result.upper_bound


def _finer(
    match: Match,
    wishes: Sequence[Wish],
    joints: Sequence[Joint],
    candidates: Candidates,
    choice: Choice,
    memory: Memory,
    deadline: float,
) -> Candidates | None:
    """Add the spots to which each camera climbs from its place, the others kept; None where none is new."""
    rows, known = choice[0], {tuple(p) for p in candidates.xyz_m}
    fresh: dict[tuple[float, ...], int] = {}
    for camera, kit in enumerate(match.cameras):
        if kit.fixed is not None:
            continue
        runs = [range(len(joints))] if kit.role == STAYS else [[stage] for stage in range(len(joints))]
        for run in runs:
            start = int(joints[run[0]].place[rows[run[0]][camera]])
            area = int(candidates.area[start])
            others = {stage: [row for i, row in enumerate(rows[stage]) if i != camera] for stage in run}
            worth = _worth(match, wishes, joints, others, camera, candidates.xyz_m, memory, deadline)
            spot = climb(match, candidates.xyz_m[start], match.venue.allowed[area], kit, worth=worth)
            if tuple(spot) not in known:
                fresh[tuple(spot)] = area
    if not fresh:
        return None
    return Candidates(
        np.vstack([candidates.xyz_m, np.array(list(fresh))]),
        np.concatenate([candidates.area, np.array(list(fresh.values()), dtype=np.intp)]),
        candidates.area_keys,
        candidates.spacing_m,
    )


def _worth(
    match: Match,
    wishes: Sequence[Wish],
    joints: Sequence[Joint],
    others: Mapping[int, Sequence[int]],
    camera: int,
    xyz_m: Floats,
    memory: Memory,
    deadline: float,
) -> Worth:
    """Value of some stages for any positions of one camera with its best lenses.

    Parameters
    ----------
    others : for each of those stages the rows of the other cameras, which are kept
    """
    outfits, share = camera_outfits(match, match.cameras[camera]), length_shares(wishes[0].tasks)
    level = {stage: joints[stage].problem.quality[own].max(axis=0, initial=0.0) for stage, own in others.items()}
    there_m = {stage: xyz_m[joints[stage].place[own], :2] for stage, own in others.items()}

    def worth(at_m: Floats) -> Floats:
        if time.monotonic() > deadline:
            raise OutOfTimeError
        total = np.zeros(len(at_m))
        for stage in others:
            quality = joint_quality(wishes, stage, camera, at_m, outfits, memory=memory)
            total += share[stage] * np.vecdot(np.maximum(quality, level[stage]), joints[stage].problem.weight).max(
                axis=0
            )
            apart = stand_apart(at_m[:, None, :2], there_m[stage][None], match.rules.separation_m)
            total[~apart.all(axis=1)] = -np.inf
        return total

    return worth


def _places(
    match: Match,
    tasks: Sequence[StageTask],
    joints: Sequence[Joint],
    candidates: Candidates,
    rows: Sequence[Sequence[int]],
    outfits: Sequence[Outfit],
) -> tuple[Kept, ...]:
    """Places and lenses of the cameras with a role, period by period."""
    places = []
    for task, joint, chosen in zip(tasks, joints, rows, strict=True):
        for camera, row in zip(match.cameras, chosen, strict=True):
            if camera.role in OWN_WISH and camera.fixed is None:
                x_m, y_m, z_m = candidates.xyz_m[joint.place[row]].tolist()
                lens = outfits[joint.outfit[row]].lens.name
                places += [Kept(camera.name, p.key, (x_m, y_m, z_m), lens, is_must=True) for p in task.periods]
    return tuple(places)
