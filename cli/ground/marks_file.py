"""Marks of a photograph: which point of the playing area, and where in the picture."""

from __future__ import annotations

import csv
from itertools import chain
from pathlib import Path

import numpy as np

from standmark.cli.ground.landmarks import Point3, landmark
from standmark.cli.input.csv_dialect import opened_table, separator_of, with_point
from standmark.geometry.arrays import Floats
from standmark.geometry.errors import InputError, shown

MOST_ROWS = 200
LONGEST_ROW = 4096
FORM = "mark,x,y: the name of a mark, pixels from the left and from the top"


def read_marks(
    path: Path, known: dict[str, Point3], side_names: dict[str, str], size_px: tuple[int, int]
) -> tuple[list[str], Floats, Floats]:
    """Names, places in the pitch frame (n, 3) and pixels (n, 2) of the marks of a file.

    Raises
    ------
    InputError : with the row: a mark that is not known or given twice, no number, or outside the picture
    """
    names: list[str] = []
    places: list[Point3] = []
    pixels: list[tuple[float, float]] = []
    with opened_table(path) as stream:
        first = stream.readline(LONGEST_ROW)
        separator = separator_of(first)
        try:
            for number, row in enumerate(csv.reader(chain([first], stream), delimiter=separator), start=1):
                where = f"{path}, row {number}"
                cells = [cell.strip() for cell in row]
                if not any(cells) or (number == 1 and cells[0].lower() == "mark"):
                    continue
                if len(cells) != 3 or number > MOST_ROWS:
                    raise InputError(f"{where}: {len(cells)} columns; each row is {FORM}")
                try:
                    place = landmark(cells[0], known, side_names)
                    at = (float(with_point(cells[1], separator)), float(with_point(cells[2], separator)))
                except ValueError:
                    wrong = shown(", ".join(cells[1:]))
                    raise InputError(f'{where}: "{wrong}" are not pixels; each row is {FORM}') from None
                except InputError as error:
                    raise InputError(f"{where}: {error}") from None
                if not (0 <= at[0] <= size_px[0] and 0 <= at[1] <= size_px[1]):
                    raise InputError(
                        f"{where}: {at[0]:g}, {at[1]:g} is outside the {size_px[0]} x {size_px[1]} picture"
                    )
                if place in places:
                    raise InputError(f'{where}: "{shown(cells[0])}" is marked twice')
                names.append(cells[0])
                places.append(place)
                pixels.append(at)
        except csv.Error as error:
            raise InputError(f"{path}: {error}; is it a CSV file?") from error
    return names, np.array(places, float).reshape(-1, 3), np.array(pixels, float).reshape(-1, 2)
