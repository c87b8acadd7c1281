"""Wishes, shortfalls and what would mend them, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from standmark.cli.units import Units, distance_words, height_words
from standmark.optimizer.standard.standard import Role

LABELS = {
    "direction": "direction",
    "offset": "distance outside the line",
    "lens_height": "lens height",
    "look_down": "angle down",
    "over_target": "view over the bar",
    "size": "size of a person in the frame",
    "clear": "view past fixed things",
}
MAIN_SIDE_REASONS = {
    "ground": "as the ground file says",
    "sun": "the midday sun stands behind it",
    "standard": "it meets the standard better than the other side",
    "first": "both sides meet the standard alike",
}


def value_words(key: str, value: float, units: Units) -> str:
    """Value of a wish with its unit."""
    match key:
        case "direction" | "look_down":
            return f"{value:.0f}°"
        case "offset":
            return distance_words(value, units)
        case "lens_height" | "over_target":
            return height_words(value, units)
        case _:
            return f"{100 * value:.0f} %"


def band_words(key: str, band: tuple[float, float] | list[float], units: Units) -> str:
    """Range that meets a wish."""
    low, high = (value_words(key, end, units) for end in band)
    return low if low == high else f"{low} to {high}"


def shortfall_words(answer: Mapping[str, Any], units: Units) -> str:
    """Say one shortfall: what is wanted, what the place gives, and by how much that misses."""
    key, value, short = answer["wish"], float(answer["value"]), float(answer["short_by"])
    if key == "over_target":
        return f"{LABELS[key]}: the lens is {height_words(-short, units)} too low to see the ground at the aim over it"
    by = _amount_words(key, abs(short), units)
    side = "under" if short < 0 else "over"
    wanted = band_words(key, (answer["wanted"][0], answer["wanted"][1]), units)
    return f"{LABELS[key]}: wanted {wanted}, here {_exact(key, value, units)}: {by} {side}"


def _amount_words(key: str, amount: float, units: Units) -> str:
    if key in ("direction", "look_down"):
        return f"{amount:.1f}°"
    if key in ("size", "clear"):
        return f"{100 * amount:.1f} points"
    return height_words(amount, units)


def _exact(key: str, value: float, units: Units) -> str:
    if key in ("direction", "look_down"):
        return f"{value:.1f}°"
    if key in ("size", "clear"):
        return f"{100 * value:.1f} %"
    return height_words(value, units)


def remedy_words(remedy: Mapping[str, Any], units: Units) -> str:
    """Say what one remedy does, as something that a ground or a league can do."""
    if remedy["closed_by"]:
        return f"Nothing at the ground mends it: every place with this view lies in “{remedy['closed_by']}”."
    words = " and ".join(_PARTS[kind](remedy, units) for kind in remedy["kinds"])
    return f"Would mend it: {words}." if remedy["mends"] else f"Would help, though not enough: {words}."


def _height(remedy: Mapping[str, Any], units: Units) -> str:
    low, high = remedy["heights_m"]
    z_m = float(remedy["z_m"])
    verb = "raise" if z_m > high else "lower" if z_m < low else "allow"
    now = height_words(high, units) if low == high else f"{height_words(low, units)} to {height_words(high, units)}"
    return f"{verb} the lens to {height_words(z_m, units)} in “{remedy['area_name']}” (open now: {now})"


def _lens(remedy: Mapping[str, Any], units: Units) -> str:
    focal_mm = float(remedy["focal_mm"])
    if focal_mm > float(remedy["lens_mm"][1]):
        return f"use a longer lens, at least {focal_mm:.0f} mm"
    return f"use a wider lens, {focal_mm:.0f} mm or less"


def _place(remedy: Mapping[str, Any], units: Units) -> str:
    return f"open a place {remedy['place']}"


def _periods(remedy: Mapping[str, Any], units: Units) -> str:
    return f"open “{remedy['area_name']}” in every period"


def _separation(remedy: Mapping[str, Any], units: Units) -> str:
    return f"let it stand nearer to the other positions in “{remedy['area_name']}”"


_PARTS = {"height": _height, "lens": _lens, "place": _place, "periods": _periods, "separation": _separation}


def role_wishes(role: Role, units: Units) -> list[str]:
    """Say what a role asks for, a line each."""
    said = [f"looks at {aim_words(role, units)} from {band_words('direction', role.from_deg, units)}"]
    bands = {
        "offset": role.offset_m,
        "lens_height": role.lens_height_m,
        "look_down": role.look_down_deg,
        "size": role.size_share,
    }
    said += [f"{LABELS[key]} {band_words(key, band, units)}" for key, band in bands.items() if band is not None]
    if role.clear_share is not None:
        said.append(f"at least {100 * role.clear_share:.0f} % of a person at the aim seen past fixed things")
    if role.over_target:
        said.append("sees the ground at the aim over the crossbar")
    if role.lenses is not None:
        said.append(f"lens {' or '.join(lens.name for lens in role.lenses)}")
    if role.sports is not None:
        said.append(f"for {', '.join(role.sports)} only")
    return said


def aim_words(role: Role, units: Units) -> str:
    """What a role looks at."""
    if not role.aim_at_end:
        return "the middle"
    if role.aim_in_m is not None:
        return f"the ground {distance_words(role.aim_in_m, units)} in front of its end line"
    return f"the ground {100 * (role.aim_in_share or 0):.3g} % of the length in front of its end line"


CODE_WORDS = (
    "Every position has a code of two parts. The first is the ground's: letters of its name and a number, or the code "
    "that the ground's own file asks for. The second is the role's in the league's standard; L and R are the left and "
    "the right end for someone at the main position who looks at the playing area. A code stays with its ground and "
    "its role from one edition to the next, wherever the position moves, and the code of a ground or role that is gone "
    "is never given to another."
)
DIRECTION_WORDS = (
    "Directions are told from the main side: 0° looks square on from it, 90° from the role's own end, 180° from the "
    "other side; a role at the middle counts positive to the right."
)
FRAME_WORDS = (
    "Coordinates are metres from the middle of the playing area: x along its length, y to the left when looking "
    "along +x, z the height of the lens above the ground."
)
