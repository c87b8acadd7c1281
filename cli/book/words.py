"""Wishes, shortfalls and how to fix them, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from standmark.cli.book.record_types import (
    Fix,
    WishAnswer,
)
from standmark.cli.words.lines import capital
from standmark.cli.words.units import FOOT_M, Units, height_words
from standmark.cli.words.where.way import at_words
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
    "sun": "the midday sun is behind it",
    "standard": "it meets the standard better than the other side",
    "first": "both sides meet the standard equally",
}


def signed(value: float, form: str) -> str:
    """Figure with a minus sign that is as long as a plus, and no minus before zero."""
    text = format(value, form)
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "\u2212")


def value_words(key: str, value: float, units: Units) -> str:
    """Value of a wish with its unit."""
    match key:
        case "direction" | "look_down":
            return f"{signed(value, 'g')}°"
        case "offset" | "lens_height" | "over_target":
            return wished_m(value, units)
        case _:
            return f"{100 * value:.0f} %"


def wished_m(value_m: float, units: Units) -> str:
    """Length as the standard says it, to the centimetre: 16.5 m stays 16.5 m."""
    return height_words(value_m, units) if units is Units.IMPERIAL else f"{round(value_m, 2):g} m"


def band_words(key: str, band: tuple[float, float] | list[float], units: Units) -> str:
    """Range that meets a wish."""
    low, high = (value_words(key, end, units) for end in band)
    return low if low == high else f"{low} to {high}"


def shortfall_words(answer: WishAnswer, units: Units) -> str:
    """Say one shortfall: what is wanted, what the place gives, and by how much that misses."""
    key, value, short = answer["wish"], answer["value"], answer["short_by"]
    label = capital(LABELS[key])
    if key == "over_target":
        return f"{label}: the lens is {_fine(-short, units)} too low to see the ground at the aim over it"
    by = _amount_words(key, abs(short), units)
    side = "off" if key == "direction" else "under" if short < 0 else "over"
    low, high = (math.inf if end is None else end for end in answer["wanted"])
    wanted = value_words(key, low, units) if key == "clear" else band_words(key, (low, high), units)
    return f"{label}: {_exact(key, value, units)}, {by} {side} the {wanted} asked for"


def _amount_words(key: str, amount: float, units: Units) -> str:
    if key in ("direction", "look_down"):
        return f"{amount:.1f}°"
    if key in ("size", "clear"):
        return f"{100 * amount:.1f} %"
    return _fine(amount, units)


def _fine(value_m: float, units: Units) -> str:
    """Length to a tenth of a metre, to the centimetre under one, so that a shortfall never reads as none."""
    if units is Units.IMPERIAL:
        return height_words(value_m, units)
    return f"{value_m:.1f} m" if value_m >= 1 else f"{value_m:.2f} m"


def _exact(key: str, value: float, units: Units) -> str:
    if key in ("direction", "look_down"):
        return f"{signed(value, '.1f')}°"
    if key in ("size", "clear"):
        return f"{100 * value:.1f} %"
    return _fine(value, units)


def remedy_words(remedy: Fix, units: Units) -> str:
    """Say what one remedy does, as something that a ground or a league can do."""
    if remedy["closed_by"]:
        return f"Nothing at the ground can fix it: every place with this view is in “{remedy['closed_by']}”."
    words = " and ".join(_PARTS[kind](remedy, units) for kind in remedy["kinds"])
    return f"To fix this: {words}." if remedy["is_enough"] else f"Would help, though not enough: {words}."


def _height(remedy: Fix, units: Units) -> str:
    """Say which limits of the height have to move, and where one then stands."""
    z_m = float(remedy["z_m"])
    said = []
    if (there := _missed(z_m, remedy["heights_m"] or (z_m, z_m), units)) is not None:
        way, now = there
        said.append(f"allow the lens {way} {_enough(z_m, way, units)} in “{remedy['area_name']}” (now {now})")
    return " and ".join([*said, *_support(remedy, units), f"stand {at_words(remedy['place'])}"])


def _support(remedy: Fix, units: Units) -> list[str]:
    """Say what support a lens height takes, where the present one does not reach it."""
    z_m = float(remedy["z_m"])
    missed = _missed(z_m, remedy["reach_m"], units)
    if missed is None:
        return []
    way, now = missed
    return [f"bring a support that goes {way} {_enough(z_m, way, units)} (now {now})"]


def _missed(z_m: float, range_m: Sequence[float], units: Units) -> tuple[str, str] | None:
    """Which way a height lies outside a range, and the range in words; None if it lies inside."""
    low, high = (float(v) for v in range_m)
    if low <= z_m <= high:
        return None
    now = height_words(high, units) if low == high else f"{height_words(low, units)} to {height_words(high, units)}"
    return "up to" if z_m > high else "down to", now


def _enough(z_m: float, way: str, units: Units) -> str:
    """Height that is enough as it is said: nothing is rounded away from the need."""
    if units is Units.METRIC:
        return f"{z_m:.3f}".rstrip("0").rstrip(".") + " m"
    inches = z_m / FOOT_M * 12
    feet, inch = divmod(math.floor(inches + 1e-6) if way == "down to" else math.ceil(inches - 1e-6), 12)
    return f"{feet} ft {inch} in" if inch else f"{feet} ft"


def _lens(remedy: Fix, units: Units) -> str:
    focal_mm = float(remedy["focal_mm"])
    if focal_mm > float(remedy["lens_mm"][1]):
        return f"use a longer lens, one that reaches {focal_mm:g} mm"
    return f"use a wider lens, one that goes down to {focal_mm:g} mm"


def _place(remedy: Fix, units: Units) -> str:
    place = f"open a place {at_words(remedy['place'])}, for a lens {_enough(float(remedy['z_m']), 'up to', units)} up"
    return " and ".join([place, *_support(remedy, units)])


def _periods(remedy: Fix, units: Units) -> str:
    return f"open “{remedy['area_name']}” in every period and stand {at_words(remedy['place'])}"


def _separation(remedy: Fix, units: Units) -> str:
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
        return f"the ground {wished_m(role.aim_in_m, units)} in front of its end line"
    return f"the ground {100 * (role.aim_in_share or 0):.3g} % of the length in front of its end line"


CODE_WORDS = (
    "Every position has a code of two parts. The first is the ground's: letters of its name and a number, or the code "
    "that the ground's own file asks for. The second is the role's in the league's standard; L and R are the left and "
    "the right end for someone at the main position facing the playing area. A code stays with its ground and "
    "its role from one edition to the next, wherever the position moves, and the code of a ground or role that is gone "
    "is never given to another."
)
DIRECTION_WORDS = (
    "Directions are measured from the main side: 0° is square on from it, 90° from the role's own end, 180° from the "
    "other side; for a role at the middle, right is positive. Plans are drawn with the main side at the bottom."
)
FRAME_WORDS = (
    "Coordinates are in positions.csv: metres from the middle of the playing area, x along its length, y to the left "
    "when looking along +x, z the height of the lens above the ground."
)
