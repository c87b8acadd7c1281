"""What the page of the sheet looks things up in: places, qualities and the scene, as compact plain data.

Qualities of targets are stored in steps of 1/63, a letter each, and those of cells in steps of 1/255, a byte each in
base64; a share of the match summed from them is within 0.002 of the exact one, and usually within 0.0005.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.playing_area import N_DOTS, spread_dots
from standmark.cli.drawing.scene import Scene, Wire, figure_ring
from standmark.cli.words.naming import place_words
from standmark.cli.words.units import Units
from standmark.geometry.arrays import Floats
from standmark.geometry.optics.camera import RecordingMode
from standmark.optimizer.match.match import Deliverable, Match
from standmark.optimizer.match.role import role_wish
from standmark.optimizer.picture.people import middle_m, rest_places
from standmark.optimizer.picture.stretch import Stretch
from standmark.optimizer.picture.what_if import WhatIf, mesh_means
from standmark.optimizer.planning import Plan
from standmark.optimizer.value.size import wanted_of
from standmark.optimizer.work.ground_map import Mesh, ground_mesh, mesh_step_m

MOST_CELLS = 500
_LETTERS = np.frombuffer(b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/", dtype=np.uint8)
ENDING = "<>&\u2028\u2029"


def data_json(data: dict[str, Any]) -> str:
    """Write data so that it can stand inside a page: no NaN, and nothing that could end the element."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True)
    return (
        text.replace("<", "\\u003c")
        .replace(">", "\\u003e")
        .replace("&", "\\u0026")
        .replace("\u2028", "\\u2028")
        .replace("\u2029", "\\u2029")
    )


def sheet_data(plan: Plan, stretches: Sequence[Stretch], scene: Scene, ground: Ground, units: Units) -> dict[str, Any]:
    """Gather what the page needs."""
    match = plan.match
    return frame_data(match, scene) | {
        "units": units.value,
        "ground": {
            "mmPerM": round(-ground.mm_per_m if ground.is_turned else ground.mm_per_m, 6),
            "x": round(ground.x_mm, 4),
            "y": round(ground.y_mm, 4),
        },
        "cameras": [camera.name for camera in match.cameras],
        "stretches": [_stretch(match, stretch, units) for stretch in stretches],
    }


def frame_data(match: Match, scene: Scene) -> dict[str, Any]:
    """Gather what it takes to draw what a lens sees: moments, people and the scene."""
    return {
        "moments": [_moment(match, index) for index in range(len(match.sport.moments))],
        "players": match.sport.players_per_side,
        "middle": list(middle_m(match.sport)),
        "outline": [round(float(v), 2) for v in match.sport.area.outline.bounds],
        "rest": _flat(rest_places(match.sport), 2),
        "figure": _flat(figure_ring(1.0), 4),
        "scene": {
            "behind": scene.behind,
            "lying": [_piece(piece) for piece in scene.lying],
            "standing": [_piece(piece) for piece in scene.standing],
        },
    }


def _moment(match: Match, index: int) -> dict[str, Any]:
    moment = match.sport.moments[index]
    return {
        "name": moment.name,
        "isPlay": moment.is_play,
        "subject": moment.subject_height_m,
        "middle": round(sum(moment.action_height_m) / 2, 3),
        "crowd": moment.crowd_per_m2,
        "radius": moment.crowd_radius_m,
    }


def full_reach(match: Match, mode: RecordingMode, wish: Deliverable) -> list[float]:
    """Distance over focal length in use of every kind of moment [m/mm], within the lens; see `WantedSize`."""
    return [float(f"{reach:.8g}") for reach in wanted_of(match.sport.moments, mode=mode, deliverable=wish).full_m_mm]


def _stretch(match: Match, stretch: Stretch, units: Units) -> dict[str, Any]:
    table = stretch.table
    mesh = ground_mesh(match, stretch.first.period, step_m=mesh_step_m(match, most_cells=MOST_CELLS))
    outfits = list(dict.fromkeys(station.outfit for station in table.stations))
    wishes = [role_wish(match, camera) for camera in match.cameras]
    return {
        "name": stretch.name,
        "seen": round(stretch.first.seen, 6),
        "places": _flat(table.xy_m, 2),
        "planned": list(table.planned),
        "choice": table.choice.tolist(),
        "outfits": [
            {
                "lens": outfit.lens.name,
                "focal": list(outfit.lens.focal_mm),
                "mm": [outfit.mode.width_mm, outfit.mode.height_mm],
                "px": [outfit.mode.width_px, outfit.mode.height_px],
                "reach": [full_reach(match, outfit.mode, wish) for wish in wishes],  # for each camera
            }
            for outfit in outfits
        ],
        "rows": [
            {
                "xyz": [round(v, 3) for v in (s.spot.x_m, s.spot.y_m, s.spot.z_m)],
                "outfit": outfits.index(s.outfit),
                "words": place_words(s.spot, match, units=units),
            }
            for s in table.stations
        ],
        "targets": {
            "moment": _packed(table.targets.moment.astype(np.uint8)),
            "weight": _packed(table.targets.weight.astype("<f4")),
            "quality": _letters(table.quality),
            "seen": _letters(table.seen),
        },
        "cells": _cells(match, table, mesh),
        "dots": _flat(spread_dots(stretch.coverage_map.mesh, n=N_DOTS), 1),
    }


def _cells(match: Match, table: WhatIf, mesh: Mesh) -> dict[str, Any]:
    """Places of the ground: where, what it is worth, what happens most there, and what each row gets of it."""
    order = np.lexsort((mesh.targets.weight, mesh.cell))
    top = np.zeros(len(mesh.worth), dtype=np.uint8)
    top[mesh.cell[order]] = mesh.targets.moment[order]  # the weightiest comes last and stays
    index = np.round(mesh.xy_m / mesh.step_m - 0.5).astype(int)
    quality, seen = mesh_means(match, table, mesh)
    return {
        "step": mesh.step_m,
        "at": index.ravel().tolist(),
        "worth": _packed(mesh.worth.astype("<f4")),
        "moment": _packed(top),
        "quality": _bytes(quality),
        "seen": _bytes(seen),
    }


def _piece(piece: Any) -> list[Any]:
    return [piece.style, int(isinstance(piece, Wire)), _flat(piece.xyz_m, 3)]


def _flat(values: Floats, digits: int) -> list[float]:
    return [float(v) for v in np.asarray(values, float).round(digits).ravel() + 0.0]


def _letters(quality: NDArray[Any]) -> str:
    """Shares in steps of 1/63, a letter of base64 each."""
    letters = _LETTERS[np.round(np.clip(quality, 0.0, 1.0) * 63).astype(np.intp)]
    return bytes(letters.tobytes()).decode("ascii")


def _bytes(quality: NDArray[Any]) -> str:
    return _packed(np.round(np.clip(quality, 0.0, 1.0) * 255).astype(np.uint8))


def _packed(values: NDArray[Any]) -> str:
    return base64.b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")
