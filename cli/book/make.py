"""The whole way from a folder of ground files to a book."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from standmark.cli.book.assemble import BookToAssemble, Coded, assemble
from standmark.cli.book.codes import Entry, code_grounds
from standmark.cli.book.contents import Contents, Failure
from standmark.cli.book.editions import CODES_SCHEMA, Edition, read_codes, read_edition
from standmark.cli.book.engine import Crew, JobOutcome, cluster_crew, local_crew, run_jobs
from standmark.cli.book.filmed import logs_digest
from standmark.cli.book.job import (
    Job,
    content_digest,
    do_job,
    is_result_of,
    program_fingerprint,
    result_key,
    standard_terms,
)
from standmark.cli.book.progress import Progress
from standmark.cli.book.store import WORKSHOP, Check, Store, refuse_links, sole_writer, sweep_parts
from standmark.cli.book.tree import GroundFile, Unreadable, ground_paths, read_source
from standmark.cli.sheet.paper import PAPERS
from standmark.cli.terminal.write_files import write_one
from standmark.cli.words.plain_data import document_bytes
from standmark.cli.words.units import Units
from standmark.geometry.errors import InputError, OutputError
from standmark.optimizer.standard.read_standard import read_standard
from standmark.optimizer.standard.standard import Standard

STANDARD_NAME = "standard"  # in what is said of it; the name of its file has no part in a result


@dataclass(frozen=True)
class Order:
    """What somebody asks for."""

    folder: Path
    out: Path
    standard: Path | None = None
    jobs: int = 1
    since: Path | None = None
    scheduler: str | None = None
    force: bool = False
    units: Units = Units.METRIC
    paper: str = "a4"  # or "letter"
    logs: Path | None = None  # folder with logs and their plans
    quiet: bool = False


@dataclass(frozen=True)
class Made:
    """What came of it."""

    contents: Contents | None  # None: the book was up to date already
    n_kept: int  # results that were there from earlier
    n_changes: int
    failures: tuple[Failure, ...]


@dataclass(frozen=True)
class Prepared:
    """A book that is about to be made."""

    order: Order
    standard: Standard
    standard_text: str
    edition: Edition | None
    files: dict[str, Path]  # path inside the tree -> file
    codes: dict[str, str]  # path -> code
    names: dict[str, str]  # path -> name of the venue, "" where its file does not say
    contents: dict[str, str]  # path -> fingerprint of what its file brings along
    failures: tuple[Failure, ...]
    program: str

    def job(self, path: str) -> Job | Failure:
        """Read a ground's file, now, and say what has to be done for it."""
        source = read_source(path, self.files[path], root=self.order.folder)
        if not isinstance(source, GroundFile):
            reason = source.reason if source is not None else f"{path}: changed while the book was being made"
            return Failure(path, reason)
        return Job(
            code=self.codes[path],
            path=path,
            text=source.text,
            has_bearing=source.has_bearing,
            sport_file=source.sport_file,
            standard_name=STANDARD_NAME,
            standard_text=self.standard_text,
            units=self.order.units.value,
            paper=self.order.paper,
            program=self.program,
        )

    def keys(self) -> dict[str, str]:
        """Name of the result of every ground, in the order of paths."""
        terms = (
            STANDARD_NAME,
            standard_terms(self.standard_text),
            self.order.units.value,
            self.order.paper,
            self.program,
        )
        return {path: result_key(self.codes[path], path, self.contents[path], terms) for path in sorted(self.codes)}


def make_book(order: Order) -> Made:
    """Make a book, or go on with one that was interrupted.

    Raises
    ------
    InputError : no ground file, a faulty standard, no earlier edition where one is named, no scheduler
    OutputError : the folder holds something else, is being written by another run, or cannot be read or written
    """
    try:
        return _made(order)
    except BrokenPipeError:  # of whoever reads what is printed
        raise
    except OSError as error:
        what = error.filename or order.out
        raise OutputError(
            f"{what}: cannot be read or written ({error.strerror}); run the same command again"
        ) from error


def _made(order: Order) -> Made:
    check_place(order)
    standard, _, file = read_standard(order.standard)
    edition = None if order.since is None else read_edition(order.since)
    survey = _look_round(order)
    with sole_writer(order.out):
        sweep_parts(order.out)
        known = read_codes(order.out) if edition is None else edition.codes
        prepared = _prepare(order, survey, standard, file.text, edition, known)
        keys = prepared.keys()
        failures = _finished(order, _digest(prepared, keys))
        if failures is not None:
            return Made(None, len(keys), 0, failures)
        _write_codes(prepared, known)
        store, check = Store(order.out), _check_of(prepared, keys)
        store.drop_damaged(keys.values(), is_sound=check)
        if edition is not None:
            store.take_over(Store(edition.folder), keys.values(), is_sound=check)
        n_kept = sum(store.has(key) for key in keys.values())
        with ExitStack() as stack:
            crew = stack.enter_context(_crew(order, stack))
            progress = stack.enter_context(Progress(quiet=order.quiet))
            progress.begin("grounds", len(keys), kept=n_kept)
            lost = _do_all(prepared, keys, store, crew, progress)
            grounds = sorted((Coded(prepared.codes[p], p, k) for p, k in keys.items()), key=lambda ground: ground.code)
            task = BookToAssemble(
                out=order.out,
                standard=standard,
                standard_text=file.text,
                grounds=tuple(ground for ground in grounds if ground.path not in lost),
                failures=(*prepared.failures, *lost.values()),
                edition=edition,
                digest=""
                if lost
                else _digest(prepared, keys),  # a book with lost grounds is made again, not taken for up to date
                program=prepared.program,
                paper=PAPERS[order.paper],
                units=order.units,
                logs=order.logs,
            )
            book, n_changes = assemble(task, store, crew, progress)
        return Made(book, n_kept, n_changes, book.failures)


def check_place(order: Order) -> None:
    """Refuse folders that cannot be read from or written to, before anything is done.

    Raises
    ------
    InputError : there is no such folder to read
    OutputError : the book would lie over the ground files or over something that is not a book
    """
    folder, out = order.folder, order.out
    if not folder.is_dir():
        raise InputError(f"{folder}: is not a folder; give the folder that holds the ground files")
    if out.exists() and not out.is_dir():
        raise OutputError(f"{out}: is a file; give a folder with --out")
    if out.resolve() == folder.resolve():
        raise OutputError(f"{out}: holds the ground files; give another folder with --out")
    if order.logs is not None and not order.logs.is_dir():
        raise InputError(f"--logs {order.logs}: is not a folder; give one with logs (*.csv) and their plan.json")
    if order.since is not None and order.since.resolve() == out.resolve():
        raise InputError(
            f"--since {order.since}: is the book to be written; keep the earlier edition in its own folder"
        )
    is_ours = (out / WORKSHOP).is_dir() and not (out / WORKSHOP).is_symlink()
    if out.is_dir() and not is_ours and any(out.iterdir()) and not order.force:
        raise OutputError(
            f"{out}: holds other files; give an empty or new folder with --out, or --force to write into it"
        )
    refuse_links(out)


@dataclass(frozen=True)
class _Survey:
    """What lies below the folder."""

    files: dict[str, Path]  # path inside the tree -> file
    sources: tuple[GroundFile, ...]  # without their texts: each is read again when it is its turn
    failures: tuple[Failure, ...]
    contents: dict[str, str]  # path -> fingerprint of what its file brings along


def _look_round(order: Order) -> _Survey:
    """Read every ground file once.

    Raises
    ------
    InputError : there is none
    """
    files = dict(ground_paths(order.folder, leave_out=order.out))
    sources: list[GroundFile] = []
    failures: list[Failure] = []
    contents: dict[str, str] = {}
    for path, file in files.items():
        source = read_source(path, file, root=order.folder)
        if isinstance(source, Unreadable):
            failures.append(Failure(path, source.reason))
        elif source is not None:
            contents[path] = content_digest(source.text, source.has_bearing, source.sport_file)
            sources.append(replace(source, text="", sport_file=None))
    if not sources and not failures:
        raise InputError(f"{order.folder}: holds no ground file; a ground file ends in .toml and has a [match] table")
    return _Survey(files, tuple(sources), tuple(failures), contents)


def _prepare(
    order: Order,
    survey: _Survey,
    standard: Standard,
    standard_text: str,
    edition: Edition | None,
    known: tuple[Entry, ...],
) -> Prepared:
    codes, refused = code_grounds(survey.sources, known=known)
    failures = (*survey.failures, *(Failure(path, reason) for path, reason in refused.items()))
    return Prepared(
        order=order,
        standard=standard,
        standard_text=standard_text,
        edition=edition,
        files=survey.files,
        codes=codes,
        names={source.path: source.venue_name for source in survey.sources},
        contents=survey.contents,
        failures=failures,
        program=program_fingerprint(),
    )


def _check_of(prepared: Prepared, keys: dict[str, str]) -> Check:
    """Check that tells a result of this book from one that was damaged or put there by others."""
    path_of = {key: path for path, key in keys.items()}

    def check(key: str, files: dict[str, bytes]) -> bool:
        """Is the result that of the ground with this key."""
        return is_result_of(files, code=prepared.codes[path_of[key]], path=path_of[key])

    return check


def _do_all(
    prepared: Prepared, keys: dict[str, str], store: Store, crew: Crew, progress: Progress
) -> dict[str, Failure]:
    """Do what is not done yet; results go to the store, grounds whose worker failed are given back."""
    lost: dict[str, Failure] = {}

    def missing() -> Iterator[Job]:
        """Jobs whose results are not in the store, one by one."""
        for path, key in list(keys.items()):
            if store.has(key):
                continue
            job = prepared.job(path)
            if isinstance(job, Failure):
                lost[path] = job
                progress.step(failed=True)
            else:
                keys[path] = job.key
                yield job

    def keep(outcome: JobOutcome[Job]) -> None:
        """Put what a job gave into the store, or note that its worker failed."""
        if outcome.content is None:
            lost[outcome.job.path] = Failure(outcome.job.path, f"{outcome.job.path}: {outcome.reason}")
        else:
            store.put(outcome.job.key, outcome.content)
        progress.step(failed=outcome.content is None)

    run_jobs(missing(), do_job, crew, on_done=keep)
    return lost


def _crew(order: Order, stack: ExitStack) -> Crew:
    return local_crew(order.jobs) if order.scheduler is None else cluster_crew(order.scheduler, stack)


def _digest(prepared: Prepared, keys: dict[str, str]) -> str:
    """Fingerprint of everything that the book is made from."""
    edition = "" if prepared.edition is None else prepared.edition.digest
    failures = sorted((f.path, f.reason) for f in prepared.failures)
    form = [prepared.order.units.value, prepared.order.paper, logs_digest(prepared.order.logs)]
    content = json.dumps([sorted(keys.items()), failures, edition, prepared.standard_text, prepared.program, form])
    return hashlib.sha256(content.encode()).hexdigest()


def _finished(order: Order, digest: str) -> tuple[Failure, ...] | None:
    """Files that the very same book could not use, if it is there already; None where it has to be made.

    Raises
    ------
    OutputError : another finished book is there
    """
    path = order.out / "book.json"
    if not os.path.lexists(path):
        return None
    try:
        record = json.loads(path.read_bytes())
        there = record["digest"]
        failures = tuple(Failure(str(entry["path"]), str(entry["reason"])) for entry in record["failed"])
    except (OSError, ValueError, LookupError, TypeError, RecursionError):
        there = None
    if there == digest:
        return failures
    if there != "" and not order.force:
        raise OutputError(
            f"{order.out}: holds a finished book of other content; --force replaces it, or give another folder with "
            f"--out (and --since {order.out} to keep its codes and say what changed)"
        )
    return None


def _write_codes(prepared: Prepared, known: tuple[Entry, ...]) -> None:
    """Write down who has which code, before any of them is used."""
    by_code = sorted(prepared.codes.items(), key=lambda pair: pair[1])
    grounds = [{"code": code, "path": path, "name": prepared.names[path]} for path, code in by_code]
    taken = {entry["code"] for entry in grounds}
    retired = {e.code: {"code": e.code, "path": e.path, "name": e.name} for e in known if e.code not in taken}
    data = {"schema": CODES_SCHEMA, "grounds": grounds, "retired": [retired[code] for code in sorted(retired)]}
    write_one(prepared.order.out / "codes.json", document_bytes(data), force=True)
