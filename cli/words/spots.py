"""What to say of one camera's place: what it is called, where to go instead, how far one may shift, who walks when."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from standmark.cli.words.advice_words import camera_advice
from standmark.cli.words.shares import NOTHING
from standmark.cli.words.units import Units, distance_words, native_units, paces_words
from standmark.cli.words.where.place import where
from standmark.cli.words.where.way import Where
from standmark.optimizer.advice import CameraAdvice
from standmark.optimizer.advice.fallback import Fallback
from standmark.optimizer.advice.stay_or_move import Move
from standmark.optimizer.advice.tolerance import sideways
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import Assignment, Spot
from standmark.optimizer.work.walk import Walk
from standmark.sports.timeline import length_shares

SHIFT_M = 25.0  # a place within this distance along the same strip is given as a distance to the left or right
ASIDE = 1.5  # how much more sideways than back or forward a shift is before only its sideways part is given
SAME_M = 0.6  # a mirror image that is off by less counts as the same spot
STILL_M = 0.5  # who walks less than this stays
ORDINALS = {"first": "1st", "second": "2nd", "third": "3rd", "fourth": "4th", "fifth": "5th"}


def short_period(name: str) -> str:
    """Shorten a period's name: "First half" -> "1st half"; conditions go, as in "Third set (if played)"."""
    plain = name.split(",")[0].split(" (")[0]
    first, _, rest = plain.partition(" ")
    return f"{ORDINALS[first.lower()]} {rest}" if first.lower() in ORDINALS else plain


def short_when(names: Iterable[str], n_all: int) -> str:
    """Name several periods in short: "1st, 3rd quarter"; "" for all of them."""
    short = [short_period(name) for name in names]
    if len(short) == n_all:
        return ""
    ends = {word.partition(" ")[2] for word in short}
    if len(short) > 1 and len(ends) == 1:
        return ", ".join(word.partition(" ")[0] for word in short) + f" {ends.pop()}"
    return ", ".join(short)


def focal_words(assignment: Assignment) -> str:
    """Focal lengths that a camera works at: "70-200 mm", "85 mm"."""
    return focal_range(*assignment.focal_mm)


def focal_range(short: float, long: float) -> str:
    """Two focal lengths in words: "70-200 mm", "85 mm"."""
    return f"{short:.0f} mm" if long - short < 1 else f"{short:.0f}-{long:.0f} mm"


def stage_share(plan: Plan, period: str) -> float:
    """Share of the match that the stage of a period lasts, so that losses can be said of the whole match."""
    told = None if plan.advice is None else next((s for s in plan.advice.stages if period in s.periods), None)
    keys = {period} if told is None else set(told.periods)
    shares = length_shares(p.period for p in plan.periods)
    return float(sum(s for s, p in zip(shares, plan.periods, strict=True) if p.period.key in keys))


def whole_loss(plan: Plan, period: str, fallback: Fallback) -> float:
    """Coverage of the whole match that a fallback gives up."""
    return fallback.loss * stage_share(plan, period)


def instead_words(here: Spot, there: Spot, match: Match, *, units: Units = Units.METRIC, is_short: bool = False) -> str:
    """Say how to get to another spot: "move 8 m right" on the same strip, else "go to the road side, ...".

    Left and right are those of a person who faces the playing area.

    Parameters
    ----------
    is_short : leave out the third landmark of a place
    """
    unit = native_units(match.sport, units)
    step_m = np.array([there.x_m - here.x_m, there.y_m - here.y_m])
    if there.area == here.area and float(np.hypot(*step_m)) <= SHIFT_M:
        area = next(a for a in match.venue.allowed if a.key == here.area)
        left = sideways(match, area, np.array([here.x_m, here.y_m, here.z_m]))
        aside_m, back_m = float(step_m @ left), float(step_m @ np.array([-left[1], left[0]]))
        said = []
        if abs(aside_m) >= STILL_M:
            said.append(f"{distance_words(abs(aside_m), unit)} {'left' if aside_m > 0 else 'right'}")
        if abs(back_m) >= 1.0 and abs(aside_m) < ASIDE * 4 * abs(back_m):
            said.append(f"{distance_words(abs(back_m), unit)} {'back' if back_m > 0 else 'forward'}")
        if said:
            return f"move {' and '.join(said)}"
    place = where(there, match, units=units)
    if is_short and (same := _same_spot(here, there, where(here, match, units=units), place)):
        return f"go to the same spot {same}"
    detail = ", ".join(place.detail.split(", ")[:2]) if is_short else place.detail
    return f"go {place.to}: {detail}" if detail else f"go {place.to}"


def _same_spot(here: Spot, there: Spot, place_here: Where, place_there: Where) -> str:
    """Say where the mirror image of a spot is: "toward the left end"; "" where the other spot is none."""
    off_m = [abs(abs(a) - abs(b)) for a, b in ((here.x_m, there.x_m), (here.y_m, there.y_m), (here.z_m, there.z_m))]
    if max(off_m) > SAME_M:
        return ""
    (side, _, part_here), (side_there, _, part) = place_here.name.partition(", "), place_there.name.partition(", ")
    if side == side_there:
        return part.replace("its", "the") if part != part_here else ""
    return place_there.at


def shift_words(told: CameraAdvice | None, match: Match, *, units: Units = Units.METRIC) -> str:
    """Say how far one may shift and lose next to nothing; "" where nothing is known."""
    if told is None or not told.tolerance:
        return ""
    unit, parts = native_units(match.sport, units), []
    for drift in told.tolerance:
        if drift.direction in ("up", "down"):
            continue
        free_m = drift.edge_m if drift.one_point_m is None else drift.one_point_m
        if free_m >= 1.0:
            parts.append(f"{distance_words(float(int(free_m)), unit)} {drift.direction}")
    return f"{', '.join(parts)}" if parts else "not at all"


def walk_words(walk: Walk, match: Match, *, units: Units = Units.METRIC, in_paces: bool = True) -> str:
    """Say how far a walk is, by which side it goes, and how long it takes with kit."""
    paces = f", {paces_words(walk.length_m)}" if in_paces else ""
    minutes = max(round(walk.minutes), 1)
    side = _round_by(walk, match)
    over = f" across the {walk.crosses.removeprefix('the ')}" if walk.crosses else side
    unit = native_units(match.sport, units)
    time = f"{minutes} minute{'' if minutes == 1 else 's'}"
    return f"walk {distance_words(walk.length_m, unit)}{over}{paces}, {time}"


def _round_by(walk: Walk, match: Match) -> str:
    """Side of the ground by which a walk leads round it; "" for a straight one."""
    if len(walk.points_m) < 3:
        return ""
    low_x, low_y, high_x, high_y = match.sport.area.outline.bounds
    names = match.venue.side_names
    beyond = {
        "+y": max(y - high_y for _, y in walk.points_m[1:-1]),
        "-y": max(low_y - y for _, y in walk.points_m[1:-1]),
        "+x": max(x - high_x for x, _ in walk.points_m[1:-1]),
        "-x": max(low_x - x for x, _ in walk.points_m[1:-1]),
    }
    crossed = [key for key in ("+y", "-y") if beyond[key] > -0.5] or [key for key in ("+x", "-x") if beyond[key] > -0.5]
    return f" round by the {names[crossed[0]]}" if len(crossed) == 1 else " round the playing area"


def move_after(plan: Plan, period: str, camera: str) -> Move | None:
    """Walk of a camera in the break after a period; None where it stays."""
    for interval in () if plan.advice is None else plan.advice.intervals:
        if interval.before == period:
            move = next(m for m in interval.moves if m.camera == camera)
            return move if move.walk.length_m >= STILL_M else None
    return None


def fallbacks_of(plan: Plan, period: str, camera: str) -> tuple[Fallback | None, Fallback | None]:
    """Spot to take when the planned one is refused, and when its whole area is; the second only where it differs."""
    told = camera_advice(plan.advice, period, camera)
    if told is None:
        return None, None
    near, far = told.fallback, told.other_area
    if near is not None and far is not None and (far.spot == near.spot or far.spot.area == near.spot.area):
        far = None
    return near, far


def is_free(loss: float) -> bool:
    """Is a loss too small to speak of."""
    return loss < NOTHING
