"""Files are whole or not there, and nobody's work is overwritten."""

import errno
import os

import pytest

from standmark.cli.terminal.write_files import check_free, write_all, write_one
from standmark.geometry.errors import OutputError


def test_writes_all_and_leaves_nothing_else(tmp_path):
    write_all(tmp_path / "new" / "folder", {"a.txt": b"1", "sub/b.txt": b"2"}, force=False)
    found = sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file())
    assert found == ["new/folder/a.txt", "new/folder/sub/b.txt"]


def test_existing_file_is_kept(tmp_path):
    (tmp_path / "b").write_bytes(b"old")
    with pytest.raises(OutputError, match="exists already; --force"):
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
    with pytest.raises(OutputError, match="exists already"):
        write_one(tmp_path / "out", b"new", force=False)
    assert not (tmp_path / "elsewhere").exists()


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


def test_check_free_names_what_blocks(tmp_path):
    check_free(tmp_path / "new", ["a"], force=False)
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="is not a folder"):
        check_free(tmp_path / "file" / "deep", ["a"], force=False)
