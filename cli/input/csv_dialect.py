"""How a CSV file is written: comma, semicolon, tab or bar between columns; decimals with a point or a comma."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from standmark.geometry.errors import InputError
from standmark.sports.toml.as_written import encoding_of
from standmark.sports.toml.regular_file import open_regular

SEPARATORS = (";", "\t", "|")  # a header with one of these has no commas between its columns
SAVE_AS = "save it as CSV in UTF-8 (in a spreadsheet: Save as, CSV UTF-8)"


@contextmanager
def opened_table(path: Path) -> Iterator[IO[str]]:
    """Open a CSV file in UTF-8, or in UTF-16 where its first bytes say so.

    Raises
    ------
    InputError : it cannot be read, or is in another encoding
    """
    try:
        raw = open_regular(path)
        encoding = encoding_of(raw.read(2))
        raw.seek(0)
        with io.TextIOWrapper(raw, encoding=encoding, newline="") as stream:
            yield stream
    except UnicodeError as error:
        raise InputError(f"{path}: not UTF-8 text; {SAVE_AS}") from error
    except csv.Error as error:
        raise InputError(f"{path}: {error}; is it a CSV file?") from error
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error})") from error


def separator_of(header: str) -> str:
    """Separator between the columns of a table, by its first line."""
    return next((mark for mark in SEPARATORS if mark in header), ",")


def with_point(word: str, separator: str) -> str:
    """Number with a decimal point, where the separator leaves no doubt that a comma is a decimal one."""
    return word.replace(",", ".") if separator != "," and word.count(",") == 1 and "." not in word else word


def named_columns(stream: IO[str], path: Path, *, needed: Sequence[str], purpose: str) -> tuple[list[str], str]:
    """Read the header of a table: names of its columns in lower case, and the separator.

    Parameters
    ----------
    purpose : what is said after a missing column: "a walk needs ..."

    Raises
    ------
    InputError : a needed column is missing
    """
    first = stream.readline()
    separator = separator_of(first)
    names = [name.strip().lower() for name in next(csv.reader([first], delimiter=separator), [])]
    names = ["x_m" if name == "x" else "y_m" if name == "y" else name for name in names]
    for missing in needed:
        if missing not in names:
            raise InputError(f'{path}, row 1: column "{missing}" is missing; {purpose}')
    return names, separator
