"""A note in a folder while a set of files is written: if the program is killed, the next run knows and tidies up."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from standmark.geometry.errors import OutputError

NOTE = ".standmark-unfinished"
MOST_BYTES = 1 << 16


class HalfSetError(OutputError):
    """Some files of a set have taken the place of older ones, others have not."""


@contextmanager
def one_set(folder: Path, names: Iterable[str]) -> Iterator[frozenset[str]]:
    """Note that a set is being written, and take the note away unless half of it is left.

    Yields
    ------
    names of an earlier set that was left unfinished: they may be replaced

    Raises
    ------
    OutputError : another run is writing a set here, or the note cannot be written
    """
    try:
        handle = os.open(folder / NOTE, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o666)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written ({error.strerror})") from error
    try:
        if not _locked(handle, folder / NOTE):
            raise OutputError(f"{folder}: another run is writing here; wait for it, or give another folder with --out")
        try:
            left = _names_in(os.read(handle, MOST_BYTES))
            for name in left:
                for part in (folder / name).parent.glob(f".{Path(name).name}.*.part"):
                    part.unlink(missing_ok=True)
            _write_names(handle, left | set(names))
        except OSError as error:
            raise OutputError(f"{folder}: cannot be written ({error.strerror})") from error
        is_half = False
        try:
            yield left
        except HalfSetError:
            is_half = True
            raise
        finally:
            if not is_half:
                _take_away(folder)
    finally:
        os.close(handle)


def _take_away(folder: Path) -> None:
    try:
        os.unlink(folder / NOTE)
    except OSError as error:
        raise OutputError(
            f"{folder / NOTE}: cannot be removed ({error.strerror}); run the same command again"
        ) from error


def left_behind(folder: Path) -> frozenset[str]:
    """Names of a set that a killed run left unfinished in a folder; none while a run is still at it."""
    try:
        handle = os.open(folder / NOTE, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    except OSError:
        return frozenset()
    try:
        return _names_in(os.read(handle, MOST_BYTES)) if _locked(handle, folder / NOTE) else frozenset()
    finally:
        os.close(handle)


def _locked(handle: int, path: Path) -> bool:
    """Take the note's lock, which the system lets go of however a program ends; True where there are no locks.

    A note that another run has taken away since it was opened gives no right to write.
    """
    try:
        import fcntl
    except ImportError:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path, follow_symlinks=False))
    except OSError:
        return False


def _names_in(content: bytes) -> frozenset[str]:
    try:
        names = json.loads(content)
    except (ValueError, RecursionError):
        return frozenset()
    plain = [n for n in names if isinstance(n, str)] if isinstance(names, list) else []
    return frozenset(n for n in plain if n and "\0" not in n and ".." not in n.split("/") and not n.startswith("/"))


def _write_names(handle: int, names: Iterable[str]) -> None:
    os.ftruncate(handle, 0)
    os.pwrite(handle, json.dumps(sorted(names)).encode(), 0)
    os.fsync(handle)
