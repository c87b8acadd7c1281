"""What changed since an earlier edition, and earlier editions that cannot be relied on."""

import csv
import io
import json
import re
import shutil
import subprocess

import pytest

from standmark.cli.book import bind, make
from standmark.cli.book.chapter import do_chapter
from standmark.cli.book.editions import limit_differences
from standmark.cli.book.make import Order, make_book
from standmark.geometry.errors import InputError
from standmark.optimizer.standard.read_standard import GENERAL

pytestmark = pytest.mark.usefixtures("in_process")


@pytest.fixture
def old(league_book, tmp_path):
    """Copies of the league and its book that a test may change."""
    folder, out, made = league_book
    shutil.copytree(folder, tmp_path / "in")
    shutil.copytree(out, tmp_path / "old")
    return tmp_path / "in", tmp_path / "old", made.contents.lines


def changes_of(folder, earlier, standard=None):
    out = earlier.parent / "new"
    make_book(Order(folder, out, standard=standard, since=earlier, quiet=True))
    rows = list(csv.DictReader(io.StringIO((out / "changes.csv").read_text("utf-8"))))
    codes = {e["path"]: e["code"] for e in json.loads((out / "codes.json").read_text("utf-8"))["grounds"]}
    return rows, codes


def test_come_gone_renamed_and_moved_are_told_and_codes_stay(old, tmp_path):
    folder, earlier, lines = old
    gone, renamed, moved = (line.path for line in lines)
    codes = {line.path: line.code for line in lines}
    (folder / gone).unlink()
    text = (folder / renamed).read_text("utf-8")
    (folder / renamed).write_text(re.sub(r'name = ".*?"', 'name = "Sponsor Arena"', text, count=1), "utf-8")
    (folder / moved).rename(folder / "another-file.toml")
    standard = tmp_path / "standard.toml"
    standard.write_text(GENERAL.read_text("utf-8").replace("lens_height_m = [0.9", "lens_height_m = [1.2"), "utf-8")
    rows, now = changes_of(folder, earlier, standard)
    told = {(row["code"], row["kind"]): row for row in rows}
    assert "no longer in the folder" in told[codes[gone], "gone"]["words"]
    assert "is now “Sponsor Arena”" in told[codes[renamed], "renamed"]["words"]
    assert (now[renamed], now["another-file.toml"]) == (codes[renamed], codes[moved])
    assert codes[gone] not in now.values()
    others = [row for row in rows if row["kind"] not in ("gone", "renamed")]
    assert {row["code"].split("-")[1] for row in others} == {"C"}
    assert all("now asks: lens height 1.2 m to 2.2 m" in row["reasons"] for row in others)


def test_a_ground_whose_file_broke_or_that_asks_for_a_code_is_told_apart(old):
    folder, earlier, lines = old
    broken, asks, _ = lines
    (folder / broken.path).write_text("[match", "utf-8")
    text = (folder / asks.path).read_text("utf-8")
    (folder / asks.path).write_text(text.replace("[venue]", '[venue]\ncode = "STAND"'), "utf-8")
    rows, now = changes_of(folder, earlier)
    told = {row["code"]: row["words"] for row in rows}
    assert "its file could not be used this time, its code is kept" in told[broken.code]
    assert "has the code STAND now" in told[asks.code]
    assert now[asks.path] == "STAND"


def test_the_distance_between_positions_is_a_reason_only_where_two_are_near(old, tmp_path):
    folder, earlier, _ = old
    standard = tmp_path / "standard.toml"
    text = GENERAL.read_text("utf-8").replace("separation_m = 2 ", "separation_m = 3 ")
    standard.write_text(text.replace("lens_height_m = [0.4, 1.7]", "lens_height_m = [1.3, 1.7]"), "utf-8")
    rows, _ = changes_of(folder, earlier, standard)
    ends = [row for row in rows if row["code"].split("-")[1] in ("EL", "ER")]
    assert ends
    assert not any("distance between positions" in row["reasons"] for row in ends)


def test_only_what_differs_of_a_limit_is_told():
    before = {"allowed area “bank”": "142 m² round (0.0, 45.4) [aaaaaa], lens 5.3 to 7.3 m up"}
    after = {"allowed area “bank”": "142 m² round (0.0, 45.4) [aaaaaa], lens 9 to 10 m up"}
    ((_, words),) = limit_differences(before, after)
    assert words == "allowed area “bank”: was lens 5.3 to 7.3 m up, is lens 9 to 10 m up"


def later(book):
    path = book / "book.json"
    path.write_text(path.read_text("utf-8").replace("standmark.book/1", "standmark.book/2"), "utf-8")


def some_record(book):
    return sorted((book / "grounds").glob("*.json"))[0]


DAMAGES = {
    "is written as": later,
    "cannot be read as the record": lambda book: (book / "book.json").write_text('{"schema": ', "utf-8"),
    "is not the record of a book": lambda book: (book / "book.json").write_text("[1]", "utf-8"),
    "codes.json: missing": lambda book: (book / "codes.json").unlink(),
    "is not a list of codes": lambda book: (book / "codes.json").write_text(
        '{"schema": "standmark.codes/1", "grounds": 3, "retired": []}', "utf-8"
    ),
    "holds 2 of the 3 grounds": lambda book: some_record(book).unlink(),
    "is not the record of ": lambda book: some_record(book).write_text('{"schema": "standmark.ground/1"}', "utf-8"),
    "standard.toml: cannot be read": lambda book: (book / "standard.toml").unlink(),
}


@pytest.mark.parametrize("words", DAMAGES)
def test_an_edition_that_cannot_be_relied_on(old, words):
    folder, earlier, _ = old
    DAMAGES[words](earlier)
    with pytest.raises(InputError) as told:
        make_book(Order(folder, earlier.parent / "new", since=earlier, quiet=True))
    assert words in str(told.value)
    assert len(str(told.value).splitlines()) == 1
    assert not (earlier.parent / "new" / "book.json").exists()


def test_damaged_results_of_an_edition_are_made_again(old):
    folder, earlier, _ = old
    for path in (earlier / ".standmark-book").rglob("*.zip"):
        path.write_bytes(path.read_bytes()[:-30])
    made = make_book(Order(folder, earlier.parent / "new", since=earlier, quiet=True))
    assert made.n_kept == 0
    assert made.n_changes == 0


def test_an_edition_with_another_label_alone_computes_nothing_and_paints_only_what_says_so(old, tmp_path, monkeypatch):
    folder, earlier, lines = old
    text = GENERAL.read_text("utf-8")
    edition = re.search(r'^edition = "(.*)"$', text, re.MULTILINE)[1]
    standard = tmp_path / "standard.toml"
    standard.write_text(text.replace(f'edition = "{edition}"', 'edition = "ninth"  # a new label'), "utf-8")
    painted = []

    def paint(chapter):
        painted.append(chapter)
        return do_chapter(chapter)

    monkeypatch.setattr(make, "do_job", lambda job: pytest.fail(f"{job.path} was done again"))
    monkeypatch.setattr(bind, "do_chapter", paint)
    made = make_book(Order(folder, tmp_path / "new", standard=standard, since=earlier, quiet=True))
    codes = json.loads((earlier / "codes.json").read_text("utf-8"))["grounds"]
    assert (made.n_kept, made.n_changes) == (len(codes), 0)
    assert len(painted) == 1
    record = json.loads((tmp_path / "new" / "grounds" / f"{lines[0].file}.json").read_text("utf-8"))
    assert record["standard"]["edition"] == "ninth"
    told = subprocess.run(["pdftotext", str(tmp_path / "new" / "book.pdf"), "-"], capture_output=True, text=True)
    *_, last, _ = told.stdout.split("\f")
    assert "edition ninth" in last
    assert f"edition {edition}\n" not in last
