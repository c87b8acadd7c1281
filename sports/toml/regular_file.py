"""Files that people name: only plain files are read, and no more of them than a stated size."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import BinaryIO

from standmark.geometry.errors import InputError


def open_regular(path: Path) -> BinaryIO:
    """Open a plain file for reading; a pipe, a device or a socket could keep the program waiting for ever.

    Raises
    ------
    InputError
        When it cannot be opened, or is something else than a plain file.
    """
    try:
        stream = os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)), "rb")
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        raise InputError(f"{path}: cannot be read ({getattr(error, 'strerror', None) or error})") from error
    if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode):
        stream.close()
        raise InputError(f"{path}: not a plain file; give a file on a disk")
    return stream


def read_at_most(path: Path, *, most_bytes: int, size_words: str) -> bytes:
    """Read a plain file of at most `most_bytes`.

    Parameters
    ----------
    size_words : how the limit is said: "1 MiB; a file for this tool is a few kilobytes"

    Raises
    ------
    InputError
        When it cannot be read, is no plain file, or is larger.
    """
    with open_regular(path) as stream:
        try:
            raw = stream.read(most_bytes + 1)
        except OSError as error:
            raise InputError(f"{path}: cannot be read ({error.strerror or error})") from error
    if len(raw) > most_bytes:
        raise InputError(f"{path}: larger than {size_words}")
    return raw
