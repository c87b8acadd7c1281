"""What the page of `open` sends, for `hostile.py`: changes, maps, photographs and points marked in them."""

from __future__ import annotations

import base64
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from hostile_inputs import Kind
from PIL import Image

from standmark.cli.ground.landmarks import landmarks
from standmark.cli.open.bodies import ChangeBody, ImportBody, PhotoBody, SpotBody, read_body
from standmark.cli.open.bring import brought
from standmark.cli.open.document import edited
from standmark.cli.open.parts import EditError, marked
from standmark.cli.open.photo import photo_data, spot_data
from standmark.cli.open.refused import FaultError
from standmark.geometry.errors import InputError
from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.optics.projection import project, view_toward
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.read_match import default_match

CHANGE = {
    "page": "p1", "base": 3, "what": "goal", "more": False,
    "edits": [
        {"do": "put", "part": "venue", "field": "length_m", "value": 23.5},
        {"do": "put", "part": "allowed:1", "field": "polygon", "value": [[20, 0], [24, 0], [24, 6]]},
        {"do": "add", "part": "camera", "value": {"name": "B", "lenses": ["70-200/2.8"]}},
        {"do": "drop", "part": "obstacle:2"},
    ],
}  # fmt: skip
PICTURES = {"jpg": "JPEG", "png": "PNG", "webp": "WEBP", "tif": "TIFF", "mpo": "MPO"}  # all that a photograph may be
EXIF_PART, EQUIVALENT_MM, ORIENTATION = 0x8769, 0xA405, 0x0112  # EXIF 2.32 (CIPA DC-008)


def page_kinds(match_text: str, map_bytes: bytes) -> Iterator[Kind]:
    """Every kind of request with a body that says much, and every kind of photograph.

    Parameters
    ----------
    match_text : a match file that the changes are made in
    map_bytes : a map as GeoJSON
    """

    def changed(path: Path) -> object:
        """Make the edits that a request asks for."""
        body = read_body(path.read_bytes(), ChangeBody)
        try:
            return edited(marked(match_text), [edit.edit() for edit in body.edits])
        except EditError as error:
            raise InputError(str(error)) from error

    tennis, football, whole = default_match("tennis"), default_match("football"), picture_bytes("PNG")
    map_body = {"base": 3, "page": "p1", "name": "map.geojson", "base64": _in_base64(map_bytes)}
    yield Kind("request", "change.json", _written(CHANGE), changed)
    yield Kind("import", "import.json", _written(map_body), lambda path: _brought(path, football))
    yield Kind("photo", "photo.json", _written({"base64": _in_base64(whole)}), _photo_asked)
    yield Kind("spot", "spot.json", _written(_spot_body(tennis)), lambda path: _spot_asked(path, tennis))
    for ending, form in PICTURES.items():
        yield Kind(f"photo {ending}", f"seat.{ending}", picture_bytes(form), _looked_at)


def picture_bytes(form: str) -> bytes:
    """A small picture of a form, that says how it was taken."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif.get_ifd(EXIF_PART)[EQUIVALENT_MM] = 26
    stream = io.BytesIO()
    Image.radial_gradient("L").resize((64, 48)).save(stream, form, exif=exif)
    return stream.getvalue()


def _spot_body(match: Match) -> dict[str, Any]:
    """Points of the ground as a photograph from a seat shows them."""
    mode = RecordingMode("photo", 36.0, 27.0, 2000, 1500)
    view = view_toward((3.0, -24.0, 6.0), (0.0, 0.0, 0.0), focal_mm=26.0, mode=mode)
    known = landmarks(match.sport.area, match.venue.side_names)
    uv_px = project(view, np.array(list(known.values())))
    marks = [[name, *map(float, at)] for name, at in zip(known, uv_px.round(1), strict=True)]
    inside = [mark for mark in marks if 0 <= mark[1] <= 2000 and 0 <= mark[2] <= 1500]
    return {"size_px": [2000, 1500], "equivalent_mm": None, "marks": inside[::2]}


def _spot_asked(path: Path, match: Match) -> object:
    body = read_body(path.read_bytes(), SpotBody)
    return spot_data(match, body.marks, size_px=body.size_px, equivalent_mm=body.equivalent_mm)


def _photo_asked(path: Path) -> object:
    return photo_data(read_body(path.read_bytes(), PhotoBody).base64)


def _looked_at(path: Path) -> object:
    return photo_data(_in_base64(path.read_bytes()))


def _brought(path: Path, match: Match) -> object:
    body = read_body(path.read_bytes(), ImportBody)
    try:
        return brought(body.name, body.base64, match)
    except FaultError as error:
        raise InputError("; ".join(fault.words for fault in error.faults)) from error


def _in_base64(raw: bytes) -> str:
    return base64.b64encode(raw).decode("ascii")


def _written(body: dict[str, Any]) -> bytes:
    return json.dumps(body, indent=1).encode("utf-8")
