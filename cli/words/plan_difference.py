"""What differs between two plans, and where each is better, in words and as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from standmark.cli.words.lines import wrapped
from standmark.cli.words.naming import percent
from standmark.cli.words.score_words import EVEN, got_words, signed, table
from standmark.cli.words.spots import short_when
from standmark.cli.words.strengths import WIDTH
from standmark.optimizer.comparison import (
    CameraDifference,
    CameraOutline,
    Comparison,
    PeriodDifference,
    PlanOutline,
    alike_periods,
)

SCHEMA = "standmark.compare/1"
SAME_M = 0.05


def camera_changes(camera: CameraDifference) -> list[str]:
    """Say what is different about a camera; empty when nothing is."""
    if camera.first is None or camera.second is None or camera.apart_m is None:
        return [f"only in the {'second' if camera.first is None else 'first'} plan"]
    rise_m = camera.second.z_m - camera.first.z_m
    changes = [f"{camera.apart_m:.1f} m apart"] if camera.apart_m > SAME_M else []
    changes += [f"lens {abs(rise_m):.2g} m {'higher' if rise_m > 0 else 'lower'}"] if abs(rise_m) > SAME_M else []
    return changes + (
        [f"{camera.second.lens} instead of {camera.first.lens}"] if camera.first.lens != camera.second.lens else []
    )


def not_the_same(comparison: Comparison) -> Iterator[str]:
    """Say what the two were planned for, where that differs."""
    first, second = comparison.plans
    pairs = {
        "sport": (first.sport, second.sport),
        "preset": (first.preset, second.preset),
        "venue": (first.venue, second.venue),
        "deliverable": (first.deliverable, second.deliverable),
        "playing area": tuple(f"{p.length_m:g} x {p.width_m:g} m" for p in (first, second)),
    }
    for name, (a, b) in pairs.items():
        if a != b:
            yield f"{name}: {a} and {b}"


def difference_text(difference: Comparison, names: dict[str, str]) -> str:
    """Write a difference as plain text.

    Parameters
    ----------
    names : of key moments, by key; a key without one is shown as it is
    """
    return "\n".join(_lines(difference, names)) + "\n"


def _lines(difference: Comparison, names: dict[str, str]) -> Iterator[str]:
    for label, plan in zip(("first ", "second"), difference.plans, strict=True):
        proof = "" if plan.proven else ", not proven to be the best for its set-up"
        yield from wrapped(f"{label}: {plan.title} at {plan.venue}. {_got(plan)}{proof}.", WIDTH, rest="        ")
    yield _winner(difference)
    for words in not_the_same(difference):
        yield f"not planned for the same: {words}"
    if difference.lone_periods:
        yield f"in one plan only: {', '.join(difference.lone_periods)}"
    for together in alike_periods(difference.periods):
        yield ""
        period = together[0]
        words = short_when((p.name for p in together), len(difference.periods)) or "All match"
        first, second = got_pair(period)
        worth = signed(period.coverage[1] - period.coverage[0])
        yield f"{words}: {percent(first)} and {percent(second)}, worth {worth if worth != '0' else 'the same'}"
        for camera in period.cameras:
            yield from _camera_lines(camera)
    yield ""
    rows = [
        [names.get(key, key), percent(first), percent(second), signed(second - first), _better(first, second)]
        for key, (first, second) in sorted(moment_pairs(difference).items(), key=lambda pair: pair[1][1] - pair[1][0])
    ]
    yield from table(["key moment, what you get", "first", "second", "apart", "more"], rows)


def moment_pairs(difference: Comparison) -> dict[str, tuple[float, float]]:
    """What both plans get of each kind of moment; its value where one of them was written before plans said so."""
    return difference.by_moment if difference.seen_by_moment is None else difference.seen_by_moment


def got_pair(period: PeriodDifference) -> tuple[float, float]:
    """What both plans get of a period; its value where one of them was written before plans said so."""
    first, second = period.seen
    return period.coverage if first is None or second is None else (first, second)


def _got(plan: PlanOutline) -> str:
    """What a plan gets, and how much of it shows faces; its value where it was written before plans said so."""
    if plan.seen is None or plan.faces is None:
        return f"Worth {percent(plan.coverage)} of the match"
    return f"You get {got_words(plan.seen, plan.faces)}"


def _winner(difference: Comparison) -> str:
    if abs(difference.gain) < EVEN:
        return "Both are worth the same."
    return f"The {_better(0.0, difference.gain)} plan is worth {abs(100 * difference.gain):.1f} % more."


def _better(first: float, second: float) -> str:
    return "even" if abs(second - first) < EVEN else "second" if second > first else "first"


def _camera_lines(camera: CameraDifference) -> Iterator[str]:
    changes = camera_changes(camera)
    if not changes:
        yield f"  camera {camera.camera}: the same"
        return
    yield f"  camera {camera.camera}: {', '.join(changes)}"
    for label, side in (("first ", camera.first), ("second", camera.second)):
        if side is not None:
            words = side.words or f"lens {side.z_m:g} m up"
            yield from wrapped(f"{label}: {side.lens}, {words}", WIDTH, first="    ", rest="            ")


def difference_document(difference: Comparison) -> dict[str, Any]:
    """Lay a difference out as plain data."""
    return {
        "schema": SCHEMA,
        "coverage": [round(plan.coverage, 12) for plan in difference.plans],
        "seen": [plan.seen for plan in difference.plans],
        "faces": [plan.faces for plan in difference.plans],
        "gain": round(difference.gain, 12),
        "not_the_same": list(not_the_same(difference)),
        "in_one_plan_only": list(difference.lone_periods),
        "by_moment": _shares(difference.by_moment),
        "seen_by_moment": None if difference.seen_by_moment is None else _shares(difference.seen_by_moment),
        "periods": [
            {
                "key": period.key,
                "name": period.name,
                "coverage": [round(x, 12) for x in period.coverage],
                "seen": list(period.seen),
                "faces": list(period.faces),
                "by_moment": _shares(period.by_moment),
                "seen_by_moment": None if period.seen_by_moment is None else _shares(period.seen_by_moment),
                "cameras": [
                    {
                        "name": camera.camera,
                        "changes": camera_changes(camera),
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


def _shares(pairs: dict[str, tuple[float, float]]) -> dict[str, list[float]]:
    return {key: [round(share, 6) for share in pair] for key, pair in pairs.items()}


def _camera_document(camera: CameraOutline | None) -> dict[str, Any] | None:
    if camera is None:
        return None
    return {"lens": camera.lens, "x_m": camera.x_m, "y_m": camera.y_m, "z_m": camera.z_m}
