"""Two plans side by side: `compare(first, second)` says where each covers more and what stands elsewhere."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from standmark.optimizer.planning import Plan


@dataclass(frozen=True)
class CameraOutline:
    """One camera of a plan in one period: its place and lens."""

    name: str
    lens: str
    x_m: float
    y_m: float
    z_m: float
    words: str = ""  # where that is; "": nobody has said


@dataclass(frozen=True)
class PeriodOutline:
    """One period of a plan. Coverage is a share, 0..1."""

    key: str
    name: str
    minutes: float
    coverage: float
    by_moment: dict[str, float]
    cameras: tuple[CameraOutline, ...]
    seen: float | None = None  # None: written before plans said so
    seen_by_moment: dict[str, float] | None = None
    faces: float | None = None


@dataclass(frozen=True)
class PlanOutline:
    """What a comparison needs to know of a plan."""

    sport: str
    preset: str | None
    title: str
    venue: str
    deliverable: str
    coverage: float
    proven: bool
    length_m: float
    width_m: float
    periods: tuple[PeriodOutline, ...]
    seen: float | None = None  # None: written before plans said so
    faces: float | None = None
    first_attack: str | None = None  # "+x", "-x", "unknown"; None: written before plans said so


@dataclass(frozen=True)
class CameraDifference:
    """One camera in one period; None where a plan does not have it."""

    camera: str
    first: CameraOutline | None
    second: CameraOutline | None

    @property
    def apart_m(self) -> float | None:
        """Distance on the ground between its two places."""
        if self.first is None or self.second is None:
            return None
        return math.hypot(self.first.x_m - self.second.x_m, self.first.y_m - self.second.y_m)


@dataclass(frozen=True)
class PeriodDifference:
    """One period that both plans have."""

    name: str
    key: str
    minutes: float
    coverage: tuple[float, float]
    seen: tuple[float | None, float | None]
    faces: tuple[float | None, float | None]
    by_moment: dict[str, tuple[float, float]]
    seen_by_moment: dict[str, tuple[float, float]] | None  # None where a plan does not say so
    cameras: tuple[CameraDifference, ...]


@dataclass(frozen=True)
class Comparison:
    """Two plans side by side."""

    plans: tuple[PlanOutline, PlanOutline]
    periods: tuple[PeriodDifference, ...]
    lone_periods: tuple[str, ...]  # names of periods that only one of them has
    by_moment: dict[str, tuple[float, float]]  # over the common periods, weighted by their length
    seen_by_moment: dict[str, tuple[float, float]] | None  # the same; None where a plan does not say so

    @property
    def gain(self) -> float:
        """Coverage that the second plan has over the first."""
        return self.plans[1].coverage - self.plans[0].coverage


def compare(first: Plan | PlanOutline, second: Plan | PlanOutline) -> Comparison:
    """Lay two plans side by side, the second seen from the first.

    >>> from standmark.optimizer import compare, default_match, plan
    >>> one, two = (plan(default_match("netball", cameras=n)) for n in (1, 2))
    >>> compare(one, two).gain > 0
    True
    """
    plans = _outline(first), _outline(second)
    later = {period.key: period for period in plans[1].periods}
    pairs = [(period, later[period.key]) for period in plans[0].periods if period.key in later]
    common = {a.key for a, _ in pairs}
    periods = tuple(_period_difference(a, b) for a, b in pairs)
    return Comparison(
        plans=plans,
        periods=periods,
        lone_periods=tuple(p.name for plan in plans for p in plan.periods if p.key not in common),
        by_moment=_over_periods([(p.minutes, p.by_moment) for p in periods]),
        seen_by_moment=None
        if any(p.seen_by_moment is None for p in periods)
        else _over_periods([(p.minutes, p.seen_by_moment or {}) for p in periods]),
    )


def _outline(plan: Plan | PlanOutline) -> PlanOutline:
    if isinstance(plan, PlanOutline):
        return plan
    match, area = plan.match, plan.match.sport.area
    return PlanOutline(
        sport=match.sport.key,
        preset=match.sport.preset,
        title=match.title,
        venue=match.venue.name,
        deliverable=match.deliverable.key,
        coverage=plan.coverage,
        proven=plan.proven,
        length_m=area.length_m,
        width_m=area.width_m,
        periods=tuple(
            PeriodOutline(
                key=p.period.key,
                name=p.period.name,
                minutes=p.period.minutes,
                coverage=p.coverage,
                by_moment=dict(p.by_moment),
                cameras=tuple(
                    CameraOutline(a.camera, a.lens.name, a.spot.x_m, a.spot.y_m, a.spot.z_m) for a in p.assignments
                ),
                seen=p.seen,
                seen_by_moment=dict(p.seen_by_moment),
                faces=p.faces,
            )
            for p in plan.periods
        ),
        seen=plan.seen,
        faces=plan.faces,
        first_attack=match.first_attack,
    )


def _period_difference(first: PeriodOutline, second: PeriodOutline) -> PeriodDifference:
    seen = first.seen_by_moment, second.seen_by_moment
    ours, theirs = ({camera.name: camera for camera in period.cameras} for period in (first, second))
    return PeriodDifference(
        name=first.name,
        key=first.key,
        minutes=first.minutes,
        coverage=(first.coverage, second.coverage),
        seen=(first.seen, second.seen),
        faces=(first.faces, second.faces),
        by_moment=_pairs(first.by_moment, second.by_moment),
        seen_by_moment=None if seen[0] is None or seen[1] is None else _pairs(seen[0], seen[1]),
        cameras=tuple(CameraDifference(n, ours.get(n), theirs.get(n)) for n in dict.fromkeys([*ours, *theirs])),
    )


def _pairs(first: dict[str, float], second: dict[str, float]) -> dict[str, tuple[float, float]]:
    return {key: (share, second[key]) for key, share in first.items() if key in second}


def _over_periods(periods: Sequence[tuple[float, dict[str, tuple[float, float]]]]) -> dict[str, tuple[float, float]]:
    """Means of pairs over periods, each with its minutes."""
    keys = dict.fromkeys(key for _, pairs in periods for key in pairs)
    means = {}
    for key in keys:
        having = [(minutes, *pairs[key]) for minutes, pairs in periods if key in pairs]
        total = sum(minutes for minutes, _, _ in having)
        means[key] = (sum(m * a for m, a, _ in having) / total, sum(m * b for m, _, b in having) / total)
    return means


def alike_periods(periods: Sequence[PeriodDifference]) -> list[list[PeriodDifference]]:
    """Group periods with the same cameras and coverage, to be shown once."""
    groups: dict[object, list[PeriodDifference]] = {}
    for period in periods:
        groups.setdefault((period.cameras, period.coverage), []).append(period)
    return list(groups.values())
