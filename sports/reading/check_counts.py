"""Numbers of a definition that must agree: people round a moment with those on the field, moments with events."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from standmark.sports.reading.schema import MomentTable, PresetTable, SportFile
from standmark.sports.toml.file import Path_, Problem, did_you_mean

ROUNDING = 1.03  # rates are given in round figures
MOST_ZONES = 1000  # of all moments: every place is valued for some sixteen spots of each, twice
MOST_PERIODS = 60


def people_on_area(definition: SportFile, preset: PresetTable) -> float:
    """Players of both sides who are on the playing area at once."""
    a_side = preset.players_per_side or definition.players_per_side
    share = a_side / definition.players_per_side
    return 2.0 * a_side if definition.on_area is None else definition.on_area * share


def check_sizes(definition: SportFile) -> Iterator[Problem]:
    """Find more zones or periods than a plan has time and memory for."""
    n_zones = sum(len(moment.zone) for moment in definition.moment)
    if n_zones > MOST_ZONES:
        yield Problem(("moment",), f"{n_zones} zones in all; allowed: at most {MOST_ZONES}, so join some")
    periods: list[tuple[Path_, Sequence[object]]] = [(("period",), definition.period)]
    periods += [(("preset", i, "period"), preset.period) for i, preset in enumerate(definition.preset)]
    for path, entries in periods:
        if len(entries) > MOST_PERIODS:
            yield Problem(path, f"{len(entries)} periods; allowed: at most {MOST_PERIODS}")


def check_crowds(definition: SportFile) -> Iterator[Problem]:
    """Find moments of play with more people round the subject than are on the field."""
    for index, moment in enumerate(definition.moment):
        if not moment.is_play:
            continue
        crowd = moment.crowd_per_m2 * math.pi * moment.crowd_radius_m**2
        for preset in _presets_of(definition, moment):
            others = people_on_area(definition, preset) - 1
            if crowd > others + 1e-9:
                yield Problem(
                    ("moment", index, "crowd_per_m2"),
                    f"{moment.crowd_per_m2:g} a square metre within {moment.crowd_radius_m:g} m makes {crowd:.1f} "
                    f"people, but only {others:g} others play ({preset.key}); allowed: at most "
                    f"{_floor(others / (math.pi * moment.crowd_radius_m**2)):g}",
                )
                break


def check_events(definition: SportFile) -> Iterator[Problem]:
    """Find events counted more often than they happen, and presets that change half of what hangs together."""
    keys = [moment.key for moment in definition.moment]
    for index, moment in enumerate(definition.moment):
        if moment.event is not None and moment.event not in definition.events:
            allowed = ", ".join(sorted(definition.events)) or "none, as [events] is empty"
            yield Problem(("moment", index, "event"), f'event "{moment.event}" not known; allowed: {allowed}')
        for place, name in enumerate(moment.follows):
            if name not in keys:
                message = f'moment "{name}" not known; allowed: {", ".join(keys)}{did_you_mean(name, keys)}'
                yield Problem(("moment", index, "follows", place), message)
        if moment.second_view and moment.event is None:
            yield Problem(("moment", index, "second_view"), "needs the event that it is a second view of: event = ...")
    told: set[Path_] = set()  # an event counted too often in several presets is reported once
    for number, preset in enumerate(definition.preset):
        yield from _unknown_in_preset(definition, preset, number, keys)
        counted = [problem for problem in _counted_twice(definition, preset, number) if problem.path not in told]
        yield from counted
        told |= {problem.path for problem in counted}
        yield from _half_changed(definition, preset, number)


def _unknown_in_preset(definition: SportFile, preset: PresetTable, number: int, keys: list[str]) -> Iterator[Problem]:
    for name in sorted(set(preset.moments) - set(keys)):
        message = f"no such moment; allowed: {', '.join(keys)}{did_you_mean(name, keys)}"
        yield Problem(("preset", number, "moments", name), message)
    for name in sorted(set(preset.events) - set(definition.events)):
        message = f"no such event; allowed: {', '.join(sorted(definition.events)) or 'none, as [events] is empty'}"
        yield Problem(("preset", number, "events", name), message)


def _counted_twice(definition: SportFile, preset: PresetTable, number: int) -> Iterator[Problem]:
    for name, event in {**definition.events, **preset.events}.items():
        own = [m for m in _moments_of(definition, preset) if m.event == name]
        counted = _counted(own, {m.key: _rate(m, preset) for m in own})
        if counted > event.per_match * ROUNDING:
            which = ", ".join(f"{m.key} {_rate(m, preset):g}" for m in own)
            where = ("preset", number, "events", name) if name in preset.events else ("events", name)
            yield Problem(
                (*where, "per_match"),
                f"{event.per_match:g} {name} in a match, but its moments count {counted:g} ({preset.key}: {which}); "
                "raise the number, lower their rates, or mark a moment that shows other people with second_view = true",
            )


def raised_events(definition: SportFile, rates: Mapping[str, float]) -> dict[str, float]:
    """Numbers of the events that new rates of some moments count more often than the definition says they happen."""
    raised = {}
    for name, event in definition.events.items():
        own = [m for m in definition.moment if m.event == name]
        counted = _counted(own, {m.key: rates.get(m.key, m.rate_per_match) for m in own})
        if counted > event.per_match * ROUNDING:
            raised[name] = counted
    return raised


def _counted(own: Sequence[MomentTable], rates: Mapping[str, float]) -> float:
    """How often the moments of one event count it: together, or as any second view does."""
    shared = sum(rates[m.key] for m in own if not m.second_view)
    return max([shared, *(rates[m.key] for m in own if m.second_view)], default=0.0)


def _half_changed(definition: SportFile, preset: PresetTable, number: int) -> Iterator[Problem]:
    """A preset that changes a rate must change those of the same event and what follows from it."""
    own = list(_moments_of(definition, preset))
    changed = {m.key for m in own if m.key in preset.moments and preset.moments[m.key].rate_per_match is not None}
    events = {m.event for m in own if m.key in changed and m.event} | set(preset.events)
    for moment in own:
        causes = [f'moment "{name}"' for name in moment.follows if name in changed]
        causes += [f'event "{moment.event}"'] if moment.event in events else []
        if causes and moment.key not in changed:
            message = f"changes {causes[0]}, so it must say rate_per_match of {moment.key} too"
            yield Problem(("preset", number, "moments"), message)
    for name in sorted(events - set(preset.events)):
        message = f'changes rates of event "{name}", so it must say events.{name}.per_match too'
        yield Problem(("preset", number, "moments"), message)


def _rate(moment: MomentTable, preset: PresetTable) -> float:
    change = preset.moments.get(moment.key)
    return moment.rate_per_match if change is None or change.rate_per_match is None else change.rate_per_match


def _moments_of(definition: SportFile, preset: PresetTable) -> Iterator[MomentTable]:
    return (m for m in definition.moment if not m.only or preset.key in m.only)


def _presets_of(definition: SportFile, moment: MomentTable) -> Iterator[PresetTable]:
    return (p for p in definition.preset if not moment.only or p.key in moment.only)


def _floor(value: float) -> float:
    """Round down to three decimals, so that the number told is accepted."""
    return math.floor(value * 1000) / 1000
