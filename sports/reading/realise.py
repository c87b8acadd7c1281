"""From a checked definition to a sport at one actual size."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from standmark.sports.reading.check_counts import people_on_area
from standmark.sports.reading.known_sources import KNOWN_SOURCES
from standmark.sports.reading.order_schema import realise_order
from standmark.sports.reading.realise_area import Work, fitting_shape, realise_area
from standmark.sports.reading.realise_flow import realise_flow
from standmark.sports.reading.schema import MomentTable, PresetTable, Size, SportFile, TermTable
from standmark.sports.shapes.build import Measures, build
from standmark.sports.shapes.expression import evaluate
from standmark.sports.sport import (
    JUMP_WHERE_UNSAID,
    Bag,
    Brief,
    Facing,
    Jump,
    KeyMoment,
    MomentWords,
    Period,
    Source,
    Sport,
    Zone,
)
from standmark.sports.toml.file import Problem


def realise(
    definition: SportFile, *, preset: PresetTable, length_m: float, width_m: float
) -> tuple[Sport | None, list[Problem]]:
    """Build a sport at an actual size; problems name the key path in the definition.

    Returns
    -------
    the sport (None when a problem leaves it without an outline or a moment) and the problems
    """
    problems: list[Problem] = []
    length, width = sizes_of(definition, preset)
    sizes = {name: size.typical for name, size in {**definition.sizes, **preset.sizes}.items()}
    sizes |= {"length": length_m, "width": width_m, "end": length_m / 2, "side": width_m / 2}
    is_lenient = length_m < (length.min or length.typical) or width_m < (width.min or width.typical)
    work = Work(preset=preset, frame=Measures(sizes), is_lenient=is_lenient, problems=problems)
    outline = work.attempt(("area", "outline"), lambda: build(definition.area.outline, work.frame))
    if outline is None:
        return None, problems
    work.frame = Measures(sizes, outline)
    players = people_on_area(definition, preset)
    flow = definition.play_flow
    sport = Sport(
        key=definition.key,
        name=definition.name,
        summary=definition.summary,
        preset=preset.key,
        presets=tuple(entry.key for entry in definition.preset),
        setting=preset.setting or definition.setting,
        players_per_side=preset.players_per_side or definition.players_per_side,
        area=realise_area(definition, work, outline),
        length_range_m=(length.min or length.typical, length.max or length.typical),
        width_range_m=(width.min or width.typical, width.max or width.typical),
        moments=tuple(
            replace(m, beyond_per_m2=elsewhere_per_m2(m, players=players, area_m2=outline.area))
            for m in _moments(definition, work)
        ),
        periods=tuple(_period(entry) for entry in preset.period or definition.period),
        order=realise_order(definition.order, preset.order),
        brief=_brief(definition),
        bag=None
        if definition.bag is None
        else Bag(definition.bag.focal_mm, definition.bag.source, definition.bag.note),
        sources=_sources(definition),
        origin=definition.area.origin,
        sizes_m=sizes,
        ball_m=work.frame.sizes_m.get("ball"),
        play_flow=None
        if flow is None
        else work.attempt(("play_flow",), lambda: realise_flow(flow, work.frame.sizes_m)),
    )
    return sport, problems


def elsewhere_per_m2(moment: KeyMoment, *, players: float, area_m2: float) -> float:
    """Players per square metre outside the crowd round a moment of play: all there are less the subject and the crowd.

    A goal in football: 22 players, a crowd of 0.046 per m2 within 8 m, so 11.8 of them on the other 6,939 m2.
    """
    round_m2 = math.pi * moment.crowd_radius_m**2
    if not moment.is_play or round_m2 >= area_m2:
        return 0.0
    return max(players - 1 - moment.crowd_per_m2 * round_m2, 0.0) / (area_m2 - round_m2)


def sizes_of(definition: SportFile, preset: PresetTable) -> tuple[Size, Size]:
    """Length and width of a preset."""
    return preset.length_m or definition.length_m, preset.width_m or definition.width_m


def _moments(definition: SportFile, work: Work) -> Iterator[KeyMoment]:
    for index, entry in enumerate(definition.moment):
        if work.has(entry.only):
            moment = _moment(entry, index, work)
            if moment is not None:
                yield moment


def _moment(entry: MomentTable, index: int, work: Work) -> KeyMoment | None:
    parts = [
        (zone.weight, fitting_shape(work, ("moment", index, "zone", number, "shape"), zone.shape, build))
        for number, zone in enumerate(entry.zone)
    ]
    kept = [(weight, shape) for weight, shape in parts if shape is not None]
    facing = work.attempt(("moment", index, "facing"), lambda: _facing(entry, work.frame))
    if not kept or facing is None:
        return None
    total = sum(weight for weight, _ in kept)
    change = work.preset.moments.get(entry.key)
    moment = KeyMoment(
        key=entry.key,
        name=entry.name,
        picture=entry.picture,
        is_play=entry.is_play,
        must=entry.must,
        sided=entry.sided,
        zones=tuple(Zone(shape=shape, weight=weight / total) for weight, shape in kept),
        rate_per_match=entry.rate_per_match,
        importance=entry.importance,
        extent_m=entry.extent_m,
        subject_height_m=entry.subject_height_m,
        action_height_m=entry.action_height_m,
        facing=facing,
        faces_matter=entry.faces_matter,
        speed_m_s=entry.speed_m_s,
        ball_speed_m_s=entry.ball_speed_m_s,
        crowd_per_m2=entry.crowd_per_m2,
        crowd_radius_m=entry.crowd_radius_m,
        crowd_lean=entry.crowd_lean,
        crowd_source=entry.crowd_source,
        jump=_jump(entry),
        source=entry.source,
        source_note=entry.note,
        zone_source=entry.zone_source,
        other_source=entry.other_source,
    )
    return moment if change is None else replace(moment, **change.model_dump(exclude_none=True, exclude_unset=True))


def _jump(entry: MomentTable) -> Jump:
    """Figures of the moment; measured ones of open play where the definition gives none."""
    if entry.jump is None:
        return JUMP_WHERE_UNSAID if entry.is_play else Jump(0.0, 0.0, 0.0)
    said = entry.jump
    return Jump(said.share, said.along_m_s, said.across_m_s, is_long_flight=said.long_flight, source=said.source)


def _facing(entry: MomentTable, frame: Measures) -> Facing:
    said = entry.facing
    toward = said.toward
    point = None if toward is None else (evaluate(toward[0], frame.sizes_m), evaluate(toward[1], frame.sizes_m))
    return Facing(said.direction_deg, toward_m=point, spread_deg=said.spread_deg, source=said.source)


def _period(entry: Any) -> Period:
    return Period(**dict(entry))


def _brief(definition: SportFile) -> Brief:
    words = definition.brief
    plain = {key: value for key, value in words if key not in ("vocabulary", "signals", "heard", "moments")}
    return Brief(
        **plain,
        vocabulary=_terms(words.vocabulary),
        signals=_terms(words.signals),
        heard=_terms(words.heard),
        moments={key: MomentWords(**dict(entry)) for key, entry in words.moments.items()},
    )


def _terms(entries: Iterable[TermTable]) -> tuple[tuple[str, str], ...]:
    return tuple((entry.term, entry.meaning) for entry in entries)


def _sources(definition: SportFile) -> dict[str, Source]:
    own = {key: Source(key=key, **dict(entry)) for key, entry in definition.sources.items()}
    return {**KNOWN_SOURCES, **own}
