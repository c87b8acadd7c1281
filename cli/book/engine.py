"""Many jobs on the cores of this machine, or on those that a scheduler has; the same path for both.

A worker that dies takes down the whole pool of a machine: then a new pool is made, what was under way is done one
job at a time, the job that kills its worker again is named, and the rest goes on.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from contextlib import ExitStack
from dataclasses import dataclass
from multiprocessing.connection import wait as wait_for_handles
from typing import Generic, TypeVar

from standmark.cli.terminal.interrupt import held_back, let_it_be_caught
from standmark.geometry.errors import InputError, StandmarkError

AHEAD = 2  # jobs handed out for each worker: enough to keep it busy, few enough to keep memory flat
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
GARBAGE = 50_000  # new objects in a worker before it looks for circles among them
MORE_ROOM = "close other programs or give --jobs 1, and run the same command again"
DIED = f"its worker died twice, killed or out of memory; {MORE_ROOM}"
NO_MEMORY = f"not enough memory; {MORE_ROOM}"
ANSWER_S = 10  # how long a scheduler may take to answer


Job = TypeVar("Job")


@dataclass(frozen=True)
class JobOutcome(Generic[Job]):
    """What became of a job."""

    job: Job
    content: bytes | None  # None: the worker failed
    reason: str = ""


OnDone = Callable[[JobOutcome[Job]], None]
Work = Callable[[Job], bytes]


Hired = tuple[Executor, Callable[[bool], None]]  # workers, and how to let them go: at once, or when they are done


class Crew:
    """Workers that are hired when the first job is there, and replaced when they die."""

    def __init__(self, hire: Callable[[], Hired], n: int) -> None:
        self.hire, self.n = hire, n
        self.present: Hired | None = None

    def __enter__(self) -> Crew:
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        self.dismiss(at_once=kind is not None)

    def executor(self) -> Executor:
        """Workers that are there now."""
        if self.present is None:
            self.present = self.hire()
        return self.present[0]

    def dismiss(self, *, at_once: bool = False) -> None:
        """Let them go; the next job hires others."""
        if self.present is not None:
            let_go = self.present[1]
            self.present = None
            let_go(at_once)


def run_jobs(jobs: Iterator[Job], work: Work[Job], crew: Crew, *, on_done: OnDone[Job]) -> None:
    """Do every job; results are handed over as they come, whatever their order.

    Parameters
    ----------
    work : does one job in a worker; a function of a module, as it is sent there by name
    on_done : called in this process, once for each job
    """
    let_it_be_caught()  # workers have to be let go
    suspects: list[Job] = []
    is_finished = False
    while not is_finished:
        while suspects:
            job = suspects.pop(0)
            if _run_window(iter([job]), work, crew, 1, on_done):
                crew.dismiss()
                on_done(JobOutcome(job, None, DIED))
        suspects = _run_window(jobs, work, crew, AHEAD * crew.n, on_done)
        is_finished = not suspects
        if suspects:
            crew.dismiss()


def _run_window(jobs: Iterator[Job], work: Work[Job], crew: Crew, width: int, on_done: OnDone[Job]) -> list[Job]:
    """Do jobs with at most `width` under way; returns those that were under way when the pool broke."""
    under_way: dict[Future[bytes], Job] = {}
    suspects: list[Job] = []
    while not suspects:
        while len(under_way) < width and (job := next(jobs, None)) is not None:
            try:
                with held_back():  # it may start a process
                    under_way[crew.executor().submit(work, job)] = job
            except BrokenExecutor:
                suspects.append(job)
                break
        if not under_way:
            break
        done, _ = wait(under_way, return_when=FIRST_COMPLETED)
        suspects += [job for future in done if not _settle(future, job := under_way.pop(future), on_done)]
    return suspects + [job for future, job in under_way.items() if not _settle(future, job, on_done)]


def _settle(future: Future[bytes], job: Job, on_done: OnDone[Job]) -> bool:
    """Hand over what a job came to; False if the pool broke under it."""
    try:
        outcome = JobOutcome(job, future.result())
    except BrokenExecutor:
        return False
    except CancelledError as error:
        raise InputError(
            "the connection to the scheduler was lost; finished work is kept, run the same command again"
        ) from error
    except StandmarkError:
        raise
    except MemoryError:
        outcome = JobOutcome(job, None, NO_MEMORY)
    except Exception as error:
        is_dead = type(error).__name__ == "KilledWorker"
        reason = DIED if is_dead else f"a bug in standmark, please report it: {type(error).__name__}: {error}"
        outcome = JobOutcome(job, None, reason)
    on_done(outcome)
    return True


def local_crew(n: int) -> Crew:
    """Processes of this machine, started afresh: a fork of a process with threads is not safe."""

    def hire() -> Hired:
        """Start the processes; gives the pool and how to end it."""
        settings = ExitStack()
        _set_environment(settings, ONE_THREAD)
        others = multiprocessing.active_children()
        pool = ProcessPoolExecutor(n, mp_context=multiprocessing.get_context("spawn"), initializer=_end_with_parent)

        def let_go(at_once: bool) -> None:
            """End the processes, at once or after what they have begun."""
            for process in multiprocessing.active_children() if at_once else ():
                if process not in others:
                    process.terminate()
            pool.shutdown(wait=True, cancel_futures=True)
            settings.close()

        return pool, let_go

    return Crew(hire, n)


def cluster_crew(address: str, stack: ExitStack) -> Crew:
    """Workers of a Dask scheduler that runs already, on any number of machines.

    Parameters
    ----------
    stack : closes the connection

    Raises
    ------
    InputError : the extra is not installed, nobody answers at the address, or there is no worker
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise InputError('--scheduler needs the extra: pip install "standmark[cluster]"') from error
    try:
        client = stack.enter_context(Client(address, timeout=ANSWER_S))
        n = sum(client.nthreads().values())
    except (OSError, ValueError) as error:
        raise InputError(f"--scheduler {address}: no answer; start one: dask scheduler") from error
    if n == 0:
        raise InputError(f"--scheduler {address}: has no workers yet; start some: dask worker {address}")
    return Crew(lambda: (client.get_executor(), lambda at_once: None), n)


def all_cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _set_environment(stack: ExitStack, settings: dict[str, str]) -> None:
    """Set variables that processes started meanwhile inherit: one process a core, one thread in each."""
    for name, value in settings.items():
        before = os.environ.get(name)
        os.environ[name] = value
        if before is None:
            stack.callback(os.environ.pop, name, None)
        else:
            stack.callback(os.environ.__setitem__, name, before)


def _end_with_parent() -> None:
    """Leave the terminal's interrupt to the parent, and do not outlive it when it is killed.

    Rubbish is looked for less often than Python does: the work leaves few circles behind.
    """
    gc.set_threshold(GARBAGE)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_leave_after, args=(parent.sentinel,), daemon=True).start()


def _leave_after(sentinel: int) -> None:
    wait_for_handles([sentinel])
    os._exit(1)
