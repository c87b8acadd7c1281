"""Write results so that a folder never holds half a file and nothing is overwritten unasked."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from standmark.cli.terminal.interrupt import let_it_be_caught
from standmark.geometry.errors import OutputError


def write_all(folder: Path, contents: Mapping[str, bytes], *, force: bool, stale: Iterable[str] = ()) -> list[Path]:
    """Write several files into a folder, which is made if need be.

    Every file goes to a temporary name beside its place first; only when all are on the disk do they
    get their names. Without `force` no existing file is touched, even if it appears meanwhile.

    Parameters
    ----------
    stale : names of files that go when all others are in place, where `contents` does not hold them: parts of
        an earlier result that this one replaces; only with `force`

    Raises
    ------
    OutputError : a file exists (without force), or the folder cannot be made or written
    """
    taken = [folder / name for name in contents if os.path.lexists(folder / name)]
    if taken and not force:
        raise OutputError(f"{taken[0]}: exists already; --force replaces it, or give another folder with --out")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made ({error.strerror}); give a folder that can be written") from error
    parts: list[tuple[Path, Path]] = []
    try:
        for name, content in contents.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            parts.append((_write_part(folder / name, [content]), folder / name))
        written = [_name_part(part, path, force=force) for part, path in parts]
        for name in set(stale) - set(contents) if force else ():
            (folder / name).unlink(missing_ok=True)
        return written
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written ({error.strerror})") from error
    finally:
        for part, _ in parts:
            part.unlink(missing_ok=True)


def write_one(path: Path, content: bytes, *, force: bool) -> Path:
    """Write one file in the same careful way."""
    return write_all(path.parent, {path.name: content}, force=force)[0]


def write_chunks(path: Path, chunks: Iterable[bytes], *, force: bool) -> Path:
    """Write one file piece by piece, in the same careful way: for what is too large to hold at once."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part = _write_part(path, chunks)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error
    try:
        return _name_part(part, path, force=force)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error
    finally:
        part.unlink(missing_ok=True)


def check_free(folder: Path, names: list[str], *, force: bool) -> None:
    """Refuse early, before any computing, what `write_all` would refuse at the end.

    Raises
    ------
    OutputError : a file exists (without force), the folder is a file, or it cannot be written
    """
    taken = [folder / name for name in names if os.path.lexists(folder / name)]
    if taken and not force:
        raise OutputError(f"{taken[0]}: exists already; --force replaces it, or give another folder with --out")
    parent = folder
    while not os.path.lexists(parent) and parent != parent.parent:
        parent = parent.parent
    if not parent.is_dir():
        raise OutputError(f"{parent}: is not a folder; give a folder that can be written with --out")
    if not os.access(parent, os.W_OK | os.X_OK):
        raise OutputError(f"{parent}: cannot be written; give a folder that can be written with --out")


def _write_part(path: Path, chunks: Iterable[bytes]) -> Path:
    let_it_be_caught()
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines(chunks)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o666 & ~_umask())
    except BaseException:
        os.unlink(name)
        raise
    return Path(name)


def _name_part(part: Path, path: Path, *, force: bool) -> Path:
    if force:
        os.replace(part, path)
        return path
    try:
        os.link(part, path)  # refuses to overwrite, unlike rename
    except FileExistsError as error:
        raise OutputError(f"{path}: exists already; --force replaces it") from error
    return path


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
