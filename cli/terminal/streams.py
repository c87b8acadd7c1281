"""Streams that whoever starts the program has closed: they lead nowhere, instead of into the next file opened."""

from __future__ import annotations

import os
import sys


def fill_closed_streams() -> None:
    """Let standard input, output and error that are closed lead to the null device."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest free number, which is this one
    if sys.stdout is None:
        sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
    if sys.stderr is None:
        sys.stderr = os.fdopen(2, "w", encoding="utf-8", closefd=False)
