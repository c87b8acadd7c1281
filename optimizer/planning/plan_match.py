"""From a match to a plan: `plan(match)` is the one function to read first.

A period is a stretch between two changes of ends. Periods between which no camera may move share
one choice of places and form a stage. Each stage is searched exactly: every camera, place, height
and lens at once, first on a coarse grid, then with the grid refined round the best spots.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standmark.optimizer.advice import Advice, plan_advice
from standmark.optimizer.advice.handover import Handover
from standmark.optimizer.choice.eye_heights import with_eye_heights
from standmark.optimizer.choice.fewest_moves import with_fewest_moves
from standmark.optimizer.choice.grid import match_tasks
from standmark.optimizer.choice.kept import Kept, with_kept, with_places_kept
from standmark.optimizer.choice.memory import Memory, OutOfTimeError
from standmark.optimizer.choice.paid_moves import with_paid_moves
from standmark.optimizer.choice.roles import Roles, choose_roles
from standmark.optimizer.choice.second_angles import with_second_angles
from standmark.optimizer.choice.solve import Progress, solve_stages
from standmark.optimizer.choice.stage import Stage, asks_once, stage_stations
from standmark.optimizer.match.match import Match, asked_by
from standmark.optimizer.match.role import role_wish, shape_wish
from standmark.optimizer.roam.follow import FollowPlan
from standmark.optimizer.roam.plan import plan_follow
from standmark.optimizer.value.outfit import camera_outfits
from standmark.optimizer.value.quality import Factors, Surroundings
from standmark.optimizer.value.surroundings import period_surroundings
from standmark.optimizer.value.targets import Targets, period_targets, same_targets
from standmark.optimizer.work.assignment import PeriodPlan, Spot, Station, period_plan
from standmark.optimizer.work.duty import faces_share
from standmark.optimizer.work.line_of_action import Crossing
from standmark.sports.timeline import length_shares

ROLES_PART = 0.5  # of the time given, for the choice of all cameras together where some have a role
NO_WALK = "the walk with play left out: the time limit ran out"
LEFT_OUT = "advice left out: the time limit ran out"
SINGLE_ERROR = 2.0**-25  # the search keeps qualities of at most 1 in float32: the most that rounding takes off a sum


@dataclass(frozen=True)
class GivenUp:
    """Coverage that the proven best has more than the plan, and what for."""

    moves: float  # moves that would not earn their cost
    second_angle: float  # for more moments captured from two clearly different views
    eye_height: float  # for lenses at a person's eye
    kept: float = 0.0  # for cameras that stay where they stood in an earlier plan


@dataclass(frozen=True)
class Plan:
    """The whole answer, with its proof; its shares are 0..1, weighted by the length of the periods."""

    match: Match
    periods: tuple[PeriodPlan, ...]
    coverage: float  # the value that is maximised: what is seen, less what the wish for faces takes off it
    upper_bound: float  # no choice among the candidates covers more
    seen: float  # share of the key moments, weighed by their worth, that are captured usably
    faces: float  # share of what is captured usably that shows faces
    proven: bool  # that the bound is the best coverage of the places tried; the plan is that less what it gave up
    message: str  # how far it is proven, caveat included
    caveat: str  # what a time limit left undone or unproven beside the bound; "" for nothing
    n_candidates: int
    second_angle: float  # share captured by two cameras in clearly different views
    given_up: GivenUp
    crossings: tuple[Crossing, ...]  # moments that two cameras take from opposite sides of the line of action
    advice: Advice | None = None  # None: not asked for
    held: tuple[tuple[str, tuple[str, ...]], ...] = ()  # for each period, cameras kept where an earlier plan had them
    shape: tuple[tuple[str, float], ...] = ()  # how well each camera could hold wide; () for one, or with a wide one
    roles: Roles | None = None  # how cameras with a role were placed; None without one to place
    follow: tuple[
        FollowPlan, ...
    ] = ()  # of cameras that follow play on foot; their places above are where they would stand

    def __repr__(self) -> str:
        proof = "proven best" if self.proven else "not proven best"
        periods = ", ".join(p.period.name for p in self.periods)
        return f"<Plan of {self.match!r}: {periods}; covers {100 * self.coverage:.1f} %, {proof}>"

    def handover(self, period: PeriodPlan) -> tuple[Handover, ...]:
        """Lines on which cameras change over in a period; none where advice was not asked for."""
        return () if self.advice is None else self.advice.handovers[self.periods.index(period)]


def plan(
    match: Match,
    *,
    advice: str = "none",
    keep: Sequence[Kept] = (),
    time_limit_s: float | None = None,
    progress: Progress | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> Plan:
    """Find the best place, lens and focal range of every camera in every period, and prove it.

    Parameters
    ----------
    match : checked match
    advice : "none", "quick" (fallbacks, tolerances, moves, refusals, handover) or "full" (also what further
        lenses and cameras add, with a new plan for each)
    keep : where cameras stood in an earlier plan: they stay unless leaving gains over half of one per cent
    time_limit_s : for everything, advice included; when it is hit, the plan says the remaining gap, and which advice
        there was no time for is left out
    progress : called with one short line now and then
    stopped : asked now and then whether to give up

    Raises
    ------
    InputError : no place is left for a camera
    NoPlanError : the rules of the match leave no plan
    Stopped : `stopped` said so

    >>> from standmark.optimizer import default_match, plan
    >>> found = plan(default_match("netball"))
    >>> found.proven and 0.3 < found.coverage < 0.9
    True
    >>> [place.camera for place in found.periods[0].assignments]
    ['A']
    """
    made = planned(match, Memory(stopped=stopped), keep=keep, time_limit_s=time_limit_s, progress=progress)
    if advice == "none":
        return made.plan
    if progress is not None:
        progress("working out fallbacks and tolerances" + (", lenses and cameras" if advice == "full" else ""))
    told = plan_advice(match, made.stages, is_full=advice == "full")
    if not told.left_out:
        return replace(made.plan, advice=told)
    message, caveat = ("; ".join(filter(None, (said, LEFT_OUT))) for said in (made.plan.message, made.plan.caveat))
    return replace(made.plan, advice=told, message=message, caveat=caveat)


@dataclass(frozen=True, eq=False)
class Planned:
    """A plan without advice, and the stages that advice is worked out from."""

    plan: Plan
    stages: tuple[Stage, ...]


def planned(
    match: Match,
    memory: Memory,
    *,
    keep: Sequence[Kept] = (),
    time_limit_s: float | None = None,
    progress: Progress | None = None,
) -> Planned:
    """Plan a match as `plan` does, advice left for later.

    Parameters
    ----------
    memory : what earlier plans worked out

    Raises
    ------
    InputError, NoPlanError : as `plan`
    Stopped : the memory's `stopped` said so
    """
    memory.deadline = np.inf if time_limit_s is None else time.monotonic() + time_limit_s
    for_roles_s = None if time_limit_s is None else ROLES_PART * time_limit_s
    roles = choose_roles(match, time_limit_s=for_roles_s, memory=memory)
    keep = (*(roles.places if roles is not None else ()), *keep)  # the first of a camera's places counts
    tasks = match_tasks(match)
    whether_to_move = [] if asks_once(match, tasks) else ["moves"]
    solved = memory.step(
        "places",
        (asked_by(match, "separation_m", "must_cover", *whether_to_move), match.rules.same_side == "forbid", keep),
        lambda: solve_stages(
            match,
            also=lambda candidates: with_places_kept(match, candidates, keep),
            time_limit_s=memory.left_s(),
            progress=progress,
            memory=memory,
        ),
    )
    if len(solved) != len(tasks):  # the same question of another number of stages
        solved = [replace(solved[0], task=task) for task in tasks]
    paid = memory.step(
        "moves",
        (asked_by(match, "move_cost"), *solved),
        lambda: with_paid_moves(match, solved, time_limit_s=memory.left_s()),
    )
    kept = with_kept(match, paid, keep) if keep else paid
    angled = memory.step(
        "angles",
        (asked_by(match, "same_side", "second_angle_give"), *kept),
        lambda: with_second_angles(match, kept),
    )
    held = with_eye_heights(match, angled)
    stages = with_fewest_moves(match, held)
    memory.checkpoint()
    if any(camera.roam is not None for camera in match.cameras) and progress is not None:
        progress("working out how to walk with play")
    shares = length_shares(s.task for s in stages)

    def given_up(before: Sequence[Stage], after: Sequence[Stage]) -> float:
        return max(float(shares @ [a.value - b.value for a, b in zip(before, after, strict=True)]), 0.0)

    stations = [stage_stations(match, stage) for stage in stages]
    periods = memory.step(
        "periods",
        (asked_by(match), [(s.task, own) for s, own in zip(stages, stations, strict=True)]),
        lambda: _period_plans(match, stages, stations, memory),
    )
    try:
        follow, no_walk = plan_follow(match, stages, in_time=memory.in_time), []
    except OutOfTimeError:
        follow, no_walk = (), [NO_WALK]
    coverage = total_coverage(periods)
    bound = float(shares @ [s.result.upper_bound for s in stages]) + SINGLE_ERROR
    plan = Plan(
        match=match,
        periods=periods,
        coverage=coverage,
        upper_bound=max(bound, coverage),
        seen=total_seen(periods),
        faces=total_faces(periods),
        proven=all(s.is_proven for s in stages),
        message="; ".join(dict.fromkeys([*(s.message for s in stages), *no_walk])),
        caveat="; ".join(dict.fromkeys([*(s.caveat for s in stages if s.caveat), *no_walk])),
        n_candidates=len(stages[0].grid.candidates.xyz_m),
        second_angle=float(length_shares(p.period for p in periods) @ np.array([p.second_angle for p in periods])),
        given_up=GivenUp(
            moves=given_up(solved, paid),
            second_angle=given_up(kept, angled),
            kept=given_up(paid, kept),
            eye_height=given_up(angled, held),
        ),
        crossings=() if match.rules.same_side == "off" else tuple(c for p in periods for c in p.crossings),
        follow=follow,
        shape=memory.step("shape", (asked_by(match), *periods), lambda: _shape_shares(match, periods, memory)),
        roles=roles,
        held=tuple(
            (period.key, tuple(match.cameras[i].name for i in s.held)) for s in stages for period in s.task.periods
        ),
    )
    return Planned(plan, tuple(stages))


def _shape_shares(match: Match, periods: Sequence[PeriodPlan], memory: Memory) -> tuple[tuple[str, float], ...]:
    """Share of the shape of play that each camera would hold from its place, with its best lens, if it filmed wide."""
    if len(match.cameras) == 1 or any(camera.role == "wide" for camera in match.cameras):
        return ()
    wide = replace(match, deliverable=shape_wish(match))
    shares = length_shares(p.period for p in periods)
    held = np.zeros(len(match.cameras))
    known: list[tuple[Targets, Surroundings, list[Spot], list[float]]] = []
    for planned, share in zip(periods, shares, strict=True):
        targets, around = period_targets(wide, planned.period), period_surroundings(wide, planned.period)
        spots = [a.spot for a in planned.assignments]
        best = next((b for t, a, s, b in known if s == spots and a == around and same_targets(t, targets)), None)
        if best is None:
            best = [
                max(
                    float(targets.weight @ _factors(wide, memory, s, targets, around).quality)
                    for s in (Station(camera, outfit, spot) for outfit in camera_outfits(wide, camera))
                )
                for camera, spot in zip(match.cameras, spots, strict=True)
            ]
            known.append((targets, around, spots, best))
        held += share * np.array(best)
    return tuple((camera.name, float(value)) for camera, value in zip(match.cameras, held, strict=True))


def _factors(match: Match, memory: Memory, station: Station, targets: Targets, around: Surroundings) -> Factors:
    """Give the factors of one camera at its spot, from memory where they are known."""
    spot = station.spot
    xyz_m = spot.x_m, spot.y_m, spot.z_m
    return memory.factors(xyz_m, targets, station.outfit, wish=match.deliverable, around=around)


def _period_plans(
    match: Match, stages: Sequence[Stage], stations_of: Sequence[tuple[Station, ...]], memory: Memory
) -> tuple[PeriodPlan, ...]:
    """Say what the stages' choices cover in each of their periods; periods alike are worked out once."""
    asks_the_same = all(role_wish(match, camera) is match.deliverable for camera in match.cameras)
    known: list[tuple[Targets, Surroundings, tuple[Station, ...], PeriodPlan]] = []
    plans = []
    for stage, stations in zip(stages, stations_of, strict=True):
        task = stage.task
        for period, targets, around in task.by_period:
            twin = next((p for t, a, s, p in known if s == stations and a == around and same_targets(t, targets)), None)
            if twin is not None and asks_the_same and (twin.period.attack == "same") == (period.attack == "same"):
                crossings = tuple(replace(c, period=period.key) for c in twin.crossings)
                plans.append(replace(twin, period=period, crossings=crossings))
            else:
                factors = [_factors(match, memory, station, targets, around) for station in stations]
                plans.append(period_plan(match, period, stations, targets=targets, around=around, factors=factors))
                known.append((targets, around, stations, plans[-1]))
    return tuple(plans)


def total_coverage(periods: Sequence[PeriodPlan]) -> float:
    """Coverage of the whole match: that of its periods, weighted by their length."""
    return float(length_shares(p.period for p in periods) @ np.array([p.coverage for p in periods]))


def total_seen(periods: Sequence[PeriodPlan]) -> float:
    """Share of the whole match that is captured usably."""
    return float(length_shares(p.period for p in periods) @ np.array([p.seen for p in periods]))


def total_faces(periods: Sequence[PeriodPlan]) -> float:
    """Share of what is captured usably in the whole match that shows faces."""
    shown = length_shares(p.period for p in periods) @ np.array([p.seen * p.faces for p in periods])
    return faces_share(total_seen(periods), shown)
