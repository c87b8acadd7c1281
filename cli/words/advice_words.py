"""Plain sentences for advice: what holds a place back and what would help, where to go instead, how far to walk."""

from __future__ import annotations

from standmark.cli.words.lines import capital
from standmark.cli.words.shares import whole_percent
from standmark.cli.words.units import Units, distance_words
from standmark.optimizer.advice import Advice, CameraAdvice, StageAdvice
from standmark.optimizer.advice.remedy import Limits, Remedy

WORTH_TELLING = 0.01  # a change that gains less gives way to one that cures another weakness than the worst
# what to say of the factor that costs most
WEAKNESS = {
    "size": "Part of the action is too small in the picture, or too wide for the lens.",
    "faces": "You'll often see backs.",
    "clear": "Players and things stand in the way.",
    "light": "Some of the action is against the light.",
    "held": "Play jumps out of a tight frame before you catch up.",
}


def stage_advice(advice: Advice | None, period: str) -> StageAdvice | None:
    """Find the advice for a period by its key."""
    return None if advice is None else next((s for s in advice.stages if period in s.periods), None)


def camera_advice(advice: Advice | None, period: str, camera: str) -> CameraAdvice | None:
    """Find the advice for a camera in a period."""
    stage = stage_advice(advice, period)
    return None if stage is None else next((c for c in stage.cameras if c.camera == camera), None)


def limit_words(limits: Limits, *, units: Units = Units.METRIC) -> str:
    """Say what holds a camera back, and what would help by how much of everything worth filming in that period."""
    text = WEAKNESS[limits.factor]
    remedy, best = limits.remedy, limits.remedies[0]
    chosen = best if remedy is None or remedy.gain < WORTH_TELLING else remedy
    if chosen.gain < WORTH_TELLING / 2:
        return f"{text} Nothing at this place would help."
    words = remedy_words(chosen, units)
    return f"{text} {capital(words)} would be worth {whole_percent(chosen.gain)} more."


def remedy_words(remedy: Remedy, units: Units) -> str:
    """Name a change."""
    return {
        "higher": f"a lens {distance_words(remedy.amount, units)} higher",
        "longer lens": f"a {remedy.amount:.0f} mm lens",
        "wider lens": f"a lens that opens to {remedy.amount:.0f} mm",
        "faster support": "a head that pans half as fast again",
        "quicker operator": f"an operator who is {remedy.amount:.2f} s behind",
    }[remedy.change]
