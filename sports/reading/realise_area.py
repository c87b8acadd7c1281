"""The playing area of a definition at an actual size: lines, targets, what is kept clear, where one may stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.geometry.sightlines.occluder import Occluder
from standmark.sports.place_kind import GROUND, KINDS, POSTURES, lens_range_m
from standmark.sports.reading.schema import (
    FurnitureTable,
    OccluderTable,
    PresetTable,
    RaisedTable,
    SportFile,
    TargetTable,
    UsualPlaceTable,
)
from standmark.sports.shapes.build import Measures, arc_points, build, build_line
from standmark.sports.shapes.expression import Length, evaluate
from standmark.sports.shapes.shape import AnyShape
from standmark.sports.sport import (
    PLAIN_SIDES,
    Danger,
    Furniture,
    KeepClear,
    Marking,
    Place,
    PlayingArea,
    Point3,
    Target,
)
from standmark.sports.toml.file import KeyFaultError, Path_, Problem, did_you_mean

Made = TypeVar("Made")
MIRRORS = {
    "none": ((1, 1),),
    "x": ((1, 1), (-1, 1)),
    "y": ((1, 1), (1, -1)),
    "xy": ((1, 1), (-1, 1), (1, -1), (-1, -1)),
}
FOOTPRINT_TOLERANCE_M = 0.05  # a curved wall is drawn as chords this near to it
SLIVER_M2 = 0.01  # what is left of a place under this is a rounding remnant


@dataclass
class Work:
    """One realisation under way: the preset, its frame, and what was found wrong."""

    preset: PresetTable
    frame: Measures
    is_lenient: bool  # smaller than the rules allow: what does not fit is left out
    problems: list[Problem] = field(default_factory=list)

    def attempt(self, path: Path_, make: Callable[[], Made]) -> Made | None:
        """Return what `make` returns, or None with the problem noted."""
        try:
            return make()
        except KeyError as error:
            known = sorted(self.frame.sizes_m)
            guess = did_you_mean(error.args[0], known)
            message = f'size "{error.args[0]}" not known; allowed: {", ".join(known)}{guess}'
            self.problems.append(Problem(path, message))
        except KeyFaultError as error:
            self.problems.append(Problem((*path, *error.key), f"{error}"))
        except ValueError as error:
            self.problems.append(Problem(path, f"{error}"))
        return None

    def has(self, only: Sequence[str]) -> bool:
        """Is a part of the definition meant for this preset."""
        return not only or self.preset.key in only


def realise_area(definition: SportFile, work: Work, outline: BaseGeometry) -> PlayingArea:
    """Build everything that is drawn on, stands in or lies round the playing area."""
    area = definition.area
    run_off = work.attempt(("area", "run_off"), lambda: build(area.run_off, work.frame))
    keep_clear = tuple(_keep_clear(definition, work))
    return PlayingArea(
        length_m=work.frame.sizes_m["length"],
        width_m=work.frame.sizes_m["width"],
        outline=outline,
        end_line=area.end_line,
        side_line=area.side_line,
        target_name=area.target_name,
        markings=tuple(_markings(definition, work)),
        targets=tuple(_targets(definition, work)),
        run_off=outline if run_off is None else run_off.union(outline),
        keep_clear=keep_clear,
        dangers=tuple(_dangers(definition, work)),
        places=tuple(_places(definition, work, keep_clear)),
        raised=tuple(_raised(definition, work)),
        furniture=tuple(_furniture(definition, work)),
        side_names={str(side): name for side, name in area.side_names.items()},
        outer_line=area.outer_line or "",
        unit=area.unit,
    )


def _markings(definition: SportFile, work: Work) -> Iterator[Marking]:
    for index, entry in enumerate(definition.marking):
        if work.has(entry.only):
            line = fitting_shape(work, ("marking", index, "shape"), entry.shape, build_line)
            if line is not None:
                yield Marking(name=entry.name, shape=line, source=entry.source, is_dashed=entry.is_dashed)


def _keep_clear(definition: SportFile, work: Work) -> Iterator[KeepClear]:
    for index, entry in enumerate(definition.keep_clear):
        if work.has(entry.only):
            shape = fitting_shape(work, ("keep_clear", index, "shape"), entry.shape, build)
            if shape is not None:
                yield KeepClear(name=entry.name, shape=shape, reason=entry.reason, source=entry.source)


def _dangers(definition: SportFile, work: Work) -> Iterator[Danger]:
    for index, entry in enumerate(definition.danger):
        if work.has(entry.only):
            shape = fitting_shape(work, ("danger", index, "shape"), entry.shape, build)
            if shape is not None:
                yield Danger(entry.name, shape, entry.up_to_m, entry.text, entry.marked, entry.source)


def _places(definition: SportFile, work: Work, keep_clear: Sequence[KeepClear]) -> Iterator[Place]:
    blocked = shapely.union_all([entry.shape for entry in keep_clear])
    side_names = PLAIN_SIDES | {str(side): name for side, name in definition.area.side_names.items()}
    for index, entry in enumerate(definition.place):
        if work.has(entry.only):
            shape = fitting_shape(work, ("place", index, "shape"), entry.shape, build)
            if shape is not None:
                yield from _split(entry, shape.difference(blocked), names=side_names)


def _raised(definition: SportFile, work: Work) -> Iterator[Place]:
    side_names = PLAIN_SIDES | {str(side): name for side, name in definition.area.side_names.items()}
    for index, entry in enumerate(definition.raised):
        if work.has(entry.only):
            shape = fitting_shape(work, ("raised", index, "shape"), entry.shape, build)
            if shape is not None:
                yield from _split(entry, shape, names=side_names)


def _furniture(definition: SportFile, work: Work) -> Iterator[Furniture]:
    for index, entry in enumerate(definition.furniture):
        if not work.has(entry.only):
            continue
        shape = fitting_shape(work, ("furniture", index, "shape"), entry.shape, build)
        heights_m = work.attempt(("furniture", index), lambda entry=entry: _heights_m(entry, work.frame))  # type: ignore[misc]
        if shape is not None and heights_m is not None:
            yield Furniture(
                key=entry.key,
                name=entry.name,
                shape=shape,
                base_m=heights_m[0],
                top_m=heights_m[1],
                see_through=entry.see_through,
                is_open_to_play=entry.open_to_play,
                is_usual=entry.usual,
                source=entry.source,
            )


def _heights_m(entry: FurnitureTable | OccluderTable, frame: Measures) -> tuple[float, float]:
    """Base and top of what hides."""
    base, top = evaluate(entry.base, frame.sizes_m), evaluate(entry.top, frame.sizes_m)
    if base >= top:
        raise KeyFaultError(f"the top, {top:g} m, must be above the base, {base:g} m", "top")
    return base, top


def fitting_shape(
    work: Work, path: Path_, shape: AnyShape, make: Callable[[AnyShape, Measures], BaseGeometry]
) -> BaseGeometry | None:
    """Geometry of a shape; on a ground smaller than the rules allow, None when nothing is left of it."""
    if not work.is_lenient:
        return work.attempt(path, lambda: make(shape, work.frame))
    try:
        return make(shape, work.frame)
    except ValueError:
        return None


def _split(entry: UsualPlaceTable | RaisedTable, shape: BaseGeometry, *, names: Mapping[str, str]) -> Iterator[Place]:
    """One place for each connected piece, named by the end and the side it lies on."""
    pieces = [piece for piece in getattr(shape, "geoms", [shape]) if piece.length > 0 and _is_kept(piece)]
    centres = [(piece.centroid.x, piece.centroid.y) for piece in pieces]
    by_end = len({x > 0 for x, _ in centres}) > 1 and all(abs(x) > 1 for x, _ in centres)
    by_side = len({y > 0 for _, y in centres}) > 1 and all(abs(y) > 1 for _, y in centres)
    taken: dict[str, int] = {}
    for piece, (x, y) in zip(pieces, centres, strict=True):
        ends = [("plus", names["+x"]) if x > 0 else ("minus", names["-x"])] if by_end else []
        sides = [("left", names["+y"]) if y > 0 else ("right", names["-y"])] if by_side else []
        key = "-".join([entry.key, *(word for word, _ in ends + sides)])
        taken[key] = taken.get(key, 0) + 1
        if taken[key] > 1:
            key = f"{key}-{taken[key]}"
        words = ", ".join(word for _, word in ends + sides)
        name = f"{entry.name} ({words})" if words else entry.name
        kind = KINDS[entry.kind]
        postures, supports = entry.posture or kind.postures, entry.support or kind.supports
        lens_m = _lens_m(entry) if kind is GROUND and entry.posture else entry.lens_height_m
        yield Place(key, name, piece, lens_m, entry.source, kind.key, postures, supports)


def _lens_m(entry: UsualPlaceTable | RaisedTable) -> tuple[float, float]:
    """Lens heights of a place on the ground, as far as the postures allowed there reach."""
    low, high = lens_range_m(entry.posture or POSTURES)
    return max(low, entry.lens_height_m[0]), min(high, entry.lens_height_m[1])


def _is_kept(piece: BaseGeometry) -> bool:
    return piece.geom_type == "LineString" or piece.area > SLIVER_M2


def _targets(definition: SportFile, work: Work) -> Iterator[Target]:
    for index, entry in enumerate(definition.target):
        if not work.has(entry.only):
            continue
        target = work.attempt(("target", index), lambda entry=entry: _target(entry, work.frame))  # type: ignore[misc]
        if target is None:
            continue
        signs = MIRRORS[entry.mirror]
        for sign_x, sign_y in signs:
            name = entry.name if len(signs) == 1 else f"{entry.name} ({_side_words(entry.mirror, sign_x, sign_y)})"
            yield _flipped(target, name, sign_x, sign_y)


def _side_words(mirror: str, sign_x: int, sign_y: int) -> str:
    words = ["+x" if sign_x > 0 else "-x"] * ("x" in mirror) + ["+y" if sign_y > 0 else "-y"] * ("y" in mirror)
    return ", ".join(words)


def _target(entry: TargetTable, frame: Measures) -> Target:
    bars = [tuple(_point3(point, frame) for point in bar) for bar in entry.bars]
    for ring in entry.rings:
        x, y, z = _point3(ring.centre, frame)
        radius = evaluate(ring.radius, frame.sizes_m)
        bars.append(tuple((px, py, z) for px, py in arc_points((x, y), radius, (0.0, 360.0))))
    occluders = tuple(_occluder(occluder, index, frame) for index, occluder in enumerate(entry.occluder))
    return Target(name=entry.name, bars=tuple(bars), occluders=occluders, source=entry.source)


def _point3(point: tuple[Length, Length, Length], frame: Measures) -> Point3:
    x, y, z = (evaluate(part, frame.sizes_m) for part in point)
    return x, y, z


def _occluder(entry: OccluderTable, index: int, frame: Measures) -> Occluder:
    try:
        base, top = _heights_m(entry, frame)
        footprint_m = _footprint(entry, frame)
    except KeyFaultError as error:
        raise KeyFaultError(f"{error}", "occluder", index, *error.key) from None
    return Occluder(
        name=entry.name,
        footprint_m=footprint_m,
        base_m=base,
        top_m=top,
        see_through=entry.see_through,
        is_closed=entry.is_closed,
    )


def _footprint(entry: OccluderTable, frame: Measures) -> tuple[tuple[float, float], ...]:
    if entry.footprint is not None:
        return tuple((evaluate(x, frame.sizes_m), evaluate(y, frame.sizes_m)) for x, y in entry.footprint)
    if entry.along is None:
        raise KeyFaultError("needs footprint or along")
    line = build_line(entry.along, frame).simplify(FOOTPRINT_TOLERANCE_M)
    if line.geom_type != "LineString":
        raise KeyFaultError("must be one unbroken line", "along")
    return tuple((x, y) for x, y in line.coords)


def _flipped(target: Target, name: str, sign_x: int, sign_y: int) -> Target:
    bars = tuple(tuple((sign_x * x, sign_y * y, z) for x, y, z in bar) for bar in target.bars)
    occluders = tuple(
        replace(entry, footprint_m=tuple((sign_x * x, sign_y * y) for x, y in entry.footprint_m))
        for entry in target.occluders
    )
    return Target(name=name, bars=bars, occluders=occluders, source=target.source)
