"""The sport and the size of a playing area on a map: known, or asked for, never taken from a rough trace."""

from __future__ import annotations

import contextlib

from standmark.cli.ground.lay import Traced, traced_size_m
from standmark.cli.ground.map_file import MapFile
from standmark.cli.ground.plane import flat
from standmark.geometry.errors import InputError
from standmark.geometry.fit.earth import middle_of
from standmark.geometry.fit.outline import along_ring, fit_outline
from standmark.sports.library import load_sport, sport_named
from standmark.sports.sport import Sport

AGREES_M = 0.75  # typical miss of a trace from the usual size, up to which that size is believed
FEET_PER_M = 1 / 0.3048


def sized_sport(
    map_file: MapFile,
    traced: Traced,
    *,
    sport: str | None,
    preset: str | None,
    length_m: float | None,
    width_m: float | None,
) -> tuple[Sport, str]:
    """Sport at the size of this ground, and where that size comes from.

    Raises
    ------
    InputError : the sport is not known, or the rules leave the size open and the trace is not the usual one
    """
    where = f"{map_file.name}: {traced.feature.where}"
    key, of_preset = _key(traced, sport, where)
    preset = preset or of_preset
    if length_m is not None and width_m is not None:
        return load_sport(key, preset=preset, length_m=length_m, width_m=width_m), "measured, as given"
    usual = load_sport(key, preset=preset, length_m=length_m, width_m=width_m)
    ranges = {"length": usual.length_range_m, "width": usual.width_range_m}
    given = {"length": length_m, "width": width_m}
    is_open = [name for name, (low, high) in ranges.items() if given[name] is None and high - low > 0.011 * high]
    if not is_open:
        return usual, "fixed by the rules"
    if not traced.is_walked and _typical_miss_m(map_file, traced, usual) <= AGREES_M:
        return usual, "the usual size, which the trace agrees with; measured is better"
    across, deep = traced_size_m(map_file, traced)
    allowed = " and ".join(f"{name} {low:g} to {high:g} m" for name, (low, high) in ranges.items() if name in is_open)
    raise InputError(
        f"{where}: how large is it? {usual.name} has {allowed}, and a trace is too rough to take the size from (it "
        f"measures about {across:.0f} x {deep:.0f} m); measure the lines and add --length and --width"
        + _feet_hint(across, deep, usual)
    )


def _key(traced: Traced, sport: str | None, where: str) -> tuple[str, str | None]:
    if sport is not None:
        return sport_named(sport)
    for word in traced.feature.tags.get("sport", "").split(";"):
        with contextlib.suppress(InputError):
            if word.strip():
                return sport_named(word.strip())
    raise InputError(f"{where}: which sport is played there? add --sport NAME (standmark sports lists them)")


def _typical_miss_m(map_file: MapFile, traced: Traced, sport: Sport) -> float:
    ring = traced.feature.rings[0]
    middle = middle_of(ring) if not map_file.is_drawing else (float(ring[0, 0]), float(ring[0, 1]))
    outline = sport.area.outline
    return fit_outline(along_ring(flat(map_file, ring, middle))[0], outline).typical_miss_m


def _feet_hint(across_m: float, deep_m: float, sport: Sport) -> str:
    low, high = sport.length_range_m
    fits = low <= across_m / FEET_PER_M <= high and not low <= across_m <= high
    return "; is the drawing in feet?" if fits else ""
