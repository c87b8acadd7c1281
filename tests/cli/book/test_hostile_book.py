"""What a stranger puts into a league's folder or into an earlier edition: nothing gets out, nothing is trusted."""

import io
import json
import os
import shutil
import zipfile

import pytest

from standmark.cli.book import job as job_file
from standmark.cli.book.make import Order, make_book
from standmark.geometry.errors import InputError, OutputError

pytestmark = pytest.mark.usefixtures("in_process")


@pytest.fixture
def copies(league_book, tmp_path):
    """A league's folder and a finished book of it, to be tampered with."""
    folder, out, _ = league_book
    return shutil.copytree(folder, tmp_path / "league"), shutil.copytree(out, tmp_path / "earlier")


def changed(path, change):
    data = json.loads(path.read_text("utf-8"))
    change(data)
    path.write_text(json.dumps(data), encoding="utf-8")


def repacked(path, name, content):
    with zipfile.ZipFile(path) as packed:
        files = {entry: packed.read(entry) for entry in packed.namelist()}
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as packed:
        for entry, old in files.items():
            packed.writestr(entry, content if entry == name else old)
    path.write_bytes(buffer.getvalue())


@pytest.mark.parametrize("code", ["../../ESCAPED", "/tmp/ESCAPED", "CON", "abc", "A" * 40, 7, None])
def test_codes_of_an_earlier_edition_are_codes(copies, tmp_path, code):
    folder, earlier = copies
    changed(earlier / "codes.json", lambda data: data["grounds"][0].update(code=code))
    with pytest.raises(InputError, match=r"codes\.json: .* is not the code of a ground"):
        make_book(Order(folder, tmp_path / "new", since=earlier, quiet=True))
    assert not list(tmp_path.rglob("*ESCAPED*"))


def test_no_line_of_a_file_outside_the_folder_is_published(copies, tmp_path):
    folder, _ = copies
    secret = tmp_path / "secret.txt"
    secret.write_text("hush = the-first-line\n", encoding="utf-8")
    (folder / "a-path.toml").write_text(f'[match]\nsport = "{secret}"\n', encoding="utf-8")
    (folder / "a-file.toml").write_text(f'[match]\nsport_file = "{secret}"\n', encoding="utf-8")
    (folder / "a-link.toml").symlink_to(secret)
    (folder / "linked.txt").symlink_to(secret)
    (folder / "through.toml").write_text('[match]\nsport_file = "linked.txt"\n', encoding="utf-8")
    (folder / "circle.toml").symlink_to(folder / "circle.toml")
    (folder / "null.toml").write_text('[match]\nsport_file = "a\\u0000b"\n', encoding="utf-8")
    os.mkfifo(folder / "pipe.toml")
    made = make_book(Order(folder, tmp_path / "new", quiet=True))
    assert {f.path for f in made.failures} >= {
        "a-path.toml", "a-file.toml", "a-link.toml", "through.toml", "circle.toml", "null.toml", "pipe.toml",
    }  # fmt: skip
    assert len(made.contents.lines) == 3
    published = [path.read_bytes() for path in (tmp_path / "new").rglob("*") if path.is_file()]
    assert not any(b"the-first-line" in content for content in published)


def test_reasons_do_not_quote_lines(copies, tmp_path):
    folder, _ = copies
    (folder / "broken.toml").write_text("[match]\nsport = secret words here\n", encoding="utf-8")
    made = make_book(Order(folder, tmp_path / "new", quiet=True))
    reason = next(f.reason for f in made.failures if f.path == "broken.toml")
    assert reason.startswith("broken.toml:2: not TOML")
    assert "secret words" not in reason


def result_of(book):
    return next(p for p in sorted((book / ".standmark-book" / "results").rglob("*.zip")) if is_ground(p))


def is_ground(path):
    with zipfile.ZipFile(path) as packed:
        return "ground.json" in packed.namelist()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("plan.json", b"<svg><script>alert(1)</script></svg>"),
        ("plan.json", b'[[10,10,"t","d",[["w","text",1,1,"x",2,"\\"><script>alert(1)</script>",0]]]]'),
        ("plan.json", b'[[10,10,"t","d",[["w","<script>alert(1)</script>",1,1,"x",2,"end",0]]]]'),
        ("ground.json", b'{"code": "../../ESCAPED"}'),
        ("ground.json", b"[" * 100_000),
    ],
)
def test_tampered_results_are_made_again(copies, tmp_path, name, content):
    folder, earlier = copies
    expected = {p.name: p.read_bytes() for p in (earlier / "grounds").iterdir()}
    repacked(result_of(earlier), name, content)
    make_book(Order(folder, tmp_path / "new", since=earlier, quiet=True))
    made = {p.name: p.read_bytes() for p in (tmp_path / "new" / "grounds").iterdir()}
    assert made.keys() == expected.keys()
    assert all(made[n] == expected[n] for n in made if n.endswith(".json"))
    assert not any(b"alert(1)" in content for content in made.values())
    assert not list(tmp_path.rglob("*ESCAPED*"))


def test_damaged_results_of_an_unfinished_book_are_made_again(copies, tmp_path):
    folder, book = copies
    whole = (book / "index.html").read_bytes()
    (book / "book.json").unlink()
    result = result_of(book)
    result.write_bytes(result.read_bytes()[:200])
    made = make_book(Order(folder, book, quiet=True))
    assert made.n_kept == 4  # of three grounds and two files that could not be used
    assert (book / "index.html").read_bytes() == whole


@pytest.mark.parametrize("place", ["grounds", ".standmark-book/results", ".standmark-book/lock"])
def test_nothing_is_written_through_a_link(copies, tmp_path, place):
    folder, book = copies
    (book / "book.json").unlink()
    elsewhere = tmp_path / "elsewhere"
    shutil.move(book / place, elsewhere)
    (book / place).symlink_to(elsewhere)
    before = sorted(path.name for path in elsewhere.rglob("*"))
    with pytest.raises(OutputError, match="is a link"):
        make_book(Order(folder, book, quiet=True))
    assert sorted(path.name for path in elsewhere.rglob("*")) == before


@pytest.mark.parametrize(
    ("file", "content"),
    [
        ("codes.json", "[" * 100_000),
        ("codes.json", '{"schema": "standmark.codes/1", "grounds": 3, "retired": []}'),
        ("codes.json", '{"schema": "\\u001b[31m", "grounds": []}'),
        ("book.json", '{"schema": "standmark.book/1", "standard": [], "grounds": 3, "digest": 1, "program": 2}'),
        ("standard.toml", "x = [" * 1000),
    ],
)
def test_a_damaged_earlier_edition_is_one_clear_line(copies, tmp_path, file, content):
    folder, earlier = copies
    (earlier / file).write_text(content, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        make_book(Order(folder, tmp_path / "new", since=earlier, quiet=True))
    assert len(str(caught.value).splitlines()) == 1
    assert str(caught.value).isprintable()


def test_records_of_wrong_types_are_one_clear_line(copies, tmp_path):
    folder, earlier = copies
    for path in (earlier / "grounds").glob("*.json"):
        changed(path, lambda data: data.update(positions=7))
    with pytest.raises(InputError, match="damaged; restore it from a copy"):
        make_book(Order(folder, tmp_path / "new", since=earlier, quiet=True))


def test_a_fault_of_ours_in_one_ground_is_that_grounds_failure(copies, tmp_path, monkeypatch):
    folder, _ = copies

    def apply(match, standard, *, steps):
        if match.venue.name == victim:
            raise ZeroDivisionError("a bug")
        return real(match, standard, steps=steps)

    real = job_file.apply_standard
    victim = json.loads(next((copies[1] / "grounds").glob("*.json")).read_text("utf-8"))["name"]
    monkeypatch.setattr(job_file, "apply_standard", apply)
    made = make_book(Order(folder, tmp_path / "new", quiet=True))
    assert len(made.contents.lines) == 2
    assert any("ZeroDivisionError" in failure.reason for failure in made.failures)
