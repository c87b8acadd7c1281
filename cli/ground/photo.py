"""A photograph's size and focal length, as the camera wrote them down; the picture itself is not looked at."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path

from standmark.geometry.errors import InputError
from standmark.sports.toml.regular_file import open_regular

FORMS = ("JPEG", "PNG", "TIFF", "WEBP", "MPO")
TURNED = (5, 6, 7, 8)  # values of EXIF Orientation that lay a picture on its side
ORIENTATION, EXIF_PART, EQUIVALENT_MM = 0x0112, 0x8769, 0xA405  # tags of EXIF 2.32 (CIPA DC-008)


@dataclass(frozen=True)
class Photo:
    """What a file says of its picture."""

    size_px: tuple[int, int]  # width and height as it is looked at, turned upright
    equivalent_mm: float | None  # focal length as on a full frame


def read_photo(path: Path) -> Photo:
    """Read the size and the focal length of a photograph.

    Raises
    ------
    InputError : it cannot be read, or is no photograph
    """
    from PIL import Image

    with open_regular(path) as stream, warnings.catch_warnings(action="ignore"):  # of tags that are damaged
        try:
            with Image.open(stream, formats=FORMS) as picture:
                width, height = picture.size
                exif = picture.getexif()
                orientation = exif.get(ORIENTATION, 1)
                equivalent = exif.get_ifd(EXIF_PART).get(EQUIVALENT_MM)
        except Exception as error:  # a broken file may fail in many ways inside its decoder
            raise InputError(f"{path}: not a photograph that can be read; allowed: JPEG, PNG, TIFF, WebP") from error
    if not (16 <= width <= 100_000 and 16 <= height <= 100_000):
        raise InputError(f"{path}: {width} x {height} pixels is not a photograph")
    size = (height, width) if orientation in TURNED else (width, height)
    try:
        focal = float(equivalent) if equivalent is not None else 0.0
    except (TypeError, ValueError, ZeroDivisionError):
        focal = 0.0
    return Photo(size, focal if 4 <= focal <= 3000 else None)
