"""Logs beside a book: positions that crews filmed from, positions that disappoint, logs that cannot be used."""

import json

import pytest
from click.testing import CliRunner

from standmark.cli.book.make import Order, make_book
from standmark.cli.main import standmark
from standmark.geometry.errors import InputError

pytestmark = pytest.mark.usefixtures("in_process")


@pytest.fixture
def logs(league_book, tmp_path):
    """A plan with its camera on the first position of the first ground, and two logs of it: one poor, one faulty."""
    folder, out, made = league_book
    line = made.contents.lines[0]
    record = json.loads((out / "grounds" / f"{line.file}.json").read_text("utf-8"))
    position = next(p for p in record["positions"] if p["filled"])
    logs = tmp_path / "logs"
    logs.mkdir()
    text = (folder / line.path).read_text("utf-8")
    at = f'[[camera]]\nname = "A"\nat_m = [{position["x_m"]}, {position["y_m"]}, {position["z_m"]}]\n'
    (tmp_path / "match.toml").write_text(text.split("[[camera]]")[0] + at, encoding="utf-8")
    done = CliRunner().invoke(
        standmark, ["plan", str(tmp_path / "match.toml"), "--advice", "none", "--out", str(logs / "plan")]
    )
    assert done.exit_code == 0, done.output
    empty = logs / "log.csv"
    assert (
        CliRunner().invoke(standmark, ["log", "new", str(logs / "plan" / "plan.json"), "-o", str(empty)]).exit_code == 0
    )
    first, header, *rows = empty.read_text("utf-8").splitlines()
    filled = [row.replace(",,,,A", ",20,0,,A") for row in rows]
    assert filled != rows
    empty.write_text("\n".join([first, header, *filled]), encoding="utf-8")
    (logs / "faulty.csv").write_text("no log at all\n", encoding="utf-8")
    return position["code"], line.file, logs


def test_positions_that_disappoint_are_listed(league_book, logs, tmp_path):
    folder, _, _ = league_book
    code, file, where = logs
    out = tmp_path / "book"
    make_book(Order(folder, out, quiet=True, logs=where))
    index = (out / "index.html").read_text("utf-8")
    assert "What was filmed" in index
    assert f'<span class="code">{code}</span>: got 0 of' in index
    assert "faulty.csv, row 1" in index
    page = (out / "grounds" / f"{file}.html").read_text("utf-8")
    assert page.count("less than chance explains") == 1
    again = make_book(Order(folder, out, quiet=True, logs=where))
    assert again.contents is None, "the same logs make no new book"
    (where / "log.csv").write_text(
        (where / "log.csv").read_text("utf-8").replace(",20,0,", ",20,19,"), encoding="utf-8"
    )
    make_book(Order(folder, out, quiet=True, logs=where, force=True))
    assert "No position disappoints" in (out / "index.html").read_text("utf-8")


def test_without_logs_nothing_is_said_of_them(league_book):
    _, out, _ = league_book
    assert "What was filmed" not in (out / "index.html").read_text("utf-8")


def test_a_folder_that_is_none_is_refused(league_book, tmp_path):
    folder, _, _ = league_book
    with pytest.raises(InputError, match=r"--logs .*: is not a folder"):
        make_book(Order(folder, tmp_path / "book", quiet=True, logs=tmp_path / "nowhere"))
