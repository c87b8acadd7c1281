"""What no single table of a definition can know: names that must exist, keys used twice, weights that must sum to 1."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from standmark.sports.place_kind import GROUND, lens_range_m
from standmark.sports.reading.check_counts import check_crowds, check_events, check_sizes
from standmark.sports.reading.known_sources import KNOWN_SOURCES
from standmark.sports.reading.order_schema import order_problems
from standmark.sports.reading.schema import SportFile
from standmark.sports.toml.file import Path_, Problem, did_you_mean
from standmark.sports.toml.table import Table


def check_references(definition: SportFile) -> list[Problem]:
    """Find what no single table can know: names that are not there, keys used twice, sums that cannot be right."""
    problems = list(_unknown_sources(definition))
    presets = [entry.key for entry in definition.preset]
    for kind in ("marking", "target", "keep_clear", "danger", "place", "raised", "furniture", "moment"):
        for index, entry in enumerate(getattr(definition, kind)):
            for number, name in enumerate(entry.only):
                if name not in presets:
                    message = f'preset "{name}" not known; allowed: {", ".join(presets)}{did_you_mean(name, presets)}'
                    problems.append(Problem((kind, index, "only", number), message))
    for index, moment in enumerate(definition.moment):
        total = sum(zone.weight for zone in moment.zone)
        if abs(total - 1.0) > 1e-6:
            problems.append(Problem(("moment", index, "zone"), f"weights sum to {total:g}; they must sum to 1"))
        if (moment.facing.direction_deg is None) == (moment.facing.toward is None):
            problems.append(Problem(("moment", index, "facing"), "needs either direction_deg or toward, not both"))
        low, high = moment.action_height_m
        if low > high:
            message = f"lowest first: {low:g} is above {high:g}; write [{high:g}, {low:g}]"
            problems.append(Problem(("moment", index, "action_height_m"), message))
    problems += [*_postures(definition), *_twice("preset", presets)]
    for kind in ("moment", "raised", "furniture"):
        problems += _twice(kind, [entry.key for entry in getattr(definition, kind)])
    problems += [*check_sizes(definition), *check_crowds(definition), *check_events(definition)]
    problems += order_problems(definition.order, definition.period, ("order",))
    for index, preset in enumerate(definition.preset):
        problems += order_problems(preset.order, preset.period or definition.period, ("preset", index, "order"))
    if definition.play_flow is not None:
        known = [m.key for m in definition.moment]
        for key in definition.play_flow.moments:
            if key not in known:
                problems.append(Problem(("play_flow", "moments", key), f"no such moment; allowed: {', '.join(known)}"))
        problems += _twice_flow([k.key for k in definition.play_flow.kind])
    return problems


def _postures(definition: SportFile) -> Iterator[Problem]:
    """Find places whose lens heights no posture allowed there reaches."""
    for index, place in enumerate(definition.place):
        if place.posture is not None and place.kind == GROUND.key:
            low, high = lens_range_m(place.posture)
            if place.lens_height_m[0] > high or place.lens_height_m[1] < low:
                words = f"{' or '.join(place.posture)} reaches {low:g} to {high:g} m"
                yield Problem(("place", index, "lens_height_m"), f"nobody can hold a lens there: {words}")


def _twice(kind: str, keys: Sequence[str]) -> list[Problem]:
    twice = [(index, key) for index, key in enumerate(keys) if key in keys[:index]]
    return [Problem((kind, index, "key"), f'"{key}" is used twice') for index, key in twice]


def _twice_flow(keys: Sequence[str]) -> list[Problem]:
    return [Problem(("play_flow", *p.path), p.message) for p in _twice("kind", keys)]


def _unknown_sources(definition: SportFile) -> Iterator[Problem]:
    known = {*KNOWN_SOURCES, *definition.sources}
    for path, value in _walk(definition, ()):
        if str(path[-1]).endswith("source") and value not in known:
            yield Problem(path, f'source "{value}" not known; allowed: {", ".join(sorted(known))}')


def _walk(value: Any, path: Path_) -> Iterator[tuple[Path_, Any]]:
    """Every leaf of a definition with its path."""
    if isinstance(value, Table):
        for name in type(value).model_fields:
            yield from _walk(getattr(value, name), (*path, name))
    elif isinstance(value, dict):
        for name, entry in value.items():
            yield from _walk(entry, (*path, name))
    elif isinstance(value, tuple):
        for index, entry in enumerate(value):
            yield from _walk(entry, (*path, index))
    else:
        yield path, value
