"""The bag in words: whether it reaches far enough for the sport, what to hire, and whose kit was assumed."""

from __future__ import annotations

from standmark.cli.words.mode_words import mode_words
from standmark.cli.words.shares import whole_percent
from standmark.optimizer.advice.bag import BagAdvice
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.presets import lens_label
from standmark.optimizer.planning import Plan

LEAST_SEEN = 0.01  # of the match more: less is as much


def bag_words(plan: Plan) -> str:
    """Say that the bag is too short, and what to hire, with what it gets; "" if none is worth it."""
    bag = _short_bag(plan)
    if bag is None:
        return ""
    lens, gain = _hired(bag, plan.match)
    got = "as much, with more faces" if gain < LEAST_SEEN else f"{whole_percent(gain)} more"
    return f"Hire {lens}: you'd get {got}. Yours end at {bag.longest_mm:.0f} mm."


def hire_gain(plan: Plan) -> tuple[str, str] | None:
    """Lens to hire, and what it adds: "a 100-400 mm lens" and "7 %"; None if none is worth it."""
    bag = _short_bag(plan)
    if bag is None:
        return None
    lens, gain = _hired(bag, plan.match)
    return lens, "more faces" if gain < LEAST_SEEN else whole_percent(gain)


def _short_bag(plan: Plan) -> BagAdvice | None:
    bag = None if plan.advice is None else plan.advice.bag
    return bag if bag is not None and bag.is_short and bag.hire is not None else None


def _hired(bag: BagAdvice, match: Match) -> tuple[str, float]:
    """Lens to hire, for which of several cameras, and what it adds of the match."""
    assert bag.hire is not None
    camera = "" if len(match.cameras) == 1 else f" for {bag.hire.camera}"
    return f"a {lens_label(bag.hire.lens)} lens{camera}", bag.hire.seen - bag.seen


def assumed_words(match: Match) -> str:
    """Say which kit was assumed for cameras that nobody described; empty if all were described."""
    usual = [camera for camera in match.cameras if camera.kit_of == ""]
    copied = [camera for camera in match.cameras if camera.kit_of]
    told = []
    if usual:
        whose = "" if len(usual) == len(match.cameras) else f" for {_names(usual)}"
        told.append(f"Kit assumed{whose}: {_kit(usual[0])}.")
    if copied:
        told.append(f"Kit of {_names(copied)} assumed to be that of camera {copied[0].kit_of}: {_kit(copied[0])}.")
    return " ".join(told)


def _kit(camera: Camera) -> str:
    lenses = " and ".join(map(lens_label, camera.lenses))
    mode = mode_words(camera.mode.name).replace(", ", " ")
    mode = mode[:1].lower() + mode[1:] if mode[1:2].islower() else mode
    return f"{mode}, {lenses}, {camera.support.name}"


def _names(cameras: list[Camera]) -> str:
    *most, last = (camera.name for camera in cameras)
    return f"cameras {', '.join(most)} and {last}" if most else f"camera {last}"
