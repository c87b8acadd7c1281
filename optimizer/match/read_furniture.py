"""Chairs, tables, benches and judges of a ground: those of the sport, less and other than a match file says."""

from __future__ import annotations

from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from standmark.optimizer.match.place_shape import place_shape
from standmark.optimizer.match.venue_schema import VenueFurnitureTable
from standmark.sports.sport import Furniture, PlayingArea
from standmark.sports.toml.file import Problem, did_you_mean

LINE_WIDTH_M = 0.3  # of what is given as a line
FLIPS = {"x": (-1, 1), "y": (1, -1), "xy": (-1, -1)}


def usual_furniture(area: PlayingArea) -> tuple[Furniture, ...]:
    """What stands beside a playing area when nobody says otherwise."""
    return tuple(thing for thing in area.furniture if thing.is_usual)


def read_furniture(
    tables: tuple[VenueFurnitureTable, ...], area: PlayingArea
) -> tuple[tuple[Furniture, ...], list[Problem]]:
    """Apply what a match file says to the furniture of the sport."""
    there = {thing.key: thing for thing in usual_furniture(area)}
    known = {thing.key: thing for thing in area.furniture} | {thing.name: thing for thing in area.furniture}
    problems: list[Problem] = []
    for index, table in enumerate(tables):
        thing = known.get(table.what)
        if thing is None:
            keys = [entry.key for entry in area.furniture]
            message = f'no such thing (got "{table.what}"); allowed: {", ".join(keys)}{did_you_mean(table.what, keys)}'
            problems.append(Problem(("venue", "furniture", index, "what"), message))
        elif not table.there:
            there.pop(thing.key, None)
        else:
            moved = _changed(thing, table, area)
            there[thing.key] = moved
            if moved.base_m >= moved.top_m:
                message = f"top_m must be above {moved.base_m:g} m, where it starts (got {moved.top_m:g})"
                problems.append(Problem(("venue", "furniture", index, "top_m"), message))
    return tuple(there.values()), problems


def _changed(thing: Furniture, table: VenueFurnitureTable, area: PlayingArea) -> Furniture:
    return replace(
        thing,
        shape=_shape(thing, table, area),
        top_m=thing.top_m if table.top_m is None else table.top_m,
        see_through=thing.see_through if table.see_through is None else table.see_through,
    )


def _shape(thing: Furniture, table: VenueFurnitureTable, area: PlayingArea) -> BaseGeometry:
    if table.mirror is not None:
        x, y = FLIPS[table.mirror]
        flipped = shapely.transform(thing.shape, lambda points: points * (x, y))
        return flipped if x * y > 0 else shapely.normalize(flipped)
    if table.polygons is not None:
        return shapely.union_all([shapely.Polygon(points) for points in table.polygons])
    if not {"polygon", "line", "side", "around"} & table.model_fields_set:
        return thing.shape
    shape = place_shape(table, area)
    return shape if shape.area > 0 else shape.buffer(LINE_WIDTH_M / 2, cap_style="flat")
