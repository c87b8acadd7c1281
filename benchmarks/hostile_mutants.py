"""Spoiled files of every kind, read in processes that are watched, for `hostile.py`.

What a reader may do: read the file, or refuse it in plain words, within its time and memory. A reader that never comes
back, even to Python, is ended from outside, and the file that it hung on is kept.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import resource
import signal
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from multiprocessing.connection import Connection
from pathlib import Path

from hostile_inputs import Kind, spoiled_bytes, spoiled_structure
from hostile_kinds import kinds

from standmark.geometry.errors import StandmarkError

MOST_S = 2.0  # of processor time
HUNG_S = 20.0  # by the clock, on a machine that does other work
MOST_BYTES = 600 << 20  # above what the program itself takes
BATCH = 500
Failure = tuple[str, str, bytes]  # words, file name, content
Spoil = Callable[[Kind, random.Random], bytes]


class TooSlowError(BaseException):
    """One input took longer than allowed; no Exception, which a library might swallow."""


def mutants(
    part: str, n: int, end: float, *, seed: int, only: frozenset[str] = frozenset()
) -> Iterator[tuple[int, float, list[Failure]]]:
    """Read spoiled files of every kind; whatever is neither read nor refused in plain words fails.

    Parameters
    ----------
    part : "bytes" or "structured"
    end : of `time.monotonic`
    only : names of kinds; empty for all

    Yields
    ------
    how many were tried, the slowest [s], and what failed
    """
    spoil = spoiled_structure if part == "structured" else spoiled_bytes
    every = [kind for kind in kinds() if not only or kind.name in only]
    tried = batch = 0
    while tried < n and time.monotonic() < end:
        kind, own, size = every[batch % len(every)], seed * 1_000_003 + batch, min(BATCH, n - tried)
        yield size, *_watched(kind, own, size, spoil)
        tried, batch = tried + size, batch + 1


def _watched(kind: Kind, seed: int, size: int, spoil: Spoil) -> tuple[float, list[Failure]]:
    """Read a batch in a process of its own, and go on after a file that ended or hung it."""
    context = multiprocessing.get_context("fork")  # the child has the kinds: it plans nothing
    slowest, failures, first = 0.0, [], 0
    while first < size:
        receives, sends = context.Pipe(duplex=False)
        process = context.Process(target=_batch, args=(kind, seed, (first, size), spoil, sends))
        process.start()
        sends.close()
        at, is_done = first, False
        try:
            while not is_done and receives.poll(HUNG_S):
                message = receives.recv()
                if isinstance(message, int):
                    at = message
                elif isinstance(message, float):
                    slowest, is_done = max(slowest, message), True
                else:
                    failures.append(message)
            why = "no answer"
        except EOFError:
            why = "the process died"
        process.kill()
        process.join()
        if not is_done:
            failures.append((f"{kind.name}, seed {seed}, {at}: {why}", kind.file, _spoiled(kind, seed, at, spoil)))
        first = size if is_done else at + 1
    return slowest, failures


def _spoiled(kind: Kind, seed: int, number: int, spoil: Spoil) -> bytes:
    rng = random.Random(f"{seed} {number}")
    return spoil(kind, rng)


def _batch(kind: Kind, seed: int, numbers: tuple[int, int], spoil: Spoil, sends: Connection) -> None:
    """Read some spoiled files of one kind with a limit of memory; says which it is at, what failed, and the slowest."""
    used = int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGESIZE")
    resource.setrlimit(resource.RLIMIT_AS, (used + MOST_BYTES, used + MOST_BYTES))
    signal.signal(signal.SIGPROF, _too_slow)
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, kind.file)
        for number in range(*numbers):
            sends.send(number)
            content = _spoiled(kind, seed, number, spoil)
            path.write_bytes(content)
            begin = time.process_time()
            signal.setitimer(signal.ITIMER_PROF, MOST_S)
            where = f"{kind.name}, seed {seed}, {number}"
            try:
                kind.read(path)
            except StandmarkError as error:
                if not is_plain(str(error)):
                    sends.send((f"{where}: not plain: {str(error)[:200]!r}", kind.file, content))
            except BaseException:
                why = traceback.format_exc().strip().splitlines()
                sends.send((f"{where}: {why[-1][:200]} ({why[-2].strip()[:120]})", kind.file, content))
            finally:
                signal.setitimer(signal.ITIMER_PROF, 0.0)
            slowest = max(slowest, time.process_time() - begin)
    sends.send(slowest)


def _too_slow(*_: object) -> None:
    raise TooSlowError(f"over {MOST_S:g} s")


def is_plain(words: str) -> bool:
    """Is a message something, not endless, without empty lines and control characters."""
    is_full = bool(words.strip()) and len(words) < 10_000 and all(line.strip() for line in words.splitlines())
    return is_full and not any(c < " " and c != "\n" for c in words)
