"""Files are whole or not there, and nobody's work is overwritten."""

import errno
import os
import random
import resource
import signal
import subprocess
import time
from contextlib import suppress

import pytest
from hostile_races import raced

from standmark.cli.terminal import unfinished, write_files
from standmark.cli.terminal.unfinished import NOTE, left_behind, one_set
from standmark.cli.terminal.write_files import NO_HARD_LINKS, check_free, write_all, write_chunks, write_one
from standmark.geometry.errors import OutputError


def test_writes_all_and_leaves_nothing_else(tmp_path):
    write_all(tmp_path / "new" / "folder", {"a.txt": b"1", "sub/b.txt": b"2"}, force=False)
    found = sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file())
    assert found == ["new/folder/a.txt", "new/folder/sub/b.txt"]


def test_existing_file_is_kept(tmp_path):
    (tmp_path / "b").write_bytes(b"old")
    with pytest.raises(OutputError, match="already exists; --force"):
        write_all(tmp_path, {"a": b"new", "b": b"new"}, force=False)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["b"]
    assert (tmp_path / "b").read_bytes() == b"old"


def test_force_replaces_but_never_follows_a_link(tmp_path):
    victim = tmp_path / "victim"
    victim.write_bytes(b"precious")
    link = tmp_path / "out.json"
    link.symlink_to(victim)
    write_one(link, b"new", force=True)
    assert victim.read_bytes() == b"precious"
    assert link.read_bytes() == b"new"
    assert not link.is_symlink()


def test_dangling_link_is_refused(tmp_path):
    (tmp_path / "out").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OutputError, match="already exists"):
        write_one(tmp_path / "out", b"new", force=False)
    assert not (tmp_path / "elsewhere").exists()


def test_a_folder_that_is_a_link_is_written_into_and_nothing_leaves_it(tmp_path):
    """Links of files: never followed. Links of folders: the folder that somebody named."""
    real, victim = tmp_path / "real", tmp_path / "victim"
    real.mkdir()
    victim.write_bytes(b"precious")
    (tmp_path / "out").symlink_to(real)
    (real / "a").symlink_to(victim)
    with pytest.raises(OutputError, match="already exists"):
        write_all(tmp_path / "out", {"a": b"1", "b": b"2"}, force=False)
    assert not (real / "b").exists()
    write_all(tmp_path / "out", {"a": b"1", "b": b"2"}, force=True)
    assert {p.name: p.read_bytes() for p in real.iterdir()} == {"a": b"1", "b": b"2"}
    assert not (real / "a").is_symlink()
    assert victim.read_bytes() == b"precious"
    assert (tmp_path / "out").is_symlink()


@pytest.mark.parametrize("target", ["elsewhere/plan.json", "out", "loop"])
def test_a_name_that_is_a_link_to_nothing_to_the_folder_or_to_itself_is_replaced_never_followed(tmp_path, target):
    out = tmp_path / "out"
    out.mkdir()
    (out / "loop").symlink_to(tmp_path / target if target != "loop" else out / "loop")
    with pytest.raises(OutputError, match="already exists"):
        write_one(out / "loop", b"new", force=False)
    write_one(out / "loop", b"new", force=True)
    assert (out / "loop").read_bytes() == b"new"
    assert not (out / "loop").is_symlink()
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["loop", "out"]


def test_parts_of_an_earlier_result_go_with_force_only(tmp_path):
    for name in ("a", "b", "mine"):
        (tmp_path / name).write_bytes(b"old")
    write_all(tmp_path, {"c": b"new"}, force=False, stale=("a", "b"))
    assert (tmp_path / "b").read_bytes() == b"old"
    write_all(tmp_path, {"a": b"new"}, force=True, stale=("a", "b"))
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "c", "mine"]


@pytest.mark.parametrize("failing", ["fsync", "link", "replace"])
def test_failing_write_leaves_nothing_half_done(tmp_path, monkeypatch, failing):
    (tmp_path / "kept").write_bytes(b"old")

    def fail(*args, **kwargs):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, failing, fail)
    with pytest.raises(OutputError, match="No space left"):
        write_all(tmp_path, {"kept" if failing == "replace" else "new": b"data"}, force=failing == "replace")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["kept"]
    assert (tmp_path / "kept").read_bytes() == b"old"


@pytest.mark.parametrize("failing", ["write", "fsync", "unlink", "replace", "open", "mkdir"])
def test_every_operation_that_fails_in_turn_is_one_clear_error(tmp_path, monkeypatch, failing):
    old, new = ({name: mark + name.encode() for name in ("a", "b", "c")} for mark in (b"old ", b"new "))
    real, left = getattr(os, failing), [0]

    def call(*args, **kwargs):
        left[0] -= 1
        if left[0] == -1:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(*args, **kwargs)

    for number in range(20):
        folder = tmp_path / str(number)
        write_all(folder, old, force=False)
        left[0] = number
        monkeypatch.setattr(os, failing, call)
        with suppress(OutputError):
            write_all(folder, new, force=True)
        monkeypatch.undo()
        there = {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(".")}
        assert all(content in (old[name], new[name]) for name, content in there.items())
        assert "a" not in there or there in (old, new)  # the first name stands for a whole set
        if left[0] >= 0:
            return
    assert left[0] >= 0


def test_check_free_names_what_blocks(tmp_path):
    check_free(tmp_path / "new", ["a"], force=False)
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="is not a folder"):
        check_free(tmp_path / "file" / "deep", ["a"], force=False)


NAMES = ("plan.json", "plan.svg", "sheet.pdf")


def a_set(word):
    return {name: f"{word} {name}".encode() for name in NAMES}


def leave_half(tmp_path, n_named):
    """Leave what a run that was killed with `n_named` files in place leaves: its note, its parts, old and new files."""
    with pytest.MonkeyPatch.context() as patch:
        kept = write_files._name_part
        names = []

        def stop(part, path, *, force):
            if len(names) == n_named:
                os._exit(9)
            names.append(path)
            return kept(part, path, force=force)

        patch.setattr(write_files, "_name_part", stop)
        child = os.fork()
        if child == 0:
            write_all(tmp_path, a_set("new"), force=True)
            os._exit(0)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


@pytest.mark.parametrize("n_named", [0, 1, 2])
def test_a_killed_set_is_known_and_the_next_run_makes_it_whole(tmp_path, n_named):
    write_all(tmp_path, a_set("old"), force=False)
    leave_half(tmp_path, n_named)
    assert not (tmp_path / "plan.json").exists(), "half a set must not look whole"
    check_free(tmp_path, list(NAMES), force=False)
    write_all(tmp_path, a_set("third"), force=False)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == a_set("third")


def test_a_note_of_strangers_reaches_nothing_outside(tmp_path):
    folder, victim = tmp_path / "out", tmp_path / ".x.1.part"
    folder.mkdir()
    victim.write_bytes(b"precious")
    (folder / NOTE).write_text('["../x", "/etc/passwd", 7, "plan.json"]')
    write_all(folder, a_set("new"), force=False)
    assert victim.read_bytes() == b"precious"
    assert {p.name for p in folder.iterdir()} == set(NAMES)


def test_one_run_at_a_time_writes_a_set(tmp_path):
    with one_set(tmp_path, NAMES):
        with pytest.raises(OutputError, match="another run is writing here"):
            write_all(tmp_path, a_set("new"), force=True)
        assert not left_behind(tmp_path)


def test_a_note_that_was_taken_away_meanwhile_gives_no_right_to_write(tmp_path, monkeypatch):
    """Another run ends between two steps of this one: it opens the note, and then takes its lock."""
    real = unfinished._locked

    def late(handle, path):
        path.unlink()
        (tmp_path / "plan.json").write_bytes(b"of the other run")
        return real(handle, path)

    monkeypatch.setattr(unfinished, "_locked", late)
    with pytest.raises(OutputError, match="another run is writing here"):
        write_all(tmp_path, a_set("new"), force=True)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"plan.json": b"of the other run"}


def test_runs_into_one_folder_at_once():
    """A share of `benchmarks/hostile.py --races`."""
    told = list(raced(50, random.Random(3), time.monotonic() + 60))
    assert told.pop().startswith("note: exit codes")
    assert len(told) == 50
    assert [words for words in told if words] == []


@pytest.mark.parametrize("number", sorted(NO_HARD_LINKS))
def test_without_hard_links_nothing_is_overwritten_either(tmp_path, monkeypatch, number):
    def fail(*args, **kwargs):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "link", fail)
    write_all(tmp_path, a_set("new"), force=False)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == a_set("new")
    with pytest.raises(OutputError, match="already exists"):
        write_one(tmp_path / "plan.json", b"other", force=False)
    assert (tmp_path / "plan.json").read_bytes() == a_set("new")["plan.json"]


@pytest.mark.parametrize("nth", [1, 2, 3])
def test_a_set_that_fails_to_be_named_leaves_nothing(tmp_path, monkeypatch, nth):
    real, count = os.link, 0

    def fail(*args, **kwargs):
        nonlocal count
        count += 1
        if count == nth:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(*args, **kwargs)

    monkeypatch.setattr(os, "link", fail)
    with pytest.raises(OutputError, match="No space left"):
        write_all(tmp_path, a_set("new"), force=False)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", NAMES)
def test_a_file_that_grows_too_large_leaves_the_old_set(tmp_path, name):
    """Whichever of a set it is, its last byte finds no room."""
    old = a_set("old")
    write_all(tmp_path, old, force=False)
    sizes = {other: 100 * (1 + (other == name)) for other in NAMES}
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (199, hard))
    try:
        with pytest.raises(OutputError, match=rf"{tmp_path}: cannot be written \(File too large\)"):
            write_all(tmp_path, {other: b"x" * size for other, size in sizes.items()}, force=True)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == old


def test_a_disk_without_room_leaves_the_old_set(tmp_path):
    """A file system of 64 kB in memory, which only root can have."""
    disk, old = tmp_path / "disk", a_set("old")
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "none", disk], capture_output=True, check=False)
    if mounted.returncode:
        pytest.skip("no file system can be mounted here")
    try:
        write_all(disk / "plan", old, force=False)
        with pytest.raises(OutputError, match="No space left"):
            write_all(disk / "plan", dict.fromkeys(NAMES, b"x" * 30000), force=True)
        assert {p.name: p.read_bytes() for p in (disk / "plan").iterdir()} == old
        write_all(disk / "plan", a_set("new"), force=True)
    finally:
        subprocess.run(["umount", disk], check=True)


@pytest.mark.parametrize("operation", ["open", "fsync", "link", "unlink"])
@pytest.mark.parametrize("nth", range(1, 6))
def test_an_interrupt_at_any_operation_leaves_a_whole_set_or_none(tmp_path, monkeypatch, operation, nth):
    real, count = getattr(os, operation), 0

    def call(*args, **kwargs):
        nonlocal count
        count += 1
        if count == nth:
            os.kill(os.getpid(), signal.SIGINT)
        return real(*args, **kwargs)

    monkeypatch.setattr(os, operation, call)
    came = None
    try:
        write_all(tmp_path, a_set("new"), force=False)
    except KeyboardInterrupt as error:
        came = error
    assert (came is not None) == (count >= nth)
    there = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    assert there in ({}, a_set("new")) if came else there == a_set("new")


def test_pieces_end_at_an_interrupt_and_leave_nothing(tmp_path):
    def pieces():
        yield b"one"
        os.kill(os.getpid(), signal.SIGINT)
        yield b"two"
        raise AssertionError("went on")

    with pytest.raises(KeyboardInterrupt):
        write_chunks(tmp_path / "long.csv", pieces(), force=False)
    assert not list(tmp_path.iterdir())
