"""What a match file may say but had better not: odd sizes, a start that is past, cameras where nobody may stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.words.rules_words import removed_words
from standmark.cli.words.units import Units, distance_words, native_units
from standmark.optimizer.match.match import Match
from standmark.sports.toml.file import parse_toml
from standmark.sports.toml.length import FOOT_M
from standmark.sports.toml.lines import line_of

LEAST_ONTO_M = 0.25  # less is the width of a line, or a slip of the hand
CORNERS_M = 1.0  # an edge is looked at so often
SLACK = 0.02  # share by which a ground may miss the sizes that the rules allow before it is reported


def match_warnings(match: Match, text: str, *, file: str, now: datetime | None = None) -> Iterator[str]:
    """Warn of what is allowed but unlikely or unwise, one line each with line and key.

    Parameters
    ----------
    text : of the match file, for the lines
    file : its name
    now : what counts as the present; None: the clock's
    """
    for path, message in (*_doubts(match, text, now), *_replaced_warnings(match), *_rules_warnings(match)):
        line = line_of(text, path)
        key = "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path)[1:]
        yield f"{file}:{line}: {key}: warning: {message}" if line else f"{file}: {key}: warning: {message}"


def is_doubtful(match: Match, text: str, *, now: datetime | None = None) -> bool:
    """Whether something in the file is likely a slip: a size, a start or a spot, as `match_warnings` tells."""
    return any(True for _ in _doubts(match, text, now))


def _doubts(match: Match, text: str, now: datetime | None) -> Iterator[tuple[Sequence[str | int], str]]:
    yield from _past_start(match, now or datetime.now(UTC))
    yield from _size_warnings(match, text)
    yield from _fixed_spot_warnings(match)
    yield from _onto_warnings(match, text)


def replaced_words(match: Match) -> str:
    """Say which usual places the file's own areas have replaced, and how to keep them; empty where they have not."""
    if not match.venue.replaced:
        return ""
    names = list(dict.fromkeys(area.name.split(" (")[0] for area in match.venue.replaced))
    return (
        f"your own areas replace the usual ones ({', '.join(names)}); to keep one, write "
        f'{match.venue.replaced[0].key} = "yes" under [venue.answers]'
    )


def _replaced_warnings(match: Match) -> Iterator[tuple[Sequence[str | int], str]]:
    if words := replaced_words(match):
        yield ("venue", "allowed"), words


def _rules_warnings(match: Match) -> Iterator[tuple[Sequence[str | int], str]]:
    if match.profile is not None and match.venue.removed:
        yield ("match", "rules"), f"not allowed: {removed_words(match)}"


def _past_start(match: Match, now: datetime) -> Iterator[tuple[Sequence[str | int], str]]:
    """Warn of a match that has begun already: the sun and the times are those of that day."""
    if match.start is not None and match.start < now:
        yield ("match", "start"), f"{match.start:%Y-%m-%d %H:%M} is in the past; is the year right?"


def _size_warnings(match: Match, text: str) -> Iterator[tuple[Sequence[str | int], str]]:
    """Warn of a playing area that the rules do not allow, and of length and width in each other's place."""
    sport, area = match.sport, match.sport.area
    sizes = {"length_m": (area.length_m, sport.length_range_m), "width_m": (area.width_m, sport.width_range_m)}
    is_swapped = _fits(area.width_m, sport.length_range_m) and _fits(area.length_m, sport.width_range_m)
    for key, (size_m, (low, high)) in sizes.items():
        if not _fits(size_m, (low, high)):
            allowed = f"{low:g} m" if low == high else f"{low:g} to {high:g} m"
            hint = "; length and width look swapped" if is_swapped else _unit_hint(sizes, key)
            yield (
                ("venue", _key_in(text, key)),
                f"{size_m:g} m, where the rules of {sport.name} ask for {allowed}{hint}",
            )


def _unit_hint(sizes: Mapping[str, tuple[float, tuple[float, float]]], key: str) -> str:
    """Ask whether sizes are in feet, or in yards, where both would fit then."""
    for unit, short, scale in (("feet", "ft", FOOT_M), ("yards", "yd", 3 * FOOT_M)):
        if all(_fits(size_m * scale, allowed) for size_m, allowed in sizes.values()):
            return f'; are these {unit}? Then write {key.removesuffix("_m")} = "{sizes[key][0]:g} {short}"'
    return ""


def _key_in(text: str, key: str) -> str:
    """Key under which the file gives a size: in metres, in feet, or in words."""
    name = key.removesuffix("_m")
    return next((k for k in (key, f"{name}_ft", name) if line_of(text, ("venue", k))), key)


def _fits(size_m: float, range_m: tuple[float, float]) -> bool:
    return range_m[0] * (1 - SLACK) <= size_m <= range_m[1] * (1 + SLACK)


def onto_words(shape: BaseGeometry, match: Match) -> str:
    """Say how far a place reaches onto the playing area, and what that means; empty where it does not."""
    outline = match.sport.area.outline
    corners = shapely.points(shapely.get_coordinates(shapely.segmentize(shape.intersection(outline), CORNERS_M)))
    onto_m = float(np.max(shapely.distance(corners, outline.boundary), initial=0.0))
    if onto_m < LEAST_ONTO_M:
        return ""
    far = distance_words(onto_m, native_units(match.sport, Units.METRIC))
    end = "nobody may stand there during play" if outline.covers(shape) else "only the part outside it is used"
    return f"reaches {far} onto the playing area: {end}"


def _onto_warnings(match: Match, text: str) -> Iterator[tuple[Sequence[str | int], str]]:
    """Warn of every place of the file that reaches onto the playing area; places of a sport never do."""
    names = [entry.get("name") for entry in parse_toml(text, name="").data.get("venue", {}).get("allowed", ())]
    for area in (*match.venue.allowed, *match.venue.asked):
        if area.name in names and (words := onto_words(area.shape, match)):
            yield ("venue", "allowed", names.index(area.name)), f"{area.name} {words}"


def _fixed_spot_warnings(match: Match) -> Iterator[tuple[Sequence[str | int], str]]:
    """Warn of every fixed camera that may not stand at its spot, naming the periods unless it is all of them."""
    if all(camera.fixed is None for camera in match.cameras):
        return
    from standmark.optimizer.scoring.breach import spot_breach
    from standmark.optimizer.work.assignment import Spot

    for index, camera in enumerate(match.cameras):
        if camera.fixed is None:
            continue
        spot = Spot("", camera.fixed.x_m, camera.fixed.y_m, camera.fixed.z_m, "")
        periods: dict[str, list[str]] = {}
        for period in match.sport.periods:
            if breach := spot_breach(match, spot, period):
                periods.setdefault(breach, []).append(period.name)
        for breach, names in periods.items():
            when = "" if len(names) == len(match.sport.periods) else f" in {', '.join(names)}"
            yield (
                ("camera", index, "at_m"),
                f"{camera.name} at {spot.x_m:g}, {spot.y_m:g}{when} {breach}: ask before anybody goes there",
            )
