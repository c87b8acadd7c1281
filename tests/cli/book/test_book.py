"""The book from end to end: what is in it, what is refused, what is kept, what changed."""

import json
import re
import shutil
from pathlib import Path

import pytest

from standmark.cli.book.make import Order, make_book
from standmark.geometry.errors import InputError, OutputError
from standmark.optimizer.standard.read_standard import GENERAL

pytestmark = pytest.mark.usefixtures("in_process")


def files_of(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def copy_of(folder, target):
    shutil.copytree(folder, target)
    return target


def test_everything_is_there(league_book):
    _, out, made = league_book
    there = set(files_of(out))
    assert {"index.html", "book.pdf", "book.json", "codes.json", "positions.csv", "positions.geojson"} <= there
    assert "standard.toml" in there
    assert {p for p in there if p.startswith("grounds/")} == {
        f"grounds/{line.code.lower()}.{ending}" for line in made.contents.lines for ending in ("html", "json")
    }
    book = json.loads((out / "book.json").read_text("utf-8"))
    assert book["schema"] == "standmark.book/1"
    assert (book["grounds"], book["positions"]) == (3, 27)


def test_faulty_files_are_listed_and_stop_nothing(league_book):
    _, out, made = league_book
    reasons = {failure.path: failure.reason for failure in made.failures}
    assert set(reasons) == {"broken.toml", "typo.toml", "no-match.toml"}
    assert "broken.toml:1" in reasons["broken.toml"]
    assert "did you mean football" in reasons["typo.toml"]
    assert "match: missing" in reasons["no-match.toml"]
    index = (out / "index.html").read_text("utf-8")
    assert all(path in index for path in reasons)


def test_record_keeps_its_contract(league_book):
    _, out, made = league_book
    line = made.contents.lines[0]
    record = json.loads((out / "grounds" / f"{line.file}.json").read_text("utf-8"))
    assert record["schema"] == "standmark.ground/1"
    assert record["code"] == line.code
    for position in record["positions"]:
        assert position["code"] == f"{line.code}-{position['role_code']}"
        assert position["met"] == (position["shortfalls"] == [])
        if position["filled"]:
            assert 0 <= position["coverage"] <= record["together"] <= 1
            low, high = sorted(float(v) for v in position["lens"].removesuffix(" mm").split("-"))
            assert low - 0.1 <= position["focal_mm"] <= high + 0.1


def test_the_same_again_is_up_to_date_and_byte_for_byte_the_same(league_book, tmp_path):
    folder, out, _ = league_book
    before = files_of(out)
    assert make_book(Order(folder, out, quiet=True)).contents is None
    assert files_of(out) == before
    make_book(Order(folder, tmp_path / "other", quiet=True))
    assert files_of(tmp_path / "other") == before


def test_a_finished_book_of_other_content_is_not_replaced_unasked(league_book, tmp_path):
    folder, out, _ = league_book
    folder, out = copy_of(folder, tmp_path / "in"), copy_of(out, tmp_path / "out")
    (folder / "broken.toml").unlink()
    before = files_of(out)
    with pytest.raises(OutputError, match="finished book of other content"):
        make_book(Order(folder, out, quiet=True))
    assert files_of(out) == before
    made = make_book(Order(folder, out, force=True, quiet=True))
    assert made.n_kept == 5  # three grounds and two reasons; nothing is computed again
    assert "broken.toml" not in {failure.path for failure in made.failures}


def test_a_ground_that_goes_leaves_no_page_behind(league_book, tmp_path):
    folder, out, made = league_book
    folder, out = copy_of(folder, tmp_path / "in"), copy_of(out, tmp_path / "out")
    gone = made.contents.lines[0]
    (folder / gone.path).unlink()
    make_book(Order(folder, out, force=True, quiet=True))
    assert not (out / "grounds" / f"{gone.file}.html").exists()
    assert gone.code in {e["code"] for e in json.loads((out / "codes.json").read_text("utf-8"))["retired"]}


@pytest.mark.parametrize("kind", ["file", "ours", "theirs", "missing", "link"])
def test_places_that_are_refused(league_book, tmp_path, kind):
    folder, _, _ = league_book
    out = tmp_path / "out"
    if kind == "file":
        out.write_text("text")
    elif kind == "ours":
        out = folder
    elif kind == "theirs":
        out.mkdir()
        (out / "letter.txt").write_text("text")
    elif kind == "link":
        (out / ".standmark-book").mkdir(parents=True)
        (tmp_path / "elsewhere").mkdir()
        (out / "grounds").symlink_to(tmp_path / "elsewhere")
    source = tmp_path / "nothing" if kind == "missing" else folder
    with pytest.raises((InputError, OutputError)):
        make_book(Order(source, out, quiet=True))
    assert list((tmp_path / "elsewhere").iterdir()) == [] if kind == "link" else True


def test_a_folder_without_grounds(tmp_path):
    (tmp_path / "in").mkdir()
    with pytest.raises(InputError, match="holds no ground file"):
        make_book(Order(tmp_path / "in", tmp_path / "out", quiet=True))
    assert not (tmp_path / "out").exists()


def test_mistakes_in_a_standard_are_told_with_their_line(league_book, tmp_path):
    folder, _, _ = league_book
    path = tmp_path / "standard.toml"
    text = GENERAL.read_text("utf-8").replace("look_down_deg = [9, 18]", "look_down_deg = [18, 9]")
    path.write_text(text.replace('aim = "middle"', 'aim = "centre"', 1))
    with pytest.raises(InputError, match=r"standard\.toml:\d+: role\[1\]\.aim: not known") as told:
        make_book(Order(folder, tmp_path / "out", standard=path, quiet=True))
    assert "lowest first" in str(told.value)


def test_editions_say_what_moved_and_why(league_book, tmp_path):
    folder, old, made = league_book
    folder = copy_of(folder, tmp_path / "in")
    line = next(row for row in made.contents.lines if row.sport == "Association football")
    file = folder / line.path
    text = file.read_text("utf-8")
    strip = re.search(r'name = "touchline strip"\nside = "(..)".*?lens_height_m = \[.*?\]', text, re.S)[0]
    file.write_text(text.replace(strip, re.sub(r"offset_m = \[.*?\]", "offset_m = [7.0, 7.5]", strip)), "utf-8")
    (folder / "zz-new.toml").write_text('[match]\nsport = "football"\n[venue]\nname = "Zed"\n', "utf-8")
    fresh = make_book(Order(folder, tmp_path / "new", since=old, quiet=True))
    assert fresh.n_kept == 4  # two grounds and two reasons are as they were in the earlier edition
    assert {row.path: row.code for row in fresh.contents.lines if row.path != "zz-new.toml"} == {
        row.path: row.code for row in made.contents.lines
    }
    changes = (tmp_path / "new" / "changes.csv").read_text("utf-8")
    close = next(row for row in changes.splitlines() if row.startswith(f"{line.code}-C,"))
    assert "moved" in close
    assert "touchline strip" in close
    assert "ZED01,new" in changes
    others = {row.code for row in made.contents.lines} - {line.code}
    assert not any(code in changes for code in others)
    page = (tmp_path / "new" / "grounds" / f"{line.file}.html").read_text("utf-8")
    assert "Since General standard, edition 1" in page
    assert (tmp_path / "new" / "changes.html").is_file()


def test_editions_name_a_change_of_the_standard(league_book, tmp_path):
    folder, old, _ = league_book
    path = tmp_path / "standard.toml"
    text = GENERAL.read_text("utf-8").replace("lens_height_m = [0.4, 1.7]", "lens_height_m = [1.3, 1.7]")
    path.write_text(text.replace('edition = "1"', 'edition = "2"'), "utf-8")
    make_book(Order(folder, tmp_path / "new", standard=path, since=old, quiet=True))
    rows = (tmp_path / "new" / "changes.csv").read_text("utf-8").splitlines()[1:]
    assert rows
    assert {re.split(r"[-,]", row)[1] for row in rows} == {"EL", "ER"}
    assert all("standard: now asks: lens height 1.3 m to 1.7 m" in row for row in rows)


def test_no_earlier_edition_there(league_book, tmp_path):
    folder, _, _ = league_book
    with pytest.raises(InputError, match="holds no finished book"):
        make_book(Order(folder, tmp_path / "out", since=tmp_path, quiet=True))


HOSTILE = [
    "../../escape",
    "/etc/passwd",
    "C:\\\\windows",
    "<script>alert(1)</script>",
    "'; DROP TABLE grounds; --",
    "=HYPERLINK(1)",
    "𝔘𝔫𝔦 👩‍👦 🏟️",
    "ملعب المدينة",
    "אצטדיון",
    "$\\\\frac{1}{0}$",
    "...",
    "a" * 80,
]


def test_hostile_names_stay_text_and_inside(tmp_path):
    folder = tmp_path / "in"
    folder.mkdir()
    for index, name in enumerate(HOSTILE):
        size = "length_m = 100\nwidth_m = 64\n"
        text = f'[match]\nsport = "football"\n[venue]\nname = "{name}"\n{size}usual_places = ["halfway"]\n'
        (folder / f"{index:02d} ملعب…👩‍👦.toml").write_text(text, "utf-8")
    (folder / "ugly\x1b[31m\u202ename.toml").write_text(text, "utf-8")
    standard = tmp_path / "standard.toml"
    standard.write_text('[[role]]\ncode = "C"\nname = "<i>Close"\nfrom_deg = [-20, 20]\n', "utf-8")
    made = make_book(Order(folder, tmp_path / "out", standard=standard, quiet=True))
    assert made.failures == ()
    assert {p.name for p in tmp_path.iterdir()} == {"in", "out", "standard.toml"}
    own = re.compile(r"[a-z0-9.-]+")
    assert all(own.fullmatch(part) for path in files_of(tmp_path / "out") for part in Path(path).parts)
    index = (tmp_path / "out" / "index.html").read_text("utf-8")
    assert "<script>alert" not in index
    assert "&lt;script&gt;alert" in index
    assert "<i>" not in index
    assert "\x1b" not in index
    assert "'=HYPERLINK(1)" in (tmp_path / "out" / "positions.csv").read_text("utf-8")
