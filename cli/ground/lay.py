"""From the features of a map to a ground: choose the playing area, fit it, bring all else into its frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from standmark.cli.exports.earth import DIGITS
from standmark.cli.ground.ends import chosen_end
from standmark.cli.ground.ground import Floats, MappedGround
from standmark.cli.ground.map_file import MapFeature, MapFile, closes
from standmark.cli.ground.plane import flat, placed
from standmark.cli.ground.roles import role_of
from standmark.cli.ground.surroundings import things_round
from standmark.geometry.errors import InputError
from standmark.geometry.fit.earth import middle_of
from standmark.geometry.fit.outline import (
    OutlineFit,
    along_ring,
    fit_outline,
    turned_alike,
    walked_evenly,
)
from standmark.sports.sport import Sport

WALK_M_S = 1.3  # along a track without times; common practice, no source
LOOSE_SHARE = 0.06  # of the width: an outline that misses by more is not of this size
LARGEST_M = 2000.0  # across: a trace beyond is not of one playing area


@dataclass(frozen=True, eq=False)
class Traced:
    """A playing area on the map, as drawn or as walked."""

    feature: MapFeature
    label: str
    is_walked: bool


def traced_areas(map_file: MapFile) -> list[Traced]:
    """Playing areas of a map; without one, the tracks that somebody walked round the lines.

    What is drawn is never replaced by a track.
    """
    drawn, walked = [], []
    for feature in map_file.features:
        role = role_of(feature)
        is_named = role is not None and role.kind == "pitch"
        is_track = map_file.form == "GPX" and feature.kind == "line" and (role is None or is_named)
        label = role.label if role is not None else feature.name
        if is_track and len(feature.rings[0]) >= 4:
            walked.append(Traced(feature, label, True))
        elif is_named and not is_track and feature.kind != "point" and len(feature.rings[0]) >= 4:
            drawn.append(Traced(feature, label, False))
    return drawn or walked


def lay_ground(map_file: MapFile, traced: Traced, sport: Sport, *, toward: str | None) -> MappedGround:
    """Fit the playing area at its known size and bring everything else into its frame.

    Parameters
    ----------
    toward : which way +x points: a compass direction, degrees, or the name of something on the map; None: the end
        further north, or the eastern one of two that lie alike

    Raises
    ------
    InputError : a shape that crosses itself, or a direction that is none
    """
    ring, times_s = _clean_ring(traced, map_file)
    origin = middle_of(ring) if not map_file.is_drawing else (float(ring[:, 0].mean()), float(ring[:, 1].mean()))
    for _ in range(2):  # the second time about the origin itself, where directions are true
        fit = _fitted(flat(map_file, ring, origin), times_s, sport, is_walked=traced.is_walked)
        origin = placed(map_file, fit.middle_m, origin)
    _check_fit(fit, map_file, traced, sport)
    bearing = round((90.0 - fit.turn_deg) % 360.0, 2) % 360.0  # what the file will hold, so that shapes go with it
    origin = (round(origin[0], DIGITS), round(origin[1], DIGITS))
    two_ends = turned_alike(sport.area.outline)
    if two_ends:
        bearing = chosen_end(bearing, toward, map_file, origin)
    things, notes = things_round(map_file, traced.feature, sport, origin, bearing)
    if traced.feature.kind == "area" and len(traced.feature.rings) > 1:
        notes.insert(0, "a hole in the playing area was left aside")
    return MappedGround(
        sport=sport,
        name=traced.label,
        longitude_latitude_deg=None if map_file.is_drawing else origin,
        bearing_deg=bearing,
        has_two_ends=two_ends and toward is None,
        fit=fit,
        n_points=len(traced.feature.rings[0]) if traced.is_walked else len(ring),
        is_walked=traced.is_walked,
        things=things,
        notes=tuple(notes),
    )


def traced_size_m(map_file: MapFile, traced: Traced) -> tuple[float, float]:
    """Length and width of the least rectangle round a trace: too rough to plan with, good enough to doubt a size."""
    ring, _ = _clean_ring(traced, map_file)
    middle = middle_of(ring) if not map_file.is_drawing else (float(ring[0, 0]), float(ring[0, 1]))
    box = shapely.minimum_rotated_rectangle(shapely.MultiPoint(flat(map_file, ring, middle)))
    corners = shapely.get_coordinates(box)
    sides = sorted(np.hypot(*np.diff(corners[:3], axis=0).T)) if len(corners) > 3 else [0.0, 0.0]
    return float(sides[1]), float(sides[0])


def _clean_ring(traced: Traced, map_file: MapFile) -> tuple[Floats, Floats | None]:
    """Points to fit to, and their times; a drawn outline must be a simple polygon of a size that can be."""
    ring, feature = traced.feature.rings[0], traced.feature
    where = f"{map_file.name}: {feature.where}"
    middle = middle_of(ring) if not map_file.is_drawing else (float(ring[0, 0]), float(ring[0, 1]))
    across = np.ptp(flat(map_file, ring, middle, quick=True), axis=0)
    if across.max() > LARGEST_M:
        raise InputError(
            f"{where}: {across.max() / 1000:.0f} km across; not one playing area. Are latitude and longitude swapped "
            "(--swap reads latitude first), or are these two grounds?"
        )
    if traced.is_walked:
        kept = walked_evenly(flat(map_file, ring, middle, quick=True))
        return ring[kept], None if feature.times_s is None else feature.times_s[kept]
    corners = ring[:-1] if closes(ring) else ring
    polygon = shapely.Polygon(flat(map_file, corners, middle, quick=True))
    if not polygon.is_valid or polygon.area < 1.0:
        raise InputError(
            f"{where}: the playing area crosses itself or has no area; draw its corners in order, each once"
        )
    return corners, None


def _check_fit(fit: OutlineFit, map_file: MapFile, traced: Traced, sport: Sport) -> None:
    """Refuse an outline that is nowhere near the size, and say so if the two coordinates swapped would be."""
    area = sport.area
    loose = LOOSE_SHARE * (3.0 if traced.is_walked else 1.0)
    if fit.typical_miss_m <= loose * area.width_m:
        return
    where = f"{map_file.name}: {traced.feature.where}"
    turned, _ = _clean_ring(traced, map_file)
    turned = turned[:, ::-1].copy()
    if not traced.is_walked and not map_file.is_drawing and (np.abs(turned[:, 1]) <= 90.0).all():
        other = _fitted(flat(map_file, turned, middle_of(turned)), None, sport, is_walked=False)
        if other.typical_miss_m < 0.3 * fit.typical_miss_m:
            raise InputError(
                f"{where}: latitude and longitude look swapped: read the other way round, the outline has the size "
                f"of {area.length_m:g} x {area.width_m:g} m; add --swap"
            )
    across, deep = traced_size_m(map_file, traced)
    raise InputError(
        f"{where}: the outline measures about {across:.0f} x {deep:.0f} m, not {area.length_m:g} x {area.width_m:g} m; "
        "check --length, --width and --sport, or draw the lines alone"
    )


def _fitted(plane: Floats, times_s: Floats | None, sport: Sport, *, is_walked: bool) -> OutlineFit:
    outline = sport.area.outline
    if not is_walked:
        points, alike = along_ring(plane)
        return fit_outline(points, outline, correlation=alike)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(plane, axis=0).T))])
    seconds = along / WALK_M_S if times_s is None else times_s
    return fit_outline(plane, outline, times_s=seconds)
