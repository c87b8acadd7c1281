"""Ctrl-C: while the program loads it leaves at once; from the first work on, files are put in order on the way out.

An interrupt that is raised inside an import may be swallowed by the library that is being imported, or make Python
end by the signal although it was caught; so nothing is raised before there is something to put in order.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

INTERRUPTED = 130  # exit code: 128 and the number of the signal, as shells say it
WORDS = "standmark: stopped\n"


def leave_at_once() -> None:
    """From now on an interrupt ends the program: nothing was begun that has to be put in order."""
    signal.signal(signal.SIGINT, _leave)


def let_it_be_caught() -> None:
    """From now on an interrupt is an exception: a file, a line on the terminal or workers have to be put in order."""
    if signal.getsignal(signal.SIGINT) is _leave:
        signal.signal(signal.SIGINT, signal.default_int_handler)


@contextmanager
def held_back() -> Iterator[None]:
    """Put an interrupt off; processes that are started meanwhile never see one, whatever they are at."""
    from multiprocessing import resource_tracker

    if threading.current_thread() is not threading.main_thread():
        yield  # no other thread is ever interrupted
        return
    resource_tracker.ensure_running()  # it lifts the block when it starts
    came: list[int] = []
    handler = signal.signal(signal.SIGINT, lambda number, _: came.append(number))  # other threads may still get it
    mask = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})  # which processes inherit
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, mask)
        signal.signal(signal.SIGINT, handler)
    if came:
        signal.raise_signal(signal.SIGINT)


def forget() -> None:
    """From now on interrupts change nothing: all is done, or said.

    Python ends by the signal if one ever reached a text that was being executed, as dataclasses do, although it was
    caught; executing another makes it forget that.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    exec("")


def _leave(number: int, frame: FrameType | None) -> None:
    os.write(sys.__stderr__.fileno() if sys.__stderr__ is not None else 2, WORDS.encode())
    os._exit(INTERRUPTED)
