"""Positions and the playing area as GeoJSON (RFC 7946): longitude first, WGS84, outer rings anticlockwise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from standmark.cli.drawing.ground import cut
from standmark.cli.drawing.marks import rings
from standmark.cli.exports.earth import DIGITS, place_on_earth, ring_on_earth
from standmark.cli.words.advice_words import camera_advice
from standmark.cli.words.naming import lens_words, place_words
from standmark.cli.words.plain_data import document_bytes
from standmark.geometry.arrays import Floats
from standmark.optimizer.picture.stretch import Stretch, plan_stretches
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import Assignment, Spot


def geojson_bytes(plan: Plan, stretches: Sequence[Stretch] | None = None) -> bytes:
    """Write a feature for every camera and place it takes, one for each fallback, and the playing area.

    Parameters
    ----------
    stretches : of the plan, if they are known already
    """
    stretches = plan_stretches(plan) if stretches is None else stretches
    features = [_area_feature(plan), *_positions(plan, stretches)]
    document = {"type": "FeatureCollection", "features": features}
    return document_bytes(document)


def _positions(plan: Plan, stretches: Sequence[Stretch]) -> Iterator[dict[str, Any]]:
    for stretch in stretches:
        for assignment in stretch.first.assignments:
            yield _position(plan, stretch, assignment)
            told = camera_advice(plan.advice, stretch.first.period.key, assignment.camera)
            if told is not None and told.fallback is not None:
                place = told.fallback.spot
                more = {"lens": told.fallback.lens.name, "loss": round(told.fallback.loss, 6)}
                yield _point(plan, stretch, assignment.camera, place, kind="fallback", more=more)


def _position(plan: Plan, stretch: Stretch, assignment: Assignment) -> dict[str, Any]:
    looks = (plan.match.venue.bearing_deg - sum(assignment.pan_deg) / 2) % 360
    more = {
        "lens": lens_words(assignment),
        "looks_compass_deg": round(looks, 1),
        "coverage": round(assignment.coverage, 6),
        "seen": round(assignment.seen, 6),
        "faces": round(assignment.faces, 6),
    }
    return _point(plan, stretch, assignment.camera, assignment.spot, kind="position", more=more)


def _point(plan: Plan, stretch: Stretch, camera: str, spot: Spot, *, kind: str, more: dict[str, Any]) -> dict[str, Any]:
    latitude, longitude = place_on_earth(plan.match.venue, spot.x_m, spot.y_m)
    return {
        "type": "Feature",
        "id": f"{camera} {kind} {stretch.first.period.key}",
        "geometry": {"type": "Point", "coordinates": [longitude, latitude]},
        "properties": {
            "kind": kind,
            "camera": camera,
            "when": stretch.name,
            "place": place_words(spot, plan.match),
            "lens_height_m": spot.z_m,
            **more,
        },
    }


def _area_feature(plan: Plan) -> dict[str, Any]:
    match = plan.match
    outline = ring_on_earth(match.venue, [(x, y) for x, y in rings(match.sport.area.outline)[0].tolist()])
    return {
        "type": "Feature",
        "id": "playing area",
        "geometry": _mapping(_cut_at_180(shapely.Polygon(outline))),
        "properties": {
            "kind": "playing area",
            "sport": match.sport.name,
            "name": match.venue.name,
            "title": match.title,
        },
    }


def _cut_at_180(shape: shapely.Polygon) -> BaseGeometry:
    """Cut a shape that crosses the 180th meridian in two, as RFC 7946, 3.1.9 asks."""
    parts = []
    for turn in (-360.0, 0.0, 360.0):
        part = cut(shape, (turn - 180.0, -90.0, 360.0, 180.0))
        if part.area > 0:
            parts.append(shapely.transform(part, partial(_moved, turn=turn)))
    return shape if len(parts) == 1 and shape.bounds[0] >= -180 and shape.bounds[2] <= 180 else shapely.union_all(parts)


def _moved(xy: Floats, *, turn: float) -> Floats:
    return np.asarray(xy - np.array([turn, 0.0]))


def _mapping(shape: BaseGeometry) -> dict[str, Any]:
    """Geometry as GeoJSON, outer rings anticlockwise, no more digits than are known."""
    polygons = [
        [
            [[round(x, DIGITS), round(y, DIGITS)] for x, y in ring.tolist()]
            for ring in rings(shapely.orient_polygons(part))
        ]
        for part in shapely.get_parts(shape)
    ]
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}
