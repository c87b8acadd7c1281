"""Results on disk, one file each, named by what they were made from: what is there is whole and not made again."""

from __future__ import annotations

import errno
import os
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from zipfile import BadZipFile, ZipFile

from standmark.cli.terminal.write_files import write_one
from standmark.geometry.errors import OutputError

WORKSHOP = ".standmark-book"  # folder inside the book: lock and results
LOCK, RESULTS = "lock", "results"
PART = ".part"
MOST_UNPACKED_BYTES = 64 << 20  # of one result; ours are a few hundred kilobytes
DAMAGES = BadZipFile, OSError, zlib.error, NotImplementedError, RuntimeError, ValueError  # of an archive

Check = Callable[[str, dict[str, bytes]], bool]  # key, files by name -> are they what they should be


class Store:
    """The results of one book."""

    def __init__(self, book: Path) -> None:
        self.folder = book / WORKSHOP / RESULTS

    def has(self, key: str) -> bool:
        """Is the result there."""
        return self._path(key).is_file()

    def put(self, key: str, content: bytes) -> None:
        """Keep a result; it gets its name only when it is whole and on the disk."""
        write_one(self._path(key), content, force=True)

    def take_over(self, other: Store, keys: Iterable[str], *, is_sound: Check) -> None:
        """Copy sound results that another book has already: a ground that did not change is not done again."""
        for key in keys:
            if not self.has(key) and other.has(key) and other.is_sound(key, is_sound):
                self.put(key, other._path(key).read_bytes())

    def drop_damaged(self, keys: Iterable[str], *, is_sound: Check) -> None:
        """Delete results that are not what was written: they are made again."""
        for key in keys:
            if self.has(key) and not self.is_sound(key, is_sound):
                self._path(key).unlink()

    def files(self, key: str, *names: str) -> dict[str, bytes]:
        """Unpack those of some files that a result holds.

        Raises
        ------
        OutputError : it was damaged after it was written
        """
        try:
            with ZipFile(self._path(key)) as packed:
                there = set(packed.namelist())
                return {name: packed.read(name) for name in names if name in there}
        except DAMAGES as error:
            raise OutputError(f"{self._path(key)}: damaged; delete it and run the same command again") from error

    def file(self, key: str, name: str) -> bytes:
        """Unpack one file of a result.

        Raises
        ------
        OutputError : the result was damaged after it was written
        """
        files = self.files(key, name)
        if name not in files:
            raise OutputError(f"{self._path(key)}: damaged; delete it and run the same command again")
        return files[name]

    def sweep(self, keep: set[str]) -> None:
        """Delete results that nothing in the book comes from any more."""
        for path in self.folder.rglob("*"):
            if path.is_file() and path.stem not in keep:
                path.unlink(missing_ok=True)
        for folder in self.folder.glob("*"):
            if folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()

    def is_sound(self, key: str, check: Check) -> bool:
        """Whether a result is whole, and holds what a check expects of the one with this key."""
        try:
            with ZipFile(self._path(key)) as packed:
                if sum(entry.file_size for entry in packed.infolist()) > MOST_UNPACKED_BYTES:
                    return False
                return check(key, {name: packed.read(name) for name in packed.namelist()})
        except DAMAGES:
            return False

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / f"{key}.zip"


def refuse_links(book: Path) -> None:
    """Refuse to write through a link inside the book to somewhere else.

    Raises
    ------
    OutputError : a folder of the book, or its lock, is a link
    """
    results = book / WORKSHOP / RESULTS
    for path in (book / "grounds", book / WORKSHOP, book / WORKSHOP / LOCK, results, *results.glob("*")):
        if path.is_symlink():
            raise OutputError(f"{path}: is a link; delete it: a book writes only inside its own folder")


@contextmanager
def sole_writer(book: Path) -> Iterator[None]:
    """Hold the book's lock; the system lets go of it however the program ends.

    Raises
    ------
    OutputError : another run holds it, or the folder cannot be written
    """
    import fcntl

    workshop = book / WORKSHOP
    try:
        workshop.mkdir(parents=True, exist_ok=True)
        handle = os.open(workshop / LOCK, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o666)
    except OSError as error:
        raise OutputError(f"{book}: cannot be written ({error.strerror}); give another one with --out") from error
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            if error.errno not in (errno.EWOULDBLOCK, errno.EACCES):
                raise OutputError(f"{book}: cannot be locked ({error.strerror}); use a local folder") from error
            raise OutputError(
                f"{book}: another run is writing this book; wait for it, or give another folder with --out"
            ) from error
        yield
    finally:
        os.close(handle)


def sweep_parts(book: Path) -> None:
    """Delete what a killed run left half written; only the sole writer may."""
    for path in [*book.glob(f".*{PART}"), *book.glob(f"*/.*{PART}"), *(book / WORKSHOP).rglob(f".*{PART}")]:
        path.unlink(missing_ok=True)
