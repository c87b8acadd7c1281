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
from typing import Any

from hostile_inputs import Kind, spoiled_bytes, spoiled_structure
from hostile_kinds import kinds

from standmark.geometry.errors import StandmarkError

MOST_S = 2.0  # of processor time
HUNG_S = 20.0  # by the clock, on a machine that does other work
LOOK_S = 0.5  # how often it is looked whether a process gets on
MOST_BYTES = 600 << 20  # above what the program itself takes
BATCH = 500
BY_HAND, FAVOURED = ("match", "sport"), 3
Failure = tuple[str, str, bytes]  # words, file name, content
Spoil = Callable[[Kind, random.Random], bytes]


class TooSlowError(BaseException):
    """One input took longer than allowed; no Exception, which a library might swallow."""


def mutants(
    part: str, n: int, end: float, *, seed: int, only: frozenset[str] = frozenset()
) -> Iterator[tuple[str, int, float, list[Failure]]]:
    """Read spoiled files of every kind; whatever is neither read nor refused in plain words fails.

    Every kind gets the same time, the files that most people write by hand FAVOURED times as much.

    Parameters
    ----------
    part : "bytes" or "structured"
    end : of `time.monotonic`
    only : names of kinds; empty for all

    Yields
    ------
    name of the kind, how many were tried, the slowest [s], and what failed
    """
    spoil = spoiled_structure if part == "structured" else spoiled_bytes
    every = {kind.name: kind for kind in kinds() if not only or kind.name in only}
    spent_s, batches, tried = dict.fromkeys(every, 0.0), dict.fromkeys(every, 0), 0
    while tried < n and time.monotonic() < end:
        name = min(every, key=lambda name: (spent_s[name] / (FAVOURED if name in BY_HAND else 1), batches[name]))
        size, begin = min(BATCH, n - tried), os.times()
        yield name, size, *_watched(every[name], f"{seed} {batches[name]}", size, spoil)
        spent_s[name] += sum(os.times()[:4]) - sum(begin[:4])
        tried, batches[name] = tried + size, batches[name] + 1


def _watched(kind: Kind, seed: str, size: int, spoil: Spoil) -> tuple[float, list[Failure]]:
    """Read a batch in a process of its own, and go on after a file that ended or hung it."""
    context = multiprocessing.get_context("fork")  # the child has the kinds: it plans nothing
    slowest, failures, first = 0.0, [], 0
    while first < size:
        (receives, sends), at = context.Pipe(duplex=False), context.RawValue("i", first)
        process = context.Process(target=_batch, args=(kind, seed, size, spoil, at, sends))
        process.start()
        sends.close()
        is_done, why = False, "no answer"
        seen, since = first, time.monotonic()
        try:
            while not is_done and time.monotonic() < since + HUNG_S:
                if receives.poll(LOOK_S):
                    message = receives.recv()
                    if isinstance(message, float):
                        slowest, is_done = max(slowest, message), True
                    else:
                        failures.append(message)
                if at.value != seen:
                    seen, since = at.value, time.monotonic()
        except EOFError:
            why = "the process died"
        process.kill()
        process.join()
        if not is_done:
            where = f"{kind.name}, seed {seed}, {at.value}"
            failures.append((f"{where}: {why}", kind.file, _spoiled(kind, seed, at.value, spoil)))
        first = size if is_done else at.value + 1
    return slowest, failures


def _spoiled(kind: Kind, seed: str, number: int, spoil: Spoil) -> bytes:
    rng = random.Random(f"{seed} {number}")
    return spoil(kind, rng)


def _batch(kind: Kind, seed: str, size: int, spoil: Spoil, at: Any, sends: Connection) -> None:
    """Read some spoiled files of one kind with a limit of memory; says which it is at, what failed, and the slowest.

    Parameters
    ----------
    at : number of the first, and then of the one that is read
    """
    used = int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGESIZE")
    resource.setrlimit(resource.RLIMIT_AS, (used + MOST_BYTES, used + MOST_BYTES))
    signal.signal(signal.SIGPROF, _too_slow)
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, kind.file)
        for number in range(at.value, size):
            at.value = number
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
