"""The bag in words: whether it reaches far enough for the sport, what to hire, and whose kit was assumed."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.cli.words.naming import percent
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.planning import Plan

LEAST_SEEN = 0.01  # of the match more: less is as much


def bag_lines(plan: Plan) -> Iterator[str]:
    """Say that the bag is too short, and what to hire, with what one gets with and without it; none if none pays."""
    bag = None if plan.advice is None else plan.advice.bag
    if bag is None or not bag.is_short or bag.hire is None:
        return
    said = f"Your longest lens is {bag.longest_mm:.0f} mm, and this sport asks for {bag.asked_mm[1]:.0f} mm."
    camera = "" if len(plan.match.cameras) == 1 else f" for camera {bag.hire.camera}"
    got = f"you'd get {percent(bag.hire.seen)} instead of {percent(bag.seen)}"
    if bag.hire.seen - bag.seen < LEAST_SEEN:
        got = "you'd get as much, with more faces"
    yield f"{said} Hire a {bag.hire.lens.name} mm{camera}: {got}."


def assumed_words(match: Match) -> str:
    """Say which kit was assumed for cameras that nobody described; empty if all were described."""
    usual = [camera for camera in match.cameras if camera.kit_of == ""]
    copied = [camera for camera in match.cameras if camera.kit_of]
    told = []
    if usual:
        told.append(f"Kit assumed for {_names(usual)}: {_kit(usual[0])}.")
    if copied:
        told.append(f"Kit of {_names(copied)} assumed to be that of camera {copied[0].kit_of}: {_kit(copied[0])}.")
    return " ".join(told)


def _kit(camera: Camera) -> str:
    lenses = " and ".join(f"{lens.name} mm" for lens in camera.lenses)
    return f"{camera.mode.name}, {lenses}, {camera.support.name}"


def _names(cameras: list[Camera]) -> str:
    *most, last = (camera.name for camera in cameras)
    return f"cameras {', '.join(most)} and {last}" if most else f"camera {last}"
