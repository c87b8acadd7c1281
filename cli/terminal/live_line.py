"""One line on a terminal that tells what is going on and is gone when it is done."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO

from standmark.cli.terminal.interrupt import let_it_be_caught

ERASE = "\r\x1b[K"


@contextmanager
def live_line(stream: TextIO, *, quiet: bool = False) -> Iterator[Callable[[str], None] | None]:
    """Give a function that shows its text on one line, over the last one; None where nobody is watching.

    Parameters
    ----------
    stream : usually standard error; nothing is shown unless it is a terminal
    """
    if quiet or not stream.isatty():
        yield None
        return

    let_it_be_caught()

    def tell(text: str) -> None:
        stream.write(ERASE + text[:100])
        stream.flush()

    try:
        yield tell
    finally:
        stream.write(ERASE)
        stream.flush()
