"""DXF drawings, with the extra `dxf`: plane coordinates, the layer of a thing is its name."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from standmark.cli.ground.map_file import MapFeature, MapFile, ShapeKind, plain_name, too_many
from standmark.geometry.arrays import Floats
from standmark.geometry.errors import InputError
from standmark.sports.toml.length import FOOT_M

if TYPE_CHECKING:
    from ezdxf.document import Drawing

UNITS_M = {"m": 1.0, "ft": FOOT_M, "yd": 3 * FOOT_M, "in": FOOT_M / 12, "cm": 0.01, "mm": 0.001}
HEADER_UNITS = {"1": "in", "2": "ft", "4": "mm", "5": "cm", "6": "m", "10": "yd"}  # $INSUNITS in the DXF reference
CURVE_M = 0.05  # chords follow a curve this near,
CURVE_SHARE = 1e-5  # or, where it is larger than any ground, within this share of its size
JOINS_M = 0.01  # ends of lines that lie nearer are one corner
FARTHEST_M = 1e8  # from the origin of a drawing; no grid of surveyors reaches further
KINDS = "LINE LWPOLYLINE POLYLINE CIRCLE ELLIPSE ARC SPLINE POINT"


def read_dxf(raw: bytes, *, file: str, unit: str | None) -> MapFile:
    """Read lines, polylines, curves and points of the model space; lines that meet in a ring are an area.

    Parameters
    ----------
    unit : of the drawing; None: as its header says

    Raises
    ------
    InputError : the extra is not installed, not a sound drawing, or of no known unit
    """
    document = _document(raw, file)
    unit = unit or HEADER_UNITS.get(str(document.header.get("$INSUNITS")).strip())
    if unit is None:
        raise InputError(f"{file}: the drawing does not say its unit; add --unit m (or {', '.join(list(UNITS_M)[1:])})")
    features: list[MapFeature] = []
    try:
        for where, layer, kind, line in _shapes(document, UNITS_M[unit]):
            features.append(MapFeature(where, plain_name(layer), kind, (line,), {"name": plain_name(layer)}))
            too_many(features, file)
    except InputError:
        raise
    except Exception as error:  # a damaged drawing may fail in any of its parts
        raise InputError(f"{file}: the drawing is damaged ({plain_name(error)}); save it again as DXF") from error
    notes = (f"the drawing is taken to be in {unit}",)
    return MapFile(file, "DXF", tuple(features), "", notes, is_drawing=True)


def _document(raw: bytes, file: str) -> Drawing:
    """Read a sound drawing in half the time that one out of order takes; refuse numbers that had to be guessed."""
    try:
        from ezdxf import filemanagement, recover
    except ImportError:
        raise InputError(f'{file}: a DXF drawing needs an extra: pip install "standmark[dxf]"') from None
    guesses = _Guesses()
    log = logging.getLogger("ezdxf")
    log.addHandler(guesses)  # which also keeps its warnings off the terminal
    try:
        try:
            about = filemanagement.dxf_stream_info(io.StringIO(raw.decode("latin-1")))
            return filemanagement.read(io.StringIO(raw.decode(about.encoding)))
        except Exception:  # out of order, or damaged
            document, _ = recover.read(io.BytesIO(raw))
    except Exception as error:  # the reader raises many kinds for damaged files
        raise InputError(f"{file}: not a complete DXF drawing ({plain_name(error)}); save it again as DXF") from error
    finally:
        log.removeHandler(guesses)
    if guesses.first:
        raise InputError(f"{file}: the drawing is damaged ({plain_name(guesses.first)}); save it again as DXF")
    return document


class _Guesses(logging.Handler):
    """Keeps the first number that the reader of damaged drawings guessed; a guessed corner would be a wrong ground."""

    first = ""

    def emit(self, record: logging.LogRecord) -> None:
        words = record.getMessage()
        if not self.first and words.startswith("recovered invalid"):
            self.first = words.removeprefix("recovered ")


def _shapes(document: Drawing, scale_m: float) -> Iterator[tuple[str, str, ShapeKind, Floats]]:
    """Place in the drawing, layer, kind and points [m] of everything; loose lines of a layer joined to areas."""
    loose: dict[str, list[Floats]] = {}
    for number, entity in enumerate(document.modelspace().query(KINDS), start=1):
        layer, where = str(entity.dxf.layer), f"entity {number}"
        if entity.dxftype() == "POINT":
            yield where, layer, "point", np.array([[entity.dxf.location.x, entity.dxf.location.y]]) * scale_m
            continue
        line = _line(entity, scale_m)
        if len(line) < 2 or not (np.abs(line) < FARTHEST_M).all():
            continue
        if len(line) >= 4 and np.hypot(*(line[0] - line[-1])) < JOINS_M:
            line[-1] = line[0]
            yield where, layer, "area", line
        else:
            loose.setdefault(layer, []).append(line)
    for layer, lines in loose.items():
        yield from _joined(layer, lines)


def _line(entity: Any, scale_m: float) -> Floats:
    """Points along an entity [m], curves as chords."""
    from ezdxf.path import make_path

    if entity.dxftype() == "LINE":
        ends = [(p.x, p.y) for p in (entity.dxf.start, entity.dxf.end)]
        return np.array(ends, float) * scale_m
    if entity.dxftype() == "LWPOLYLINE" and not entity.has_arc:
        corners = np.array(entity.get_points("xy"), float).reshape(-1, 2) * scale_m
        return np.concatenate([corners, corners[:1]]) if entity.closed else corners
    path = make_path(entity)
    held_m = np.array([(p.x, p.y) for p in path.control_vertices()], float).reshape(-1, 2) * scale_m
    if not len(held_m) or not (np.abs(held_m) < FARTHEST_M).all():
        return held_m  # left aside; chords of a curve without end would never end
    near_m = max(CURVE_M, CURVE_SHARE * float(np.ptp(held_m, axis=0).max()))
    points = [(p.x, p.y) for p in path.flattening(near_m / scale_m)]
    return np.array(points, float).reshape(-1, 2) * scale_m


def _joined(layer: str, lines: list[Floats]) -> Iterator[tuple[str, str, ShapeKind, Floats]]:
    """Areas that the lines of a layer enclose; where they enclose none, the lines themselves."""
    origin = lines[0][0]
    snapped = [shapely.LineString(np.round((line - origin) / JOINS_M) * JOINS_M) for line in lines]
    enclosed = list(shapely.get_parts(shapely.polygonize(snapped)))
    for number, area in enumerate(enclosed, start=1):
        yield f"layer {layer}, area {number}", layer, "area", shapely.get_coordinates(area.exterior) + origin
    if not enclosed:
        for number, line in enumerate(lines, start=1):
            yield f"layer {layer}, line {number}", layer, "line", line
