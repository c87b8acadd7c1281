"""The bag in words: whether it reaches far enough for the sport, what to hire, and whose kit was assumed."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.cli.words.shares import whole_percent
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.presets import lens_label
from standmark.optimizer.planning import Plan

LEAST_SEEN = 0.01  # of the match more: less is as much


def bag_lines(plan: Plan) -> Iterator[str]:
    """Say that the bag is too short, and what to hire, with what it gets; none if none is worth it."""
    bag = None if plan.advice is None else plan.advice.bag
    if bag is None or not bag.is_short or bag.hire is None:
        return
    camera = "" if len(plan.match.cameras) == 1 else f" for {bag.hire.camera}"
    gain = bag.hire.seen - bag.seen
    got = "as much, with more faces" if gain < LEAST_SEEN else f"{whole_percent(gain)} more"
    yield f"Hire a {lens_label(bag.hire.lens)} lens{camera}: you'd get {got}. Yours end at {bag.longest_mm:.0f} mm."


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
    return f"{camera.mode.name}, {lenses}, {camera.support.name}"


def _names(cameras: list[Camera]) -> str:
    *most, last = (camera.name for camera in cameras)
    return f"cameras {', '.join(most)} and {last}" if most else f"camera {last}"
