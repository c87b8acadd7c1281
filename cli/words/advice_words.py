"""Plain sentences for advice: what limits a spot and what mends it, how far one may drift, where to go instead."""

from __future__ import annotations

from standmark.cli.words.naming import LIMITS, place_words
from standmark.cli.words.units import Units, distance_words
from standmark.optimizer.advice import Advice, CameraAdvice, StageAdvice
from standmark.optimizer.advice.fallback import Fallback
from standmark.optimizer.advice.remedy import Limits, Remedy
from standmark.optimizer.advice.tolerance import Drift
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.walk import Walk

WAYS = {
    "left": "to the left",
    "right": "to the right",
    "forward": "forward",
    "back": "back",
    "up": "higher",
    "down": "lower",
}
WORTH_TELLING = 0.01  # a change that gains a point is told even when it mends another factor than the dearest


def points(share: float) -> str:
    """Coverage in points, a hundredth each.

    >>> points(0.0342), points(0.0004), points(0.01)
    ('3.4 points', 'under 0.1 points', '1.0 points')
    """
    return "under 0.1 points" if 0 < share < 0.00095 else f"{100 * share:.1f} points"


def stage_advice(advice: Advice | None, period: str) -> StageAdvice | None:
    """Find the advice for a period by its key."""
    return None if advice is None else next((s for s in advice.stages if period in s.periods), None)


def camera_advice(advice: Advice | None, period: str, camera: str) -> CameraAdvice | None:
    """Find the advice for a camera in a period."""
    stage = stage_advice(advice, period)
    return None if stage is None else next((c for c in stage.cameras if c.camera == camera), None)


def limit_words(limits: Limits, *, units: Units = Units.METRIC) -> str:
    """One sentence: the factor that costs most, how much, and the remedy with its gain."""
    text = f"{LIMITS[limits.factor]} ({points(limits.cost[limits.factor])}"
    remedy, best = limits.remedy, limits.remedies[0]
    if remedy is not None:
        text += f"); {remedy_words(remedy, units)} would win back {points(remedy.gain)}"
    else:
        text += ", which nothing at this spot mends)"
    if best is not remedy and best.gain >= WORTH_TELLING:
        text += f"; still, {remedy_words(best, units)} would gain {points(best.gain)}"
    return text


def remedy_words(remedy: Remedy, units: Units) -> str:
    """Name a change."""
    return {
        "higher": f"a lens {distance_words(remedy.amount, units)} higher",
        "longer lens": f"a lens that reaches {remedy.amount:.0f} mm",
        "wider lens": f"a lens that opens to {remedy.amount:.0f} mm",
        "faster support": "a head that pans half as fast again",
        "quicker operator": f"an operator who is {remedy.amount:.2f} s behind",
    }[remedy.change]


def drift_words(drifts: tuple[Drift, ...], *, units: Units = Units.METRIC) -> str:
    """Say how far one may go each way before a point is lost."""
    dear = [f"{distance_words(d.one_point_m, units)} {WAYS[d.direction]}" for d in drifts if d.one_point_m is not None]
    free = [d.direction for d in drifts if d.one_point_m is None]
    if not dear:
        return f"free to move {_listed(free)} as far as the area goes: it costs under a point"
    rest = f"; {_listed(free)}: less, as far as the area goes" if free else ""
    return f"a point is lost {_listed(dear)}{rest}"


def _listed(words: list[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def walking_words(walk: Walk, units: Units = Units.METRIC) -> str:
    """Say how far a walk is, how long it takes with kit and how many paces that is.

    >>> walking_words(Walk(190.4, ((0.0, 0.0), (190.4, 0.0)), ""))
    '190 m (3 minutes, 254 paces)'
    """
    minutes = max(round(walk.minutes), 1)
    time = f"{minutes} minute{'' if minutes == 1 else 's'}, {walk.paces} paces"
    over = f", across {walk.crosses}" if walk.crosses else ""
    bent = " round the playing area" if len(walk.points_m) > 2 else ""
    return f"{distance_words(walk.length_m, units)}{bent}{over} ({time})"


def fallback_words(fallback: Fallback, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say where else to stand and what it costs."""
    loss = "at no loss" if fallback.loss < 0.0005 else f"for {points(fallback.loss)} less"
    return f"{place_words(fallback.spot, match, units=units)}, {fallback.lens.name}, {loss}"
