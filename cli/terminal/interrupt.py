"""Ctrl-C and SIGTERM: while the program loads it leaves at once; later, files are put in order on the way out.

An interrupt that is raised inside an import may be swallowed by the library that is being imported, or make Python
end by the signal although it was caught; so nothing is raised before there is something to put in order.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType

INTERRUPTED, TERMINATED = 130, 143  # exit codes: 128 and the number of the signal, as shells say it
SIGNALS = signal.SIGINT, signal.SIGTERM
WORDS = "standmark: stopped\n"


class TerminatedError(KeyboardInterrupt):
    """Somebody asked the program to end (SIGTERM); it is put in order as after Ctrl-C."""


def leave_at_once() -> None:
    """From now on an interrupt ends the program: nothing was begun that has to be put in order."""
    for number in SIGNALS:
        signal.signal(number, _leave)


def let_it_be_caught() -> None:
    """From now on an interrupt is an exception: a line on the terminal or workers have to be put in order."""
    for number in SIGNALS:
        if signal.getsignal(number) is _leave:
            signal.signal(number, signal.default_int_handler if number == signal.SIGINT else _raise_terminated)


@contextmanager
def put_off() -> Iterator[Callable[[], None]]:
    """Put interrupts off until the end; gives a function that ends the work early if one has come."""
    came: list[int] = []

    def look() -> None:
        """Raise KeyboardInterrupt if an interrupt has come."""
        if came:
            raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield look  # no other thread is ever interrupted
        return
    handlers = {number: signal.getsignal(number) for number in SIGNALS}
    try:
        for number in SIGNALS:
            signal.signal(number, lambda number, _: came.append(number))
        yield look
    finally:
        for number, handler in handlers.items():
            signal.signal(number, handler)
        if came:
            signal.raise_signal(came[0])


@contextmanager
def held_back() -> Iterator[None]:
    """Put an interrupt off; processes that are started meanwhile never see Ctrl-C, whatever they are at."""
    from multiprocessing import resource_tracker

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    resource_tracker.ensure_running()  # it lifts the block when it starts
    with put_off():
        mask = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})  # which processes inherit
        try:
            yield
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, mask)


def leave(code: int) -> None:
    """End the program with an exit code at once, whatever other threads are at: all is in order.

    Python itself would wait for some threads, and end others in the midst of libraries that then abort.
    """
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):
            stream.flush()
    os._exit(code)


def forget() -> None:
    """From now on interrupts change nothing: all is done, or said.

    Python ends by the signal if one ever reached a text that was being executed, as dataclasses do, although it was
    caught; executing another makes it forget that.
    """
    for number in SIGNALS:
        signal.signal(number, signal.SIG_IGN)
    exec("")


def _leave(number: int, frame: FrameType | None) -> None:
    os.write(sys.__stderr__.fileno() if sys.__stderr__ is not None else 2, WORDS.encode())
    os._exit(128 + number)


def _raise_terminated(number: int, frame: FrameType | None) -> None:
    raise TerminatedError
