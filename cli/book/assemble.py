"""From results to the book: tables, pages for a browser, pages for print, and the record that says it is whole."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from standmark.cli.book.bind import bind_book, front_pages, volume_names
from standmark.cli.book.contents import Contents, Failure, IndexLine, RoleTally, line_of
from standmark.cli.book.editions import SCHEMA, Edition, EditionChange, Present, gone_grounds, ground_changes
from standmark.cli.book.engine import Crew
from standmark.cli.book.filmed import FilmedFrom, PositionLogs, position_logs, read_logs
from standmark.cli.book.inline_svg import inline_svg
from standmark.cli.book.job import PLAN, REASON, RECORD
from standmark.cli.book.picture_file import read_pictures
from standmark.cli.book.progress import Progress
from standmark.cli.book.record_types import (
    GroundRecord,
    StandardLabel,
)
from standmark.cli.book.site import LeagueLogs, changes_page, ground_page, index_page
from standmark.cli.book.store import Store
from standmark.cli.book.tables import csv_chunks, geojson_chunks
from standmark.cli.exports.spreadsheet import csv_rows
from standmark.cli.sheet.paper import Paper
from standmark.cli.terminal.write_files import write_chunks, write_one
from standmark.cli.words.plain_data import document_bytes
from standmark.cli.words.units import Units
from standmark.geometry.errors import InputError
from standmark.optimizer.standard.standard import Standard

OWN_NAMES = re.compile(r"[a-z][a-z0-9]{2,}\.(html|json)|book(-\d+)?\.pdf|changes\.(html|csv)")
CHANGE_COLUMNS = ("code", "kind", "moved_m", "words", "reasons")


@dataclass(frozen=True)
class Coded:
    """A ground with its code, its file and the name of its result."""

    code: str
    path: str
    key: str


@dataclass(frozen=True)
class BookToAssemble:
    """What is to be assembled."""

    out: Path
    standard: Standard
    standard_text: str
    grounds: tuple[Coded, ...]  # in the order of codes
    failures: tuple[Failure, ...]  # files that never became a job, and jobs whose worker failed
    edition: Edition | None
    digest: str
    program: str
    paper: Paper
    units: Units
    logs: Path | None = None  # folder with what was filmed


def assemble(task: BookToAssemble, store: Store, crew: Crew, progress: Progress) -> tuple[Contents, int]:
    """Write every file of the book; `book.json` goes first and comes last, so that it stands for a whole book.

    Returns
    -------
    the contents, and the number of changes since the earlier edition
    """
    out = task.out
    (out / "book.json").unlink(missing_ok=True)
    book = read_contents(task, store)
    names = volume_names(len(book.lines))
    since = None if task.edition is None else task.edition.name
    filmed, faults = ((), ()) if task.logs is None else read_logs(task.logs)
    positions = _write_grounds(task, book, store, progress, filmed)
    write_chunks(out / "positions.csv", csv_chunks(records(book, store)), force=True)
    write_chunks(out / "positions.geojson", geojson_chunks(records(book, store)), force=True)
    write_one(out / "standard.toml", task.standard_text.encode("utf-8"), force=True)
    n_changes = _write_changes(task, book, store) if since is not None else 0
    changes = (change for change, _ in all_changes(task, book, store))
    front = front_pages(book, changes, since=since, paper=task.paper, units=task.units)
    earlier = None if task.edition is None else Store(task.edition.folder)
    kept: set[str] = set()
    volumes = bind_book(book, front, store, crew, progress, program=task.program, paper=task.paper, earlier=earlier)
    for name, content, keys in volumes:
        write_one(out / name, content, force=True)
        kept |= set(keys)
    league = None if task.logs is None else LeagueLogs(positions, faults)
    write_one(
        out / "index.html", index_page(book, volumes=names, since=since, units=task.units, filmed=league), force=True
    )
    _sweep(out, book, names, has_changes=since is not None)
    store.sweep(kept | {ground.key for ground in task.grounds})
    write_one(out / "book.json", _book_record(task, book, n_changes), force=True)
    return book, n_changes


def read_contents(task: BookToAssemble, store: Store) -> Contents:
    """Outline the book from its results."""
    lines: list[IndexLine] = []
    failures = list(task.failures)
    tally = RoleTally()
    for ground in task.grounds:
        files = store.files(ground.key, RECORD, REASON)
        if REASON in files:
            failures.append(Failure(ground.path, files[REASON].decode("utf-8")))
            continue
        record = json.loads(files[RECORD])
        tally.add(record)
        lines.append(line_of(record, ground.key))
    failures.sort(key=lambda failure: failure.path)
    return Contents(task.standard, tuple(lines), tuple(failures), tally.roles(task.standard))


def records(book: Contents, store: Store) -> Iterator[GroundRecord]:
    """Records of all grounds, one after the other."""
    for line in book.lines:
        yield json.loads(store.file(line.key, RECORD))


def all_changes(task: BookToAssemble, book: Contents, store: Store) -> Iterator[tuple[EditionChange, str | None]]:
    """Everything that changed since the earlier edition, each with the name of its ground's page."""
    if task.edition is None:
        return
    for line, record in zip(book.lines, records(book, store), strict=True):
        for change in _changes_of(task, record):
            yield change, line.file
    codes = {line.path: line.code for line in book.lines}
    for change in gone_grounds(task.edition, codes, {failure.path for failure in book.failures}):
        yield change, None


def _changes_of(task: BookToAssemble, record: GroundRecord) -> list[EditionChange]:
    if task.edition is None:
        return []
    old = task.edition.record(record["code"])
    present = Present(task.standard, task.program, task.units)
    try:
        return list(ground_changes(old, record, task.edition, present))
    except (ValueError, LookupError, TypeError, AttributeError) as error:
        raise InputError(
            f"{task.edition.folder / 'grounds'}: the record of {record['code']} is damaged; restore it from a copy"
        ) from error


def _write_grounds(
    task: BookToAssemble, book: Contents, store: Store, progress: Progress, filmed: Sequence[FilmedFrom]
) -> tuple[PositionLogs, ...]:
    """Write page and record of every ground; gives what was filmed from all positions."""
    positions: list[PositionLogs] = []
    progress.begin("pages", len(book.lines))
    neighbours = [None, *book.lines, None]
    for index, line in enumerate(book.lines):
        files = store.files(line.key, RECORD, PLAN)
        record = json.loads(files[RECORD]) | {"standard": _label(task)}
        logs = position_logs(record, filmed)
        positions += logs.values()
        page = ground_page(
            record,
            inline_svg(read_pictures(files[PLAN])[0]),
            before=neighbours[index],
            after=neighbours[index + 2],
            changes=_changes_of(task, record),
            since=None if task.edition is None else task.edition.name,
            units=task.units,
            logs=logs,
        )
        write_one(task.out / "grounds" / f"{line.file}.json", document_bytes(record), force=True)
        write_one(task.out / "grounds" / f"{line.file}.html", page, force=True)
        progress.step()
    return tuple(positions)


def _write_changes(task: BookToAssemble, book: Contents, store: Store) -> int:
    assert task.edition is not None, "only a book with an earlier edition has changes"
    page = changes_page(all_changes(task, book, store), since=task.edition.name)
    write_chunks(task.out / "changes.html", page, force=True)
    count = 0

    def rows() -> Iterator[bytes]:
        """Lines of the table, counted as they are written."""
        nonlocal count
        yield csv_rows([CHANGE_COLUMNS])
        for change, _ in all_changes(task, book, store):
            count += 1
            moved = None if change.moved_m is None else round(change.moved_m, 3)
            yield csv_rows([(change.code, change.kind, moved, change.words, "; ".join(change.reasons))])

    write_chunks(task.out / "changes.csv", rows(), force=True)
    return count


def _sweep(out: Path, book: Contents, volumes: list[str], *, has_changes: bool) -> None:
    """Delete files that an earlier book of standmark left and this one does not have."""
    here = {f"{line.file}.{ending}" for line in book.lines for ending in ("html", "json")}
    here |= {*volumes, *(("changes.html", "changes.csv") if has_changes else ())}
    for path in [*(out / "grounds").glob("*"), *out.glob("book*.pdf"), *out.glob("changes.*")]:
        if path.name not in here and OWN_NAMES.fullmatch(path.name) and path.is_file():
            path.unlink()


def _book_record(task: BookToAssemble, book: Contents, n_changes: int) -> bytes:
    data = {
        "schema": SCHEMA,
        "standard": _label(task),
        "since": None if task.edition is None else task.edition.name,
        "changes": n_changes,
        "grounds": len(book.lines),
        "positions": book.n_positions,
        "short_grounds": book.n_short_grounds,
        "failed": [{"path": f.path, "reason": f.reason} for f in book.failures],
        "roles": [
            {"code": r.code, "name": r.name, "grounds": r.n_grounds, "filled": r.n_filled, "met": r.n_met}
            for r in book.roles
        ],
        "digest": task.digest,
        "program": task.program,
    }
    return document_bytes(data)


def _label(task: BookToAssemble) -> StandardLabel:
    """Return name and edition of the standard, which no result holds."""
    return {"name": task.standard.name, "edition": task.standard.edition}
