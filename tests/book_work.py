"""Work that test jobs do in worker processes: it must be importable there by name."""

import os
import signal
import time
from pathlib import Path


def double(number):
    return str(2 * number).encode()


def fail_on_odd(number):
    if number == 1:
        raise MemoryError
    if number % 2:
        raise ValueError(f"odd {number}")
    return b"even"


def die_on_seven(number):
    if number == 7:
        os.kill(os.getpid(), signal.SIGKILL)
    time.sleep(0.01)
    return str(number).encode()


def die_once(job):
    """Kill the worker the first time, as an out-of-memory killer that found a bad moment would."""
    mark = Path(job)
    if not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return b"done"


def process_id(_):
    time.sleep(0.2)
    return str(os.getpid()).encode()
