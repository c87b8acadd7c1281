"""A photograph on the page: what its file says, and from which place its marked points are seen where they are."""

from __future__ import annotations

import base64
import binascii
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from standmark.cli.ground.doubts import doubtful_mark, is_guess
from standmark.cli.ground.landmarks import landmarks
from standmark.cli.ground.photo import read_photo
from standmark.cli.words.naming import walk_words
from standmark.geometry.errors import InputError, shown
from standmark.geometry.fit.pose import pose_from_marks
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import Spot

Mark = tuple[str, float, float]  # name of a point, pixels from the left and from the top


def photo_data(in_base64: str) -> dict[str, Any]:
    """Size and focal length that a photograph's file says; the start of the file will do where they stand there.

    Raises
    ------
    InputError : no photograph
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "photo")
        try:
            path.write_bytes(base64.b64decode(in_base64, validate=True))
            photo = read_photo(path)
        except (binascii.Error, ValueError, InputError) as error:
            raise InputError("This page can't read this photo. Use JPEG, PNG or WebP.") from error
    return {"size_px": list(photo.size_px), "equivalent_mm": photo.equivalent_mm}


def spot_data(
    match: Match | None, marks: Sequence[Mark], *, size_px: tuple[int, int], equivalent_mm: float | None
) -> dict[str, Any]:
    """Find where a photograph was taken.

    Parameters
    ----------
    match : that is open
    marks : points of its ground, and where they are in the photograph [px]
    size_px : of the photograph as it is looked at
    equivalent_mm : focal length as on a full frame; None: found from the marks

    Returns
    -------
    place `at_m` with its standard errors `se_m`, where that is in words, how far off the marks are, and what is
    doubtful

    Raises
    ------
    InputError : no match, an unknown point, one outside the photograph, too few points or all in one line
    """
    if match is None:
        raise InputError("Pick a sport first.")
    known = landmarks(match.sport.area, match.venue.side_names)
    for name, u_px, v_px in marks:
        if name not in known:
            raise InputError(f'This ground has no point called "{shown(name)}" now. Take it away and choose it again.')
        if not (0 <= u_px <= size_px[0] and 0 <= v_px <= size_px[1]):
            raise InputError(f'"{shown(name)}" is outside the photo. Mark it again.')
    names = [name for name, *_ in marks]
    xyz_m = np.array([known[name] for name in names], float).reshape(-1, 3)
    uv_px = np.array([at for _, *at in marks], float).reshape(-1, 2)
    pose = pose_from_marks(xyz_m, uv_px, size_px=size_px, equivalent_mm=equivalent_mm)
    x, y, z = pose.view.xyz_m
    return {
        "at_m": [round(value, 2) for value in pose.view.xyz_m],
        "se_m": [round(value, 3) for value in pose.xyz_se_m],
        "where": walk_words(Spot("", x, y, z, ""), match),
        "equivalent_mm": round(pose.equivalent_mm, 1),
        "focal_se_mm": round(pose.equivalent_mm * pose.focal_se_share, 1),
        "miss_px": round(float(np.median(pose.miss_px)), 1),
        "doubtful": doubtful_mark(pose, names),
        "is_guess": is_guess(pose),
    }
