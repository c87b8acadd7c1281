"""Every file operation of a plan and of a book fails in turn, for `hostile.py`; yields as `hostile_runs.py` does."""

from __future__ import annotations

import errno
import os
import random
import shutil
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from unittest import mock

from hostile_outputs import files_of, folder_of_its_own, small_match
from hostile_runs import GROUND, STANDARD, differ

from standmark.cli.book.make import Made, Order, make_book
from standmark.cli.commands.results import write_plan
from standmark.cli.terminal.write_files import write_all
from standmark.geometry.errors import InputError, OutputError
from standmark.optimizer.planning import plan

OPERATIONS = "open", "write", "fsync", "link", "rename", "replace", "mkdir", "unlink", "rmdir", "scandir", "listdir"
CODES = errno.ENOSPC, errno.EIO, errno.EACCES


def refused_operations(n: int, rng: random.Random, end: float) -> Iterator[str]:
    """Let one file operation after the other fail, of a plan and then of a book, until both get through."""
    del rng
    yield from _refused_by_plan(n, end)
    yield from refused_by_book(range(n), CODES, end)


def _refused_by_plan(n: int, end: float) -> Iterator[str]:
    """Let one file operation after the other fail while a plan replaces an older one, until it gets through."""
    old, new = (plan(small_match(title), advice="none") for title in ("Old", "New"))
    with folder_of_its_own() as folder:
        write_plan(old, folder / "old")
        write_plan(new, folder / "new")
        before, after = files_of(folder / "old"), files_of(folder / "new")
        contents = {"plan.json": after["plan.json"], **after}
        for number in range(n):
            if time.monotonic() > end:
                return
            for code in CODES:
                out = folder / "out"
                shutil.rmtree(out, ignore_errors=True)
                shutil.copytree(folder / "old", out)
                work = partial(write_all, out, contents, force=True)
                calls, came = _with_one_failing(work, number, code)
                if calls <= number:
                    yield f"note: all {number} operations of a plan refused in turn"
                    return
                yield _verdict(came, before, after, out, f"operation {number} ({errno.errorcode[code]})")


def _with_one_failing(work: Callable[[], object], number: int, code: int) -> tuple[int, object]:
    """Do some work with one failing file operation; gives the operations there were, and the result or error."""
    calls = 0

    def failing(real: Callable[..., object]) -> Callable[..., object]:
        def call(*args: object, **more: object) -> object:
            nonlocal calls
            calls += 1
            if calls == number + 1:
                raise OSError(code, os.strerror(code), args[0] if isinstance(args[0], str | os.PathLike) else None)
            return real(*args, **more)

        return call

    with mock.patch.multiple(os, **{name: failing(getattr(os, name)) for name in OPERATIONS}):
        try:
            came = work()
        except BaseException as error:
            came = error
    return calls, came


def _verdict(came: object, before: dict[str, bytes], after: dict[str, bytes], out: Path, what: str) -> str:
    there = {name: content for name, content in files_of(out).items() if not name.startswith(".")}
    if isinstance(came, BaseException) and not isinstance(came, OutputError):
        return f"{what}: {came!r}"
    if not isinstance(came, BaseException) and there != after:
        return f"{what}: no error, but the set is not whole: {differ(there, after)}"
    if any(content not in (before.get(name), after.get(name)) for name, content in there.items()):
        return f"{what}: a file is neither old nor new"
    if "plan.json" in there and there not in (before, after) and "some files are new" not in str(came):
        return f"{what}: plan.json stands beside files of another plan: {differ(there, after)}"
    return ""


def refused_by_book(numbers: Iterable[int], codes: Sequence[int], end: float) -> Iterator[str]:
    """Let one operation after the other fail while a book is made whose grounds are done; then go on with it."""
    with folder_of_its_own() as folder:
        (folder / "in").mkdir()
        (folder / "standard.toml").write_text(STANDARD)
        for index in range(2):
            (folder / f"in/g{index}.toml").write_text(GROUND.format(index=index))
        out = folder / "out"
        make = partial(make_book, Order(folder / "in", out, standard=folder / "standard.toml", quiet=True))
        make()
        whole = files_of(out)
        done = {name: content for name, content in whole.items() if name.startswith(".standmark-book/results/")}
        for number in numbers:
            if time.monotonic() > end:
                return
            for code in codes:
                shutil.rmtree(out)
                _put(out, done)
                calls, came = _with_one_failing(make, number, code)
                if calls <= number:
                    yield f"note: all {calls} operations of a book refused in turn"
                    return
                what = f"book, operation {number} ({errno.errorcode[code]})"
                if isinstance(came, Made) and came.failures:  # a ground could not be read: a book without it
                    shutil.rmtree(out)
                yield _book_verdict(came, whole, out, make, what)


def _put(folder: Path, contents: dict[str, bytes]) -> None:
    for name, content in contents.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)


def _book_verdict(came: object, whole: dict[str, bytes], out: Path, make: Callable[[], object], what: str) -> str:
    there = {name: content for name, content in files_of(out).items() if not name.startswith(".")}
    if isinstance(came, BaseException) and not isinstance(came, OutputError | InputError):
        return f"{what}: {came!r}"
    if torn := [name for name, content in there.items() if name in whole and content != whole[name]]:
        return f"{what}: {torn} neither whole nor missing"
    if "book.json" in there and differ(there, {n: c for n, c in whole.items() if not n.startswith(".")}):
        return f"{what}: book.json stands beside a set that is not whole"
    try:
        make()
    except BaseException as again:
        return f"{what}: the same command again: {again!r}"
    left = differ(files_of(out), whole)
    return f"{what}: not the same book after the same command again: {left}" if left else ""
