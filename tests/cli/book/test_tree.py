"""What of a folder tree is read, in which order, and under which names."""

import os

import pytest

from standmark.cli.book.tree import GroundFile, Unreadable, ground_paths, printable, read_source

GROUND = '[match]\nsport = "football"\n'


def test_order_hidden_links_and_the_book_itself(tmp_path):
    for name in ("b.toml", "a/c.toml", ".hidden.toml", ".git/d.toml", "book/standard.toml", "a/notes.txt"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(GROUND)
    (tmp_path / "loop").symlink_to(tmp_path)
    found = [path for path, _ in ground_paths(tmp_path, leave_out=tmp_path / "book")]
    assert found == ["a/c.toml", "b.toml"]


def test_standards_and_sport_definitions_are_left_aside(tmp_path):
    for name, text in (("s.toml", '[[role]]\ncode = "M"\n'), ("d.toml", "schema_version = 1\n"), ("g.toml", GROUND)):
        (tmp_path / name).write_text(text)
    kinds = {path: read_source(path, file, root=tmp_path) for path, file in ground_paths(tmp_path)}
    assert kinds["s.toml"] is None
    assert kinds["d.toml"] is None
    assert isinstance(kinds["g.toml"], GroundFile)


def test_reasons_name_the_path_in_the_tree(tmp_path):
    (tmp_path / "x.toml").write_text("[match\n")
    found = read_source("x.toml", tmp_path / "x.toml", root=tmp_path)
    assert isinstance(found, Unreadable)
    assert found.reason.startswith("x.toml:1: ")


def test_sport_file_comes_along_but_not_from_outside(tmp_path):
    root = tmp_path / "tree"
    root.mkdir()
    (tmp_path / "secret.toml").write_text("key = 1\n")
    (root / "own.toml").write_text("schema_version = 1\n")
    (root / "g.toml").write_text('[match]\nsport = "x"\nsport_file = "own.toml"\n')
    (root / "h.toml").write_text('[match]\nsport = "x"\nsport_file = "../secret.toml"\n')
    assert read_source("g.toml", root / "g.toml", root=root).sport_file == ("own.toml", "schema_version = 1\n")
    assert "outside the folder" in read_source("h.toml", root / "h.toml", root=root).reason


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("plain-Ünïcode.toml", "plain-Ünïcode.toml"),
        ("ملعب.toml", "ملعب.toml"),
        ("👩‍👦.toml", "👩‍👦.toml"),
        ("a\x1b[31mb.toml", "a\\u001b[31mb.toml"),
        ("a\u202egpj.toml", "a\\u202egpj.toml"),
        ("line\nbreak.toml", "line\\u000abreak.toml"),
        ("u\u0308.toml", "ü.toml"),
    ],
)
def test_printable(name, shown):
    assert printable(name) == shown


def test_bytes_that_are_no_text():
    assert printable(os.fsdecode(b"caf\xe9.toml")) == "caf\\xe9.toml"


def test_two_spellings_of_one_name_are_two_grounds(tmp_path):
    for name in ("Gr\u00fcn.toml", "Gru\u0308n.TOML", "Gru\u0308n.toml"):
        (tmp_path / name).write_text(GROUND)
    found = dict(ground_paths(tmp_path))
    assert len(found) == len({file.name for file in found.values()}) == 3
    assert set(found) == {"Grün.toml", "Grün.TOML", "Gr\\xc3\\xbcn.toml"}


def test_a_folder_that_cannot_be_looked_into_is_told(tmp_path, monkeypatch):
    shut = tmp_path / "shut"
    shut.mkdir()
    scan = os.scandir

    def refuse(path):
        if str(path) == str(shut):
            raise PermissionError(13, "Permission denied", str(shut))
        return scan(path)

    monkeypatch.setattr(os, "scandir", refuse)
    ((path, file),) = ground_paths(tmp_path)
    assert path == "shut"
    assert read_source(path, file, root=tmp_path).reason.startswith("shut: cannot be read")
