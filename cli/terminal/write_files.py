"""Write results so that a folder never holds half a file and nothing is overwritten unasked."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from standmark.cli.terminal.interrupt import put_off
from standmark.cli.terminal.unfinished import HalfSetError, left_behind, one_set
from standmark.geometry.errors import OutputError

NO_HARD_LINKS = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}


def write_all(folder: Path, contents: Mapping[str, bytes], *, force: bool, stale: Iterable[str] = ()) -> list[Path]:
    """Write several files into a folder, which is made if need be.

    Every file goes to a temporary name beside its place first; only when all are on the disk do they get their
    names, the first of `contents` last: where that file stands, the set is whole. Without `force` no existing file
    is touched, even if it appears meanwhile. A set that a killed run left unfinished is replaced in any case.
    Interrupts are looked for between two files; once files get their names, all of them do.

    Parameters
    ----------
    stale : names of files that go when all others are in place, where `contents` does not hold them: parts of
        an earlier result that this one replaces; only with `force`

    Raises
    ------
    OutputError : a file exists (without force), the folder cannot be made or written, or another run writes there
    """
    _refuse_taken(folder, contents, force=force)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"{folder}: cannot be created ({error.strerror}); give a folder that can be written"
        ) from error
    with put_off() as look:
        if len(contents) == 1:
            return _write_set(folder, contents, look, force=force, stale=stale)
        with one_set(folder, contents) as left:
            return _write_set(folder, contents, look, force=force, stale=stale, left=left)


def _write_set(
    folder: Path,
    contents: Mapping[str, bytes],
    look: Callable[[], None],
    *,
    force: bool,
    stale: Iterable[str],
    left: frozenset[str] = frozenset(),
) -> list[Path]:
    parts: dict[Path, Path] = {}
    named: list[Path] = []
    try:
        for name, content in contents.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            parts[folder / name] = _write_part(folder / name, [content], look)
        look()
        first, *others = parts
        if others and (force or first.name in left):
            first.unlink(missing_ok=True)
        for path in (*others, first):
            _name_part(parts[path], path, force=force or path.name in left)
            named.append(path)
        for name in set(stale) - set(contents) if force else ():
            (folder / name).unlink(missing_ok=True)
        return list(parts)
    except OSError as error:
        message = f"{folder}: cannot be written ({error.strerror})"
        if force and named:
            raise HalfSetError(f"{message}; some files are new and some old, run the same command again") from error
        _sweep(named)
        raise OutputError(message) from error
    except OutputError:
        _sweep(named)
        raise
    finally:
        _sweep(parts.values())


def write_one(path: Path, content: bytes, *, force: bool) -> Path:
    """Write one file in the same careful way."""
    return write_all(path.parent, {path.name: content}, force=force)[0]


def write_chunks(path: Path, chunks: Iterable[bytes], *, force: bool) -> Path:
    """Write one file piece by piece, in the same careful way: for what is too large to hold at once."""
    with put_off() as look:
        part = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part = _write_part(path, chunks, look)
            return _name_part(part, path, force=force)
        except OSError as error:
            raise OutputError(f"{path}: cannot be written ({error.strerror})") from error
        finally:
            _sweep([part] if part else [])


def check_free(folder: Path, names: list[str], *, force: bool, inputs: Iterable[Path] = ()) -> None:
    """Refuse early, before any computing, what `write_all` would refuse at the end, and to write over what is read.

    Parameters
    ----------
    inputs : files that are read; not even with `force` does a result take their place

    Raises
    ------
    OutputError : a file exists (without force) or is read, the folder is a file, or it cannot be written
    """
    for path in (folder / name for name in names):
        if any(_is_same(path, read) for read in inputs):
            raise OutputError(f"{path}: is what is read, and would be lost; give the result another name")
    _refuse_taken(folder, names, force=force)
    parent = folder
    while not os.path.lexists(parent) and parent != parent.parent:
        parent = parent.parent
    if not parent.is_dir():
        raise OutputError(f"{parent}: is not a folder; give a folder that can be written with --out")
    if not os.access(parent, os.W_OK | os.X_OK):
        raise OutputError(f"{parent}: cannot be written; give a folder that can be written with --out")


def _is_same(path: Path, other: Path) -> bool:
    try:
        return path.samefile(other)
    except (OSError, ValueError):  # one of them is not there
        return False


def _refuse_taken(folder: Path, names: Iterable[str], *, force: bool) -> None:
    taken = [name for name in names if os.path.lexists(folder / name)]
    if taken and not force and (kept := set(taken) - left_behind(folder)):
        first = next(name for name in taken if name in kept)
        raise OutputError(f"{folder / first}: already exists; --force replaces it, or name another place with --out")


def _sweep(paths: Iterable[Path]) -> None:
    """Remove what is left, as far as that can be done; what cannot be removed is swept by the next run."""
    for path in paths:
        with suppress(OSError):
            path.unlink()


def _write_part(path: Path, chunks: Iterable[bytes], look: Callable[[], None]) -> Path:
    part = path.parent / f".{path.name}.{secrets.token_hex(4)}.part"
    with open(part, "xb", opener=_opened) as file:  # refuses what is there, and links
        try:
            for chunk in chunks:
                look()
                file.write(chunk)
            file.flush()
            os.fsync(file.fileno())
        except BaseException:
            _sweep([part])
            raise
    return part


def _opened(name: str, flags: int) -> int:
    return os.open(name, flags, 0o666)


def _name_part(part: Path, path: Path, *, force: bool) -> Path:
    if force:
        os.replace(part, path)
        return path
    try:
        os.link(part, path)  # refuses to overwrite, unlike rename
    except FileExistsError as error:
        raise OutputError(f"{path}: already exists; --force replaces it") from error
    except OSError as error:
        if error.errno not in NO_HARD_LINKS:
            raise
        _name_without_link(part, path)
    return path


def _name_without_link(part: Path, path: Path) -> None:
    """Name a file where the file system knows no hard links (memory cards, some shares): take the name, then fill it.

    Raises
    ------
    OutputError : the name is taken
    """
    try:
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
    except FileExistsError as error:
        raise OutputError(f"{path}: already exists; --force replaces it") from error
    os.replace(part, path)
