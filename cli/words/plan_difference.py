"""What differs between two plans, and where each is better, from their documents alone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from standmark.cli.input.plan_file import PlanCamera, PlanFile, PlanPeriod
from standmark.cli.words.naming import percent
from standmark.cli.words.score_words import points, table

SCHEMA = "standmark.compare/1"
SAME_M = 0.05
EVEN = 5e-4  # of coverage: less is no difference


@dataclass(frozen=True)
class CameraDifference:
    """One camera in one period; None where a plan does not have it."""

    camera: str
    first: PlanCamera | None
    second: PlanCamera | None

    @property
    def apart_m(self) -> float | None:
        """Distance on the ground between its two places."""
        if self.first is None or self.second is None:
            return None
        a, b = self.first.position, self.second.position
        return math.hypot(a.x_m - b.x_m, a.y_m - b.y_m)

    @property
    def changes(self) -> list[str]:
        """What is different about it, in words; empty when nothing is."""
        if self.first is None or self.second is None or self.apart_m is None:
            return [f"only in the {'second' if self.first is None else 'first'} plan"]
        rise_m = self.second.position.z_m - self.first.position.z_m
        found = [f"{self.apart_m:.1f} m apart"] if self.apart_m > SAME_M else []
        found += [f"lens {abs(rise_m):.2g} m {'higher' if rise_m > 0 else 'lower'}"] if abs(rise_m) > SAME_M else []
        found += [f"{self.second.lens} instead of {self.first.lens}"] if self.first.lens != self.second.lens else []
        return found


@dataclass(frozen=True)
class PeriodDifference:
    """One period that both plans have."""

    name: str
    key: str
    minutes: float
    coverage: tuple[float, float]
    by_moment: dict[str, tuple[float, float]]
    cameras: tuple[CameraDifference, ...]


@dataclass(frozen=True)
class PlanDifference:
    """Two plans side by side."""

    plans: tuple[PlanFile, PlanFile]
    settings: tuple[str, ...]  # what the two were planned for, where that differs
    periods: tuple[PeriodDifference, ...]
    lone_periods: tuple[str, ...]  # names of periods that only one of them has
    by_moment: dict[str, tuple[float, float]]  # over the common periods, weighted by their length

    @property
    def gain(self) -> float:
        """Coverage that the second plan has over the first."""
        return self.plans[1].coverage - self.plans[0].coverage


def plan_difference(first: PlanFile, second: PlanFile) -> PlanDifference:
    """Lay two plans side by side, the second seen from the first."""
    later = {period.key: period for period in second.periods}
    pairs = [(period, later[period.key]) for period in first.periods if period.key in later]
    common = {a.key for a, _ in pairs}
    periods = tuple(_period_difference(a, b) for a, b in pairs)
    return PlanDifference(
        plans=(first, second),
        settings=tuple(_settings(first, second)),
        periods=periods,
        lone_periods=tuple(p.name for p in (*first.periods, *second.periods) if p.key not in common),
        by_moment=_over_periods(periods),
    )


def _period_difference(first: PlanPeriod, second: PlanPeriod) -> PeriodDifference:
    keys = [key for key in first.by_moment if key in second.by_moment]
    ours, theirs = ({camera.name: camera for camera in period.cameras} for period in (first, second))
    return PeriodDifference(
        name=first.name,
        key=first.key,
        minutes=first.minutes,
        coverage=(first.coverage, second.coverage),
        by_moment={key: (first.by_moment[key], second.by_moment[key]) for key in keys},
        cameras=tuple(CameraDifference(n, ours.get(n), theirs.get(n)) for n in dict.fromkeys([*ours, *theirs])),
    )


def _settings(first: PlanFile, second: PlanFile) -> Iterator[str]:
    pairs = {
        "sport": (first.sport, second.sport),
        "preset": (first.preset, second.preset),
        "venue": (first.venue, second.venue),
        "deliverable": (first.deliverable, second.deliverable),
        "playing area": tuple(f"{p.playing_area.length_m:g} x {p.playing_area.width_m:g} m" for p in (first, second)),
    }
    for name, (a, b) in pairs.items():
        if a != b:
            yield f"{name}: {a} against {b}"


def _over_periods(periods: Sequence[PeriodDifference]) -> dict[str, tuple[float, float]]:
    keys = dict.fromkeys(key for period in periods for key in period.by_moment)
    means = {}
    for key in keys:
        having = [(period.minutes, *period.by_moment[key]) for period in periods if key in period.by_moment]
        total = sum(minutes for minutes, _, _ in having)
        means[key] = (sum(m * a for m, a, _ in having) / total, sum(m * b for m, _, b in having) / total)
    return means


def alike_periods(periods: Sequence[PeriodDifference]) -> list[list[PeriodDifference]]:
    """Group periods with the same cameras and coverage, to be told once."""
    groups: dict[object, list[PeriodDifference]] = {}
    for period in periods:
        groups.setdefault((period.cameras, period.coverage), []).append(period)
    return list(groups.values())


def difference_text(difference: PlanDifference, names: dict[str, str]) -> str:
    """Write a difference as plain text.

    Parameters
    ----------
    names : of key moments, by key; a key without one is shown as it is
    """
    return "\n".join(_lines(difference, names)) + "\n"


def _lines(difference: PlanDifference, names: dict[str, str]) -> Iterator[str]:
    for label, plan in zip(("first ", "second"), difference.plans, strict=True):
        proof = "proven best" if plan.proven else "not proven best"
        yield f"{label}: {plan.title} at {plan.venue}, covers {100 * plan.coverage:.1f} % ({proof} of its own question)"
    yield _winner(difference)
    for words in difference.settings:
        yield f"not the same question: {words}"
    if difference.lone_periods:
        yield f"in one plan only: {', '.join(difference.lone_periods)}"
    for together in alike_periods(difference.periods):
        yield ""
        period, words = together[0], ", ".join(p.name for p in together)
        first, second = period.coverage
        yield f"{words}: {100 * first:.1f} % against {100 * second:.1f} % ({points(second - first)} points)"
        for camera in period.cameras:
            yield from _camera_lines(camera)
    yield ""
    rows = [
        [names.get(key, key), percent(first), percent(second), points(second - first), _better(first, second)]
        for key, (first, second) in sorted(difference.by_moment.items(), key=lambda pair: pair[1][1] - pair[1][0])
    ]
    yield from table(["key moment", "first", "second", "points", "better"], rows)


def _winner(difference: PlanDifference) -> str:
    if abs(difference.gain) < EVEN:
        return "Both cover as much."
    return f"The {_better(0.0, difference.gain)} plan covers {abs(100 * difference.gain):.1f} points more."


def _better(first: float, second: float) -> str:
    return "even" if abs(second - first) < EVEN else "second" if second > first else "first"


def _camera_lines(camera: CameraDifference) -> Iterator[str]:
    if not camera.changes:
        yield f"  camera {camera.camera}: the same"
        return
    yield f"  camera {camera.camera}: {', '.join(camera.changes)}"
    for label, side in (("first ", camera.first), ("second", camera.second)):
        if side is not None:
            at = side.position
            yield f"    {label}: {side.lens} at x {at.x_m:g}, y {at.y_m:g}, lens {at.z_m:g} m up"


def difference_document(difference: PlanDifference) -> dict[str, Any]:
    """Lay a difference out as plain data."""
    return {
        "schema": SCHEMA,
        "coverage": [round(plan.coverage, 12) for plan in difference.plans],
        "gain": round(difference.gain, 12),
        "not_the_same": list(difference.settings),
        "in_one_plan_only": list(difference.lone_periods),
        "by_moment": {key: [round(x, 6) for x in pair] for key, pair in difference.by_moment.items()},
        "periods": [
            {
                "key": period.key,
                "name": period.name,
                "coverage": [round(x, 12) for x in period.coverage],
                "by_moment": {key: [round(x, 6) for x in pair] for key, pair in period.by_moment.items()},
                "cameras": [
                    {
                        "name": camera.camera,
                        "changes": camera.changes,
                        "apart_m": None if camera.apart_m is None else round(camera.apart_m, 3),
                        "first": _camera_document(camera.first),
                        "second": _camera_document(camera.second),
                    }
                    for camera in period.cameras
                ],
            }
            for period in difference.periods
        ],
    }


def _camera_document(camera: PlanCamera | None) -> dict[str, Any] | None:
    if camera is None:
        return None
    at = camera.position
    return {"lens": camera.lens, "x_m": at.x_m, "y_m": at.y_m, "z_m": at.z_m}
