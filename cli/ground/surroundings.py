"""What lies round a playing area on a map, in its frame, as far as it can matter to a match."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from standmark.cli.ground.ground import Floats, Laid
from standmark.cli.ground.map_file import MapFeature, MapFile, closes
from standmark.cli.ground.plane import Place, flat, pitch_frame
from standmark.cli.ground.roles import FeatureRole, role_of
from standmark.geometry.errors import InputError
from standmark.sports.sport import Sport

NEAR_M = 60.0  # buildings and barriers further from the playing area stand in nobody's way
FAR_M = 450.0  # places further away are none for a camera
FARTHEST_CORNER_M = 990.0  # as far as a match file allows
MOST_POINTS = 500  # of one shape in a match file
FINE_M = 0.05  # by which a shape with more may be made simpler
HALF_POINT_M = 0.5  # half the side of the square that a point stands for
MOST_THINGS = 300


def things_round(
    map_file: MapFile, playing: MapFeature, sport: Sport, origin: Place, bearing_deg: float
) -> tuple[tuple[Laid, ...], list[str]]:
    """Everything with a role, nearest first, and what had to be left out or changed.

    Raises
    ------
    InputError : an area with a role that crosses itself
    """
    outline = sport.area.outline
    size = float(np.hypot(*np.abs(np.array(outline.bounds)).reshape(2, 2).max(axis=0)))
    things: list[tuple[float, Laid]] = []
    notes: list[str] = []
    for feature in map_file.features:
        role = role_of(feature)
        if role is None or feature is playing or role.kind == "pitch":
            continue
        reach = NEAR_M if role.kind in ("obstacle", "stand") else FAR_M
        rough = flat(map_file, feature.rings[0], origin, quick=True)
        if _least(rough) > size + reach * 1.1 + 5.0:
            if role.kind in ("allowed", "forbidden"):
                notes.append(f'"{feature.name}" lies more than {FAR_M:g} m away and was left out')
            continue
        for laid, away in _laid(map_file, feature, role, sport, origin, bearing_deg, notes):
            if away <= reach:
                things.append((away, laid))
    things.sort(key=lambda pair: pair[0])
    if len(things) > MOST_THINGS:
        notes.append(f"{len(things) - MOST_THINGS} things further away were left out")
    return _named_once([laid for _, laid in things[:MOST_THINGS]]), notes


def _least(rough: Floats) -> float:
    """Distance of the origin from the box round a shape: the shape itself is no nearer [m]."""
    beyond = np.maximum(np.maximum(rough.min(axis=0), -rough.max(axis=0)), 0.0)
    return math.hypot(beyond[0], beyond[1])


def _laid(
    map_file: MapFile,
    feature: MapFeature,
    role: FeatureRole,
    sport: Sport,
    origin: Place,
    bearing_deg: float,
    notes: list[str],
) -> Iterator[tuple[Laid, float]]:
    """Shape of a feature in the pitch frame with its distance, and each of its holes as forbidden ground."""
    outline = sport.area.outline
    label = role.label or f"{role.kind} ({feature.where})"
    for number, ring in enumerate(feature.rings):
        is_area = feature.kind == "area" or (len(ring) > 4 and closes(ring))
        xy_m = pitch_frame(flat(map_file, ring, origin), bearing_deg)
        if feature.kind == "point":
            if role.kind in ("obstacle", "stand"):
                notes.append(f'"{feature.name}" is a point; draw it as an area or a line to have it stand in the way')
                return
            xy_m = xy_m + HALF_POINT_M * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
            is_area = True
        elif is_area and closes(ring):
            xy_m = xy_m[:-1]
        if np.abs(xy_m).max() > FARTHEST_CORNER_M:
            far = f"has a corner {np.abs(xy_m).max() / 1000:.0f} km away"
            if role.kind == "obstacle" or feature.name == "":
                notes.append(f"{label} {far} and was left out")
                return
            raise InputError(f'{map_file.name}: {feature.where}: "{feature.name}" {far}; draw it again')
        xy_m = _fewer(xy_m, is_area=is_area)
        if len(np.unique(xy_m.round(2), axis=0)) < (3 if is_area else 2):
            notes.append(f'"{feature.name or label}" has no size and was left out')
            return
        shape = shapely.Polygon(xy_m) if is_area else shapely.LineString(xy_m)
        if is_area and not shapely.Polygon(xy_m.round(2)).is_valid:
            why = "crosses itself; draw its corners in order, each once"
            if role.kind == "obstacle" or feature.name == "":
                notes.append(f"{label}: {why}; left out")
                return
            raise InputError(f'{map_file.name}: {feature.where}: "{feature.name}" {why}')
        if role.kind in ("obstacle", "stand") and is_area and shape.contains(shapely.Point(0, 0)):
            notes.append(f"{label} stands round the playing area and was left out: is the ground indoors (setting)?")
            return
        assert role.kind != "pitch", "passed over above"
        laid = Laid(role.kind, label, feature.where, xy_m, is_area, role.height_m, role.storeys)
        if number:
            if role.kind != "allowed":
                continue
            laid = replace(laid, kind="forbidden", name=f"hole in {label}", height_m=None)
        yield laid, float(shape.distance(outline))


def _fewer(xy_m: Floats, *, is_area: bool) -> Floats:
    if len(xy_m) <= MOST_POINTS:
        return xy_m
    line = shapely.LineString([*xy_m, xy_m[0]] if is_area else xy_m)
    fine = FINE_M
    while len(xy_m) > MOST_POINTS:
        simpler = shapely.simplify(line, fine)
        xy_m = shapely.get_coordinates(simpler)[: -1 if is_area else None]
        fine *= 2
    return xy_m


def _named_once(things: list[Laid]) -> tuple[Laid, ...]:
    """Give things of one name a number, since a match file tells them apart by it."""
    seen: dict[tuple[str, str], int] = {}
    out = []
    for laid in things:
        key = (laid.kind, laid.name.casefold())
        seen[key] = seen.get(key, 0) + 1
        out.append(laid if seen[key] == 1 else replace(laid, name=f"{laid.name} ({seen[key]})"))
    return tuple(out)
